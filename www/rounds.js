/* rounds.js - how a round stands for one person. Pure: what the daemon told and what this phone did since gives what is next.
 *
 * ahead: Map of stop to 'done' or 'skipped', what this phone did and the daemon does not know yet (no network).
 */

/** Whether it is this member at that stop; null is whoever sits at the garden's own computer. */
const isMine = (stop, me) => stop.state === 'taken' && (stop.by ?? null) === (me ?? null);

const stateOf = (stop, ahead) => ahead.get(stop.stop) ?? stop.state;

/** The stops that a person has taken and not left, in walking order. */
export const mineOf = (round, me, ahead = new Map()) =>
  round.stops.filter((stop) => isMine(stop, me) && !ahead.has(stop.stop));

/** Where a person goes next: to what they took, else to the next free stop, else to the one skipped longest ago; null: nothing left. */
export function nextOf(round, me, ahead = new Map()) {
  const [mine] = mineOf(round, me, ahead);
  if (mine) return mine;
  const free = round.stops.filter((stop) => stateOf(stop, ahead) === 'free');
  if (free.length) return free[0];
  const early = round.stops.filter((stop) => stop.state === 'skipped' && !ahead.has(stop.stop))
    .sort((a, b) => a.skips - b.skips || (a.at < b.at ? -1 : 1));
  if (early.length) return early[0];
  const [again] = [...ahead].filter(([, state]) => state === 'skipped').map(([place]) => place); // in the order in which they were skipped
  return again === undefined ? null : round.stops.find((stop) => stop.stop === again);
}

/** What the daemon knows by now is no longer ahead of it. */
export function catchUp(round, ahead) {
  for (const stop of round.stops) if (stop.state === 'done' || (stop.state === 'skipped' && ahead.get(stop.stop) === 'skipped')) ahead.delete(stop.stop);
}

/** How many are done, those ahead of the daemon among them. */
export const doneOf = (round, ahead = new Map()) => round.stops.filter((stop) => stateOf(stop, ahead) === 'done').length;

/** Everybody else who is at a stop now: [{name, stops: [names]}]; name null: at the garden's own computer. */
export function othersOf(round, me) {
  const others = new Map();
  for (const stop of round.stops) {
    if (stop.state !== 'taken' || isMine(stop, me)) continue;
    if (!others.has(stop.by)) others.set(stop.by, { name: stop.by_name, stops: [] });
    others.get(stop.by).stops.push(stop.name);
  }
  return [...others.values()];
}

/** Areas in which something is free: [{id, name, free}], in walking order. */
export function freeAreas(round) {
  const areas = new Map();
  for (const stop of round.stops) {
    if (!stop.area || !['free', 'skipped'].includes(stop.state)) continue;
    if (!areas.has(stop.area)) areas.set(stop.area, { id: stop.area, name: stop.area_name, free: 0 });
    areas.get(stop.area).free++;
  }
  return [...areas.values()];
}

/** What the form of a stop is filled in with. */
export function prefillOf(stop) {
  if (stop.act !== 'top-up' || !(stop.with.litres > 0)) return {};
  return { told: true, volume_l: Math.round(stop.with.litres * 10) / 10, ...(stop.grams.length ? { weighed: stop.grams.map(({ salt, grams }) => ({ salt, grams })) } : {}) };
}
