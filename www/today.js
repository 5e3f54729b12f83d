/* today.js - what needs a hand, most urgent first; and which tanks are calm. */
import { getAll, send } from './api.js';
import { el } from './dom.js';
import { uuid7 } from './id.js';
import { drawInto, sectionDrawing, smallSection } from './drawing.js';
import { onRound, placesOf } from './order.js';
import { mayLog, openPage, own, show, toast, why } from './page.js';
import { actAddress, actLabel, actOf, reasonSentence } from './sentences.js';
import { formatDay, nearDay } from './units.js';
import { mixRow } from './underway.js';
import { watch } from './watch.js';
import { say } from './words.js';

const SMALL_PX = 104;

const tankAddress = (item) => `tank.html?id=${encodeURIComponent(item.tank)}`;

/* 'Not today' is kept by the garden: it holds for everybody until the next day, or until the matter becomes worse. */
const showAgain = (id) => send('DELETE', `putoffs/${encodeURIComponent(id)}`);

async function putOff(item, days, load) {
  const { id, tank, reason, name } = item;
  try {
    if (id) await showAgain(id); // put off already, now for longer
    const made = await send('POST', 'putoffs', { id: uuid7(), tank, reason, days });
    await load();
    toast(say('today.off.done', { name, day: nearDay(made.until) }), { undo: async () => {
      await showAgain(made.id).catch((error) => toast(why(error)));
      await load();
    } });
  } catch (error) {
    toast(why(error));
    await load();
  }
}

function offRow(item, garden, load) {
  return el('li', {}, el('span', { class: 'what' }, el('a', { class: 'tap', href: tankAddress(item), text: item.name }), el('span', { text: ` ${reasonSentence(item, garden)}` }),
    el('small', { text: say(item.member_name ? 'today.off.by' : 'today.off.until', { day: nearDay(item.until, garden.today), name: item.member_name }) })),
  mayLog(garden) ? el('span', { class: 'row' },
    el('button', { type: 'button', class: 'quiet', text: say('today.off.week'), 'aria-label': say('today.off.week.of', { name: item.name }), onclick: () => putOff(item, 7, load) }),
    el('button', { type: 'button', class: 'quiet', text: say('today.off.show'), 'aria-label': say('today.off.show.of', { name: item.name }), onclick: async () => {
      await showAgain(item.id).catch((error) => toast(why(error)));
      await load();
    } })) : null);
}

/** Items of one tank together, in the order of their most urgent one. */
export function byTank(items) {
  const tanks = new Map();
  for (const item of items) {
    if (!tanks.has(item.tank)) tanks.set(item.tank, []);
    tanks.get(item.tank).push(item);
  }
  return [...tanks.values()];
}

const isMine = (item, garden) => Boolean(item.whose) && item.whose === garden.me?.member;

function whoseText(item, garden) {
  if (item.overdue && item.whose) return say('today.everybodys');
  if (isMine(item, garden)) return say('today.yours');
  return item.whose ? say('today.whose', { name: item.whose_name }) : null;
}

/** One's own tanks first, and with them what nobody has read for a week, whose ever it is; in each part as they were. */
export function mineFirst(groups, garden) {
  if (!groups.some(([first]) => isMine(first, garden))) return groups;
  const first = ([item]) => isMine(item, garden) || item.overdue;
  return [...groups.filter(first), ...groups.filter((group) => !first(group))];
}

function tankRow(items, garden, load) {
  const [first] = items;
  const drawing = sectionDrawing(smallSection(first.drawing), { width: SMALL_PX, size: 'small', garden, most: 110 });
  const acts = items.filter((item) => actOf(item));
  const row = el('li', {}, el('div', { class: 'small' }, drawing),
    el('h2', {}, el('a', { href: tankAddress(first), text: first.name })),
    el('div', {}, items.map((item) => el('p', { class: 'why', text: reasonSentence(item, garden) })),
      el('p', { class: 'where', text: [first.area, whoseText(first, garden)].filter(Boolean).join(' · ') })));
  if (mayLog(garden)) {
    row.append(el('div', { class: 'row' },
      acts.slice(0, 1).map((item) => el('a', { class: 'act main', href: actAddress(item), text: actLabel(item, garden) })),
      el('button', { type: 'button', class: 'quiet', text: say('today.putoff'), 'aria-label': say('today.putoff.of', { name: first.name }), onclick: (event) => {
        event.target.disabled = true;
        putOff({ tank: first.tank, reason: first.reason, name: first.name }, 1, load);
      } })));
  }
  return row;
}

function calmCard(item, garden) {
  return el('li', {}, el('a', { href: tankAddress(item) },
    sectionDrawing(smallSection(item.drawing), { width: SMALL_PX, size: 'small', garden, most: 90 }),
    el('strong', { text: item.name }),
    item.low_on?.p50 ? say('today.calm.low', { day: nearDay(item.low_on.p50, garden.today) }) : say(item.low_on ? 'today.calm.long' : 'today.calm.unknown')));
}

/* What a tank looks like half-way through, for a garden that has none. Measures are invented. */
function drawExample(garden) {
  const example = {
    height_mm: 330, profile: [[0, 640], [330, 720]], lid_mm: 740, cup: { height_mm: 76, top_mm: 76, bottom_mm: 51 },
    cups: [-240, 0, 240].map((x_mm, i) => ({ number: i + 1, x_mm, y_mm: 0, crop: 'lettuce-leaf', days: 21 })),
    start_mm: 292, low_mm: 50, ceiling_mm: null, waterline_mm: 190, coming: [],
  };
  drawInto(document.getElementById('first-stage'), (width) => sectionDrawing(example, { width, garden, most: 220 }));
}

let places = null;
async function readPlaces() {
  const [tanks, areas] = await Promise.all([getAll('tanks'), getAll('areas')]);
  return placesOf(tanks, areas);
}

/* --- planned rounds ------------------------------------------------------------------------------- */

const placeName = (one) => one.area_name ?? say('today.round.whole');
const roundAgain = (id) => send('DELETE', `round-putoffs/${encodeURIComponent(id)}`);

async function putRoundOff(one, days, load) {
  try {
    if (one.id) await roundAgain(one.id); // put off already, now for longer
    const made = await send('POST', 'round-putoffs', { id: uuid7(), area: one.area, days });
    await load();
    toast(say('today.round.off.done', { place: placeName(one), day: nearDay(made.until) }), { undo: async () => {
      await roundAgain(made.id).catch((error) => toast(why(error)));
      await load();
    } });
  } catch (error) {
    toast(why(error));
    await load();
  }
}

function roundText(one, garden) {
  const asks = one.round ? say('today.round.under') : one.tanks ? say('today.round.asks', { n: one.tanks }) : say('today.round.calm');
  return [say('today.round.due', { place: placeName(one) }), one.day === garden.today ? '' : say('today.round.moved', { day: nearDay(one.day, garden.today) }), asks].filter(Boolean).join(' ');
}

/* Where nothing wants a hand there is nothing to walk for, and the list of the day says so. */
function roundRow(one, garden, load) {
  const address = one.round ? `round.html?id=${encodeURIComponent(one.round)}` : one.area ? `round.html?area=${encodeURIComponent(one.area)}` : 'round.html';
  return el('li', {}, el('span', { class: 'what', text: roundText(one, garden) }),
    mayLog(garden) ? el('span', { class: 'row' }, one.round || one.tanks ? el('a', { class: 'act main', href: address, text: say(one.round ? 'today.round.join' : 'today.round.walk') }) : null,
      one.round ? null : el('button', { type: 'button', class: 'quiet', text: say('today.putoff'), 'aria-label': say('today.putoff.of', { name: say('today.round.of', { place: placeName(one) }) }), onclick: (event) => {
        event.target.disabled = true;
        putRoundOff({ area: one.area, area_name: one.area_name }, 1, load);
      } })) : null);
}

function roundOffRow(one, garden, load) {
  const name = say('today.round.of', { place: placeName(one) });
  return el('li', {}, el('span', { class: 'what' }, el('span', { text: name }),
    el('small', { text: say(one.member_name ? 'today.round.off.by' : 'today.round.off.until', { day: nearDay(one.until, garden.today), name: one.member_name }) })),
  mayLog(garden) ? el('span', { class: 'row' },
    el('button', { type: 'button', class: 'quiet', text: say('today.off.week'), 'aria-label': say('today.off.week.of', { name }), onclick: (event) => {
      event.target.disabled = true;
      putRoundOff(one, 7, load);
    } }),
    el('button', { type: 'button', class: 'quiet', text: say('today.off.show'), 'aria-label': say('today.off.show.of', { name }), onclick: async (event) => {
      event.target.disabled = true;
      await roundAgain(one.id).catch((error) => toast(why(error)));
      await load();
    } })) : null);
}

/* What kept plans ask to be sown and planted. */
function drawSeason(season, garden) {
  const list = document.getElementById('season-due');
  list.hidden = season.length === 0;
  list.replaceChildren(...season.map((one) => el('li', {}, el('a', { href: `season.html?id=${encodeURIComponent(one.succession)}`,
    text: say(`today.season.${one.sow ? 'sow' : 'plant'}`, { plants: one.plants, name: one.name, day: nearDay(one.day, garden.today) }) }))));
}

function draw(today, garden, load) {
  const again = () => draw(today, garden, load);
  const off = today.put_off ?? [], rounds = today.rounds ?? [], roundsOff = today.rounds_put_off ?? [];
  const due = mineFirst(byTank([...today.items].sort((a, b) => a.rank - b.rank)), garden);
  if (places) due.sort(([a], [b]) => onRound(places.get(a.tank) ?? [], places.get(b.tank) ?? []));
  const order = document.getElementById('order');
  order.hidden = due.length < 2;
  order.textContent = say(places ? 'today.urgent' : 'today.walk');
  order.onclick = async () => {
    try {
      places = places ? null : await readPlaces();
      own.set('order', places ? 'walk' : null);
      again();
    } catch (error) {
      toast(why(error));
    }
  };
  document.getElementById('rounds').hidden = due.length + off.length + today.calm.length === 0;
  document.getElementById('batch').hidden = !mayLog(garden);
  const list = document.getElementById('due');
  list.replaceChildren(...due.map((items) => tankRow(items, garden, load)));
  document.getElementById('rounds-due').hidden = rounds.length === 0;
  document.getElementById('rounds-due').replaceChildren(...rounds.map((one) => roundRow(one, garden, load)));
  drawSeason(today.season ?? [], garden);
  const [left, shown] = [(mix) => mix.off_until, (mix) => !mix.off_until].map((which) => (today.mixes ?? []).filter(which));
  document.getElementById('mixes').hidden = shown.length === 0;
  document.getElementById('mixes').replaceChildren(...shown.map((mix) => mixRow(mix, garden, load, 'today')));
  document.getElementById('due-none').hidden = due.length > 0 || today.calm.length + off.length === 0;
  document.getElementById('first').hidden = today.calm.length + due.length + off.length > 0;
  if (!document.getElementById('first').hidden) drawExample(garden);
  document.getElementById('put-off').hidden = off.length + roundsOff.length + left.length === 0;
  document.getElementById('off-list').replaceChildren(...roundsOff.map((one) => roundOffRow(one, garden, load)), ...off.map((item) => offRow(item, garden, load)),
    ...left.map((mix) => mixRow(mix, garden, load, 'today')));
  document.getElementById('calm-part').hidden = today.calm.length === 0;
  document.getElementById('calm').replaceChildren(...today.calm.map((item) => calmCard(item, garden)));
  document.getElementById('ask').textContent = due.length + off.length + today.calm.length
    ? say('today.ask', { n: due.length, calm: today.calm.length }) : '';
  document.getElementById('date').textContent = [formatDay(today.date, garden.today), today.behind ? say('today.behind', { n: today.behind, day: nearDay(today.behind_since, garden.today) }) : '',
    today.missing ? say('today.missing', { n: today.missing }) : ''].filter(Boolean).join(' · ');
}

const garden = await openPage();
if (garden) {
  document.getElementById('garden-name').textContent = garden.name;
  if (own.get('order') === 'walk') places = await readPlaces().catch(() => null);
  const load = () => show('today', (today) => draw(today, garden, load), garden);
  await load();
  document.addEventListener('visibilitychange', () => document.visibilityState === 'visible' && load());
  watch('today', (today) => draw(today, garden, load));
}
