/* round.js - a round: what to carry, then tank by tank, and who is where. */
import { Problem, Unreachable, get, getAll, getOrKept, send } from './api.js';
import { el, fill, table } from './dom.js';
import { sectionDrawing, sectionOf } from './drawing.js';
import { selectField } from './fields.js';
import { uuid7 } from './id.js';
import { keepAnswer } from './kept.js';
import { openLog } from './log.js';
import { write } from './outbox.js';
import { asked, failed, mayLog, openPage, show, status, toast, why } from './page.js';
import { catchUp, doneOf, freeAreas, mineOf, nextOf, othersOf, prefillOf } from './rounds.js';
import { saltName } from './salts.js';
import { reasonSentence, shown } from './sentences.js';
import { format, formatDay, formatInstant, formatNumber } from './units.js';
import { watch } from './watch.js';
import { say } from './words.js';

const byId = (id) => document.getElementById(id);
const SETTLE_MS = 600; // ours: a second tap that was meant for the last tank does nothing at the next one

let garden = null;
let round = null;
let view = 'carry'; // carry, stop, rest, over
let at = null;      // the stop that is shown
const ahead = new Map();
const logged = new Set();

const me = () => garden.me?.member ?? null;
const nameOf = (name) => name ?? say('round.host');
const path = () => `rounds/${encodeURIComponent(round.id)}`;
const caution = (text) => el('div', { class: 'caution' }, el('p', {}, el('strong', { text: say('caution') }), ' ', text));
const button = (word, onclick, attributes = {}) => el('button', { type: 'button', text: say(word), onclick, ...attributes });

/* --- choosing a round --------------------------------------------------------------------------- */

const peopleText = (people) => people.filter((one) => one.done).map((one) => say('round.person', { name: nameOf(one.name), n: one.done })).join(', ');

function roundRow(one) {
  const about = [one.area_name ?? say('round.whole'), say('round.done', { n: one.done_count, all: one.stop_count }), peopleText(one.people)].filter(Boolean).join(' · ');
  return el('li', {}, el('span', { class: 'what' }, el('a', { class: one.open ? 'act main' : 'tap', href: `round.html?id=${encodeURIComponent(one.id)}`, text: one.open ? say('round.join', { at: formatInstant(one.made_at, garden) }) : formatDay(one.date, garden.today) }), el('small', { text: about })));
}

async function choose() {
  const [{ body }, areas, tanks] = await Promise.all([getOrKept('rounds?limit=50'), getAll('areas').catch(() => []), get('tanks?limit=1').catch(() => null)]);
  const noTank = tanks?.items.length === 0;
  const area = selectField({ label: say('round.where'), value: asked('area') ?? '', options: [{ value: '', label: say('round.whole') }, ...areas.map((one) => ({ value: one.id, label: one.name }))] });
  const id = uuid7(); // made once: a second tap makes the same round
  fill(byId('open-rounds'), body.items.filter((one) => one.open).map(roundRow));
  fill(byId('past'), body.items.filter((one) => !one.open).map(roundRow));
  byId('past-none').hidden = body.items.some((one) => !one.open);
  byId('tanks-none').hidden = !noTank;
  fill(byId('area'), mayLog(garden) && !noTank ? area.node : null);
  byId('make').hidden = !mayLog(garden) || noTank;
  byId('make').onclick = async () => {
    byId('make').disabled = true;
    byId('make-fault').hidden = true;
    try {
      const made = await send('POST', 'rounds', { id, area: area.read().value });
      location.assign(`round.html?id=${encodeURIComponent(made.id)}`);
    } catch (error) {
      byId('make-fault').textContent = error instanceof Problem && error.errors.length ? error.errors[0].detail : why(error);
      byId('make-fault').hidden = false;
      byId('make').disabled = false;
    }
  };
  byId('choose').hidden = false;
  status('');
}

/* --- how it goes -------------------------------------------------------------------------------- */

function drawProgress() {
  const done = doneOf(round, ahead);
  byId('what').textContent = [round.area_name ?? say('round.whole'), formatDay(round.date, garden.today)].join(' · ');
  byId('bar').max = round.stops.length;
  byId('bar').value = done;
  const said = [say('round.done', { n: done, all: round.stops.length }), peopleText(round.people)].filter(Boolean).join(' · ');
  if (byId('progress').textContent !== said) byId('progress').textContent = said;
  fill(byId('who'), othersOf(round, me()).map((one) => el('li', { text: say(one.stops.length > 1 ? 'round.has' : 'round.at', { name: nameOf(one.name), tank: one.stops[0], n: one.stops.length }) })));
}

/* What is told as soon as somebody answers again. Who takes what is not: by then others may be there. */
const LATER = ['skip', 'done'];

/* Tells the daemon; without it the phone goes on by itself. True when the daemon knows. */
async function act(what, more = {}, id = uuid7()) {
  try {
    round = await send('POST', `${path()}/acts`, { id, what, ...more });
    keepAnswer(path(), round);
    catchUp(round, ahead);
    status('');
    return true;
  } catch (error) {
    if (!(error instanceof Unreachable)) throw error;
    if (LATER.includes(what)) await write(`${path()}/acts`, { id, what, ...more }, 'round'); // by the same id: it may have come through
    status('offline', say('round.offline'));
    return false;
  }
}

/* Runs what a button does, once at a time, and says when it did not work. */
let busy = false;
const once = (what) => async () => {
  if (busy) return;
  busy = true;
  try {
    await what();
  } catch (error) {
    toast(why(error));
    await refresh();
  } finally {
    busy = false;
  }
};

async function refresh() {
  try {
    round = await get(path());
    catchUp(round, ahead);
  } catch {
    // what is known will do
  }
  drawProgress();
}

/* --- what to carry ------------------------------------------------------------------------------ */

const saltsText = (stop) => stop.grams.map((one) => `${format('mass', one.grams, garden)} ${saltName({ id: one.salt, name: one.name })}`).join(', ');
const waterText = (stop) => say('round.pour', shown(stop.with, garden, stop.reason));
const millilitres = (ml) => formatNumber(ml, ml < 10 ? 1 : 0); // to what a small syringe or a cylinder shows
const wantsWater = (stop) => stop.with.litres > 0 && stop.with.strength !== 'nothing';

function carryNodes() {
  const { carry } = round;
  const watered = round.stops.filter(wantsWater);
  if (!watered.length) return [el('p', { text: say('round.carry.none') })];
  const cautions = new Set(carry.cautions);
  if (carry.acid_ml >= 0.05) cautions.add('acid');
  return [
    el('dl', { class: 'facts' }, carry.water.map((one) => el('div', {}, el('dt', { text: say(`round.water.${one.strength}`) }), el('dd', {}, format('volume', one.litres, garden), el('small', { text: say('round.for', { n: one.tanks }) })))),
      carry.acid_ml >= 0.05 ? el('div', {}, el('dt', { text: say('round.acid') }), el('dd', { text: say('round.ml', { x: millilitres(carry.acid_ml) }) })) : null),
    caution(say('round.caution.weight', { x: format('heavy', carry.litres, garden) })),
    carry.salts.length ? [el('h3', { text: say('round.weigh') }), el('p', { text: say('round.weigh.about') }),
      table(say('round.weigh.each'), [say('round.tank'), say('round.jar')], watered.map((stop) => [stop.name, [waterText(stop), saltsText(stop)].filter(Boolean).join(': ')])),
      table(say('round.weigh.sum'), [say('round.salt'), say('table.value')], carry.salts.map((one) => [saltName({ id: one.salt, name: one.name }), format('mass', one.grams, garden)])),
      [...new Set(carry.salts.map((one) => one.caution).filter(Boolean))].map(caution)]
      : table(say('round.water.each'), [say('round.tank'), say('round.jar')], watered.map((stop) => [stop.name, waterText(stop)])),
    carry.grams_unknown ? el('p', {}, say('round.unknown', { n: carry.grams_unknown }), ' ', el('a', { href: 'mix.html', text: say('nav.mix') })) : null,
    ['jug', 'hose', 'acid'].filter((key) => cautions.has(key)).map((key) => caution(say(`round.caution.${key}`))),
  ];
}

/* Another screen: read from its top, by the keyboard, too. What is drawn anew for others' sake leaves everything where it was. */
function arrive(before) {
  if (before === view) return;
  byId('view').querySelector('h2').focus({ preventScroll: true });
  scrollTo({ top: 0 });
}

function drawCarry() {
  const before = view;
  view = 'carry';
  at = null;
  const areas = freeAreas(round);
  const mine = mineOf(round, me(), ahead);
  const start = button(mine.length ? 'round.go.on' : 'round.start', once(goOn), { class: 'main' });
  fill(byId('view'), el('h2', { text: say('round.carry'), tabindex: -1 }), carryNodes(),
    mayLog(garden) && areas.length > 1 ? [el('h3', { text: say('round.split') }), el('p', { text: say('round.split.about') }),
      el('div', { class: 'row' }, areas.map((one) => el('button', { type: 'button', text: say('round.take.area', { name: one.name, n: one.free }), onclick: once(async () => {
        if (await act('take', { area: one.id })) await goOn();
      }) })))] : null,
    el('h3', { text: say('round.stops') }), stopList(),
    mayLog(garden) ? el('div', { class: 'daily' }, el('div', {}, start)) : null);
  arrive(before);
}

const stateText = (stop) => {
  const state = ahead.get(stop.stop) ?? stop.state;
  if (state === 'done') return stop.state === 'done' ? say('round.state.done', { name: nameOf(stop.by_name), at: formatInstant(stop.at, garden) }) : say('round.state.waits');
  if (state === 'taken') return say('round.state.taken', { name: nameOf(stop.by_name) });
  return state === 'skipped' ? say('round.state.skipped') : say('round.state.free');
};

const stopList = () => el('ol', { class: 'log' }, round.stops.map((stop) => el('li', {}, el('span', { class: 'what' },
  el('a', { class: 'tap', href: `tank.html?id=${encodeURIComponent(stop.tank)}`, text: stop.name }),
  el('small', { text: [reasonSentence(stop, garden), stateText(stop)].join(' ') })))));

/* --- a stop ------------------------------------------------------------------------------------- */

async function goOn() {
  if (round.open) await act('take').catch(taken);
  if (!round.open) return drawOver();
  for (let turn = 0; turn < 3; turn++) {
    const next = nextOf(round, me(), ahead);
    if (!next) return drawRest();
    /* Ahead of the daemon, this phone knows a stop as done that the daemon still has it at: then it says where it goes. */
    if (next.state === 'taken' || await act('take', { stop: next.stop }).catch(taken) !== null) return drawStop(round.stops.find((stop) => stop.stop === next.stop));
    await refresh();
  }
  return drawRest();
}

/* Somebody else was faster. */
function taken(error) {
  if (error instanceof Problem && error.status === 409) return null;
  throw error;
}

/* Everything that a stop needs, kept for where the network does not reach. */
const tankOf = async (stop) => (await getOrKept(`tanks/${encodeURIComponent(stop.tank)}`)).body;

async function keepTanks() {
  for (const stop of round.stops) if (stop.state !== 'done') await tankOf(stop).catch(() => {});
}

function afterEntry(stop) {
  return async (entry) => {
    if (logged.has(entry.id)) { // taken back
      logged.delete(entry.id);
      ahead.delete(stop.stop);
      await refresh();
      return view === 'stop' ? undefined : goOn();
    }
    logged.add(entry.id);
    ahead.set(stop.stop, 'done');
    return goOn();
  };
}

function settle(node) {
  const buttons = [...node.querySelectorAll('.daily button, [data-leave]')];
  for (const one of buttons) one.disabled = true;
  setTimeout(() => { for (const one of buttons) one.disabled = false; }, SETTLE_MS);
}

function stopHead(stop, tank) {
  const drawing = tank ? sectionDrawing(sectionOf(tank.vessel, tank.state, tank.outlook, garden), { width: 150, size: 'small', garden, most: 130 }) : null;
  return el('div', { class: 'stop' }, drawing, el('div', {},
    el('h2', { text: stop.name, tabindex: -1 }),
    el('p', { class: 'where', text: [say('round.stop', { n: stop.stop, all: round.stops.length }), stop.area_name, stop.code].filter(Boolean).join(' · ') }),
    el('p', { text: reasonSentence(stop, garden) })));
}

function pourNodes(stop) {
  if (!wantsWater(stop)) return [];
  const parts = [el('p', { class: 'pour', text: waterText(stop) })];
  if (stop.grams.length) parts.push(el('p', { text: say('round.jar.here', { list: saltsText(stop) }) }));
  else if (!stop.grams_known) parts.push(el('p', {}, say('round.unknown.here'), ' ', el('a', { href: `mix.html?${new URLSearchParams({ tank: stop.tank, as: 'top-up', volume: stop.with.litres.toFixed(1), share: (stop.with.share ?? 1).toFixed(2) })}`, text: say('nav.mix') })));
  if (stop.acid_ml >= 0.05) parts.push(el('p', { text: say('round.acid.here', { x: millilitres(stop.acid_ml) }) }), caution(say('round.caution.acid')));
  return parts;
}

async function drawStop(stop) {
  view = 'stop';
  at = stop.stop;
  drawProgress();
  const tank = await tankOf(stop).catch(() => null);
  if (at !== stop.stop) return;
  const ids = { skip: uuid7(), done: uuid7(), free: uuid7() }; // made once a stop: a second tap is the same act
  const leave = (what, mark) => once(async () => {
    if (!await act(what, { stop: stop.stop }, ids[what]) && mark) ahead.set(stop.stop, mark);
    await goOn();
  });
  const skip = () => button('round.skip', leave('skip', 'skipped'), { 'data-leave': true });
  const form = el('div', {});
  const others = stop.also.filter((kind) => kind !== 'note');
  fill(byId('view'), stopHead(stop, tank), pourNodes(stop), form,
    stop.act === 'note' ? el('div', { class: 'row' }, el('a', { class: 'act', href: `tank.html?id=${encodeURIComponent(stop.tank)}#entries`, text: say('act.note.look') })) : null,
    others.length && tank ? el('div', { class: 'row' }, others.map((kind) => button(`act.${kind}`, () => openLog(kind, tank, garden, {})))) : null,
    el('div', { class: 'row' }, button('round.nothing', leave('done', 'done'), { class: 'quiet', 'data-leave': true }),
      button('round.carry', drawCarry, { class: 'quiet' }), button('round.free', once(async () => { await act('free', { stop: stop.stop }, ids.free); drawRest(); }), { class: 'quiet', 'data-leave': true })));
  if (tank) await openLog(stop.act, tank, garden, { prefill: prefillOf(stop), after: afterEntry(stop), host: form, beside: [skip()] });
  else fill(form, el('p', { class: 'fault', text: say('round.tank.away') }), el('div', { class: 'daily' }, el('div', {}, skip())));
  settle(byId('view'));
  arrive('');
}

/* --- nothing left to take, and the end ------------------------------------------------------------ */

function drawRest() {
  if (!round.open) return drawOver();
  const before = view;
  view = 'rest';
  at = null;
  drawProgress();
  const next = nextOf(round, me(), ahead);
  const waits = [...ahead.values()].includes('done');
  fill(byId('view'), el('h2', { text: say(next ? 'round.rest' : 'round.left.none'), tabindex: -1 }), waits ? el('p', { text: say('round.waits') }) : null, stopList(),
    el('div', { class: 'daily' }, el('div', {}, button('round.end', once(async () => { if (await act('end')) drawOver(); }), { }), next ? button('round.go.on', once(goOn), { class: 'main' }) : el('a', { class: 'act main', href: 'index.html', text: say('nav.today') }))));
  arrive(before);
}

function drawOver() {
  const before = view;
  view = 'over';
  at = null;
  drawProgress();
  fill(byId('view'), el('h2', { text: say('round.over', { at: formatInstant(round.ended_at, garden) }), tabindex: -1 }),
    round.ended_by_name ? el('p', { text: say('round.ended.by', { name: round.ended_by_name }) }) : null,
    el('div', { class: 'row' }, el('a', { class: 'act main', href: 'index.html', text: say('nav.today') }), el('a', { class: 'act', href: 'round.html', text: say('round.all') })),
    table(say('round.who'), [say('round.tank'), say('round.what'), say('round.who.when')], round.stops.map((stop) => [stop.name, say(`act.${stop.act}`), stateText(stop)])));
  arrive(before);
}

/* What others did meanwhile. The form that somebody types into stays where it is. */
function redraw(body) {
  const before = round.stops.find((stop) => stop.stop === at);
  round = body;
  catchUp(round, ahead);
  drawProgress();
  if (view === 'stop' && round.open) {
    const now = round.stops.find((stop) => stop.stop === at);
    if (now.state === 'done' && before.state !== 'done' && !busy && (now.by ?? null) !== me()) toast(say('round.done.meanwhile', { name: nameOf(now.by_name), tank: now.name }));
    return;
  }
  if (busy) return;
  if (!round.open && view !== 'over') drawOver();
  else if (view === 'rest') drawRest();
  else if (view === 'carry') drawCarry();
}

async function open(id) {
  await show(`rounds/${encodeURIComponent(id)}`, async (body) => {
    round = body;
    byId('round').hidden = false;
    drawProgress();
    if (!round.open) return drawOver();
    if (mayLog(garden) && mineOf(round, me(), ahead).length) await goOn();
    else drawCarry();
  }, garden);
  if (!round?.open) return;
  watch(`rounds/${encodeURIComponent(id)}`, redraw, { gently: true });
  if (mayLog(garden)) keepTanks();
}

garden = await openPage();
if (garden) {
  if (asked('id')) await open(asked('id'));
  else await choose().catch((error) => failed(error, () => location.reload()));
}
