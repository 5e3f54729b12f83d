/* mixes.js - a worksheet at the scale that others can carry on.
 *
 * Each phone keeps its own copy and works without the garden's computer; what was done at each step goes out by the outbox and
 * comes back merged, the last word on a step standing. So two at the scale see what the other has weighed in, and nobody waits.
 */
import { getIfChanged, getOrKept, isReached } from './api.js';
import { all, drop, keep } from './kept.js';
import { onWriteSent, outboxRows, write } from './outbox.js';

const OWN = ['key', 'step', 'ticks', 'measured', 'shared', 'told']; // of this phone, the rest is the same for all

/** What a phone says of a mix when it begins. */
export const shareMix = (sheet, steps) => write('mixes', { id: sheet.key, tank: sheet.tank || null, kind: sheet.kind, at: sheet.at, volume_l: sheet.volume_l, steps,
  sheet: Object.fromEntries(Object.entries(sheet).filter(([name, value]) => !OWN.includes(name) && value !== undefined)) }, 'mix');

/** Says what was done at a step: {step, done, grams, at}. */
export const tellTick = (sheet, tick) => write(`mixes/${sheet.key}/ticks`, tick, 'mix', true);

/** 'finished', 'given_up', 'open'. */
export const tellState = (key, state) => write(`mixes/${key}/state`, { state }, 'mix');

/** The worksheet of an answer of the daemon; null when it holds none that this page can read. */
export function sheetOf(mix) {
  const { recipe, salts, target_mg_l } = mix.sheet ?? {};
  if (!Array.isArray(recipe?.weigh) || !salts || !target_mg_l) return null;
  const sheet = { ...mix.sheet, key: mix.id, kind: mix.kind, at: mix.at, tank: mix.tank ?? null, tank_name: mix.tank_name ?? null, volume_l: mix.volume_l, step: 0, ticks: [], measured: {}, shared: true, told: true };
  return mergeTicks(sheet, mix, new Set());
}

/* What this phone has said and the daemon has not heard yet stands over what it answers. */
function mergeTicks(sheet, mix, unheard) {
  for (const tick of mix.ticks ?? []) if (!unheard.has(tick.step)) sheet.ticks[tick.step] = { ...tick, mine: sheet.ticks[tick.step]?.mine && sheet.ticks[tick.step].grams === (tick.grams ?? null) && sheet.ticks[tick.step].done === tick.done };
  return sheet;
}

async function unheardSteps(key) {
  const rows = (await outboxRows()).filter((row) => row.write?.path === `mixes/${key}/ticks` && !row.refused);
  return new Set(rows.map((row) => row.write.body.step));
}

/** Puts what others did into the sheet: which steps changed by them. */
export async function mergeMix(sheet, mix) {
  const before = JSON.stringify(sheet.ticks);
  mergeTicks(sheet, mix, await unheardSteps(sheet.key));
  sheet.shared = true;
  return JSON.stringify(sheet.ticks) !== before;
}

/** Sheets of this phone and mixes of the garden, each once: {id, tank, tank_name, volume_l, at, steps, done, member_name, sheet}. sheet: this phone's, or null. */
export async function openMixes(countOf) {
  const mine = await all('sheets').catch(() => []);
  const answer = await getOrKept('mixes').catch(() => null);
  const items = (answer?.body.items ?? []).map((mix) => ({ ...mix, sheet: mine.find((sheet) => sheet.key === mix.id) ?? null }));
  for (const sheet of mine) {
    if (items.some((mix) => mix.id === sheet.key)) continue;
    if (answer?.fresh && sheet.shared) await drop('sheets', sheet.key); // logged, given up, or too long ago
    else items.push({ id: sheet.key, tank: sheet.tank, tank_name: sheet.tank_name, volume_l: sheet.volume_l, at: sheet.at, ...countOf(sheet), member_name: null, sheet });
  }
  return items;
}

export const loadMix = async (id) => (await getOrKept(`mixes/${encodeURIComponent(id)}`)).body;

/* Once the daemon has a mix it can be asked for: before that each time would be a 404 in the browser's log. */
onWriteSent(async (path, answer) => {
  if (path !== 'mixes') return;
  const sheet = (await all('sheets').catch(() => [])).find((one) => one.key === answer.id);
  if (sheet) await keep('sheets', { ...sheet, shared: true }).catch(() => {});
});

const EVERY_MS = 3000; // ours, as in watch.js
const UNREACHED_TURNS = 5;

/** Calls heard(mix) with what the garden says of the sheet that `current()` gives, whenever that changed while it is looked at. */
export function hearOthers(current, heard) {
  let asking = false;
  let turn = 0;
  onWriteSent((path, answer) => {
    const sheet = current();
    if (path === 'mixes' && sheet?.key === answer.id) sheet.shared = true;
    if (path.startsWith('mixes') && sheet?.key === answer.id) heard(answer);
  });
  setInterval(async () => {
    const sheet = current();
    turn++;
    if (asking || !sheet?.shared || document.visibilityState !== 'visible' || (!isReached() && turn % UNREACHED_TURNS)) return;
    asking = true;
    try {
      const mix = await getIfChanged(`mixes/${sheet.key}`);
      if (mix && current()?.key === mix.id) await heard(mix);
    } catch {
      // the next turn asks again; the page's own work goes on
    } finally {
      asking = false;
    }
  }, EVERY_MS);
}
