/* tank.js - one tank: how it stands, what will come, what was done, and the forms to log more. */
import { get, getAll } from './api.js';
import { lineChart } from './chart.js';
import { details, el, table } from './dom.js';
import { courseOnDays, courseSentences } from './drift.js';
import { drawInto, sectionDrawing, sectionOf, sectionRows, sectionSentence } from './drawing.js';
import { cropName, openLog } from './log.js';
import { showLid } from './lidview.js';
import { outboxRows, undo } from './outbox.js';
import { showDoubted } from './doubts.js';
import { showTankDuty } from './duties.js';
import { openMarks } from './marks.js';
import { onPhotoSent, photosBy, photosNode } from './photos.js';
import { asked, mayKeep, mayLog, openPage, show, status, toast, why } from './page.js';
import { actLabel, actOf, entrySentence, lastsSentence, reasonSentence, span } from './sentences.js';
import { dateOf, dayNumber, format, formatInstant, formatNumber, nearDay, toShown, unitName } from './units.js';
import { mixRow } from './underway.js';
import { watch } from './watch.js';
import { say } from './words.js';

const byId = (id) => document.getElementById(id);
const HISTORY_FIRST = 8;
const RECEIVED_LATE_MS = 10 * 60000; // below, when it was seen says when it came
let shownAll = false;
let photos = new Map(); // by the entry that they are shown with
let crops = new Map();
const nameOf = (slug) => cropName(crops.get(slug) ?? { id: slug, name: slug });

function drawSection(tank, garden) {
  const data = sectionOf(tank.vessel, tank.state, tank.outlook, garden);
  const stage = byId('stage');
  drawInto(stage, (width) => sectionDrawing(data, { width, garden, most: 320 }));
  /* A touch on the drawing is a reading by eye: the form opens with it filled in. */
  stage.onclick = (event) => {
    const drawing = stage.querySelector('svg');
    if (!drawing || !mayLog(garden) || tank.state.phase === 'empty') return;
    const box = drawing.getBoundingClientRect();
    const px = (event.clientY - box.top) / box.height * drawing.viewBox.baseVal.height;
    openLog('reading', tank, garden, { prefill: { waterline_mm: Math.round(drawing.waterlineAt(px)) }, after: reload });
  };
  byId('sentence').textContent = sectionSentence(data, garden);
  byId('lasts').textContent = [lastsSentence(tank.outlook, garden), tank.outlook && garden.climate_from === 'latitude' ? say('tank.lasts.guess') : ''].join(' ');
  byId('section-table').replaceChildren(details(say('drawing.table'),
    table(say('drawing.table'), [say('table.what'), say('table.value')], sectionRows(data, garden, nameOf))));
}

function fact(word, value, small = null) {
  return el('div', {}, el('dt', { text: say(word) }), el('dd', {}, value, small ? el('small', { text: small }) : null));
}

/* A date beyond the half year that is looked ahead has no day. */
const dateFact = (word, when, garden) => fact(word, when.p50 ? nearDay(when.p50, garden.today) : say('tank.later'), span(when, garden));

function drawFacts(tank, garden) {
  const s = tank.state, o = tank.outlook;
  const since = (at) => (at ? nearDay(dateOf(at, garden), garden.today) : null);
  const list = [fact('tank.volume', format('volume', s.volume_l, garden), since(s.waterline_at))];
  if (o?.low_on) list.push(dateFact('tank.low', o.low_on, garden));
  if (o?.use_l_day) list.push(fact('tank.use', format('volume', o.use_l_day.p50, garden), say('tank.use.range', { low: format('volume', o.use_l_day.p10, garden), high: format('volume', o.use_l_day.p90, garden) })));
  if (o?.harvest_on) list.push(dateFact('tank.harvest', o.harvest_on, garden));
  if (typeof o?.carries_to_harvest === 'number') list.push(fact('tank.carries', `${formatNumber(o.carries_to_harvest * 100, 0)}\u00a0%`, say('tank.carries.small')));
  list.push(fact('tank.ec', format('ec', s.ec_ms_cm, garden), since(s.ec_at)), fact('tank.ph', format('ph', s.ph, garden), since(s.ph_at)),
    fact('tank.temperature', format('temperature', s.temperature_c, garden), since(s.temperature_at)));
  byId('facts').replaceChildren(...list);
}

/* What the button beside an advice does: a double is taken back at one touch, an odd entry is shown, the rest is logged. */
function adviceButton(item, tank, garden) {
  const { kind, prefill } = actOf(item);
  if (item.reason === 'probable_double' && item.with?.entry)
    return el('button', { type: 'button', text: say('act.double'), onclick: async () => {
      try {
        await undo({ id: item.with.entry, tank: tank.id });
        toast(say('log.undone'));
      } catch (error) {
        toast(why(error));
      }
      await reload();
    } });
  return el('button', { type: 'button', text: actLabel(item, garden), onclick: () => (kind === 'note' ? byId('entries').scrollIntoView() : openLog(kind, tank, garden, { prefill, after: reload })) });
}

function drawAdvice(tank, garden) {
  byId('advice').replaceChildren(...(tank.advice || []).map((item) => el('li', {}, el('span', { class: 'what', text: reasonSentence(item, garden) }),
    item.act && mayLog(garden) ? adviceButton(item, tank, garden) : null)));
  byId('advice-none').hidden = (tank.advice || []).length > 0;
}

async function takeBack(entry) {
  try {
    await undo(entry);
    toast(say('log.undone'));
  } catch (error) {
    toast(why(error));
  }
  await reload();
}

function drawHistory(tank, garden) {
  const replaced = new Set();
  for (const entry of tank.recent) if (entry.withdrawn_by || entry.amended_by) replaced.add(entry.id);
  const rows = tank.recent.filter((entry) => !entry.withdraws);
  byId('history-all').hidden = shownAll || rows.length <= HISTORY_FIRST;
  byId('history').replaceChildren(...rows.slice(0, shownAll ? undefined : HISTORY_FIRST).map((entry) => {
    const gone = replaced.has(entry.id);
    const about = [formatInstant(entry.at, garden), entry.member_name ?? entry.sensor_name, entry.device_name, Math.abs(new Date(entry.received_at) - new Date(entry.at)) > RECEIVED_LATE_MS ? say('history.received', { at: formatInstant(entry.received_at, garden) }) : null,
      gone ? say(entry.withdrawn_by ? 'history.withdrawn' : 'history.amended') : null].filter(Boolean).join(' · ');
    const doubtful = (entry.flags || []).map((flag) => say(`flag.${flag.flag ?? flag}`)).join(' ');
    const what = entrySentence(entry, garden, nameOf);
    const row = el('li', { class: gone ? 'gone' : null }, el('span', { class: 'what' }, el('span', { text: what }), el('small', { text: doubtful ? `${about}. ${doubtful}` : about })));
    if (!gone && mayLog(garden) && entry.to_tank) { // changes two tanks: taken back, not changed
      row.append(el('button', { type: 'button', class: 'quiet', text: say('history.takeback'), onclick: () => takeBack(entry) }));
    } else if (!gone && mayLog(garden) && !entry.follows) {
      row.append(el('button', { type: 'button', class: 'quiet', text: say('edit'), 'aria-label': say('history.edit', { what: say(`kind.${entry.kind}`), at: formatInstant(entry.at, garden) }),
        onclick: () => openLog(entry.kind, tank, garden, { prefill: entry, amends: entry.id, after: reload }) }));
    }
    if (!gone) row.append(...[photosNode(photos.get(entry.id), what, garden, () => photoGone(tank))].filter(Boolean));
    return row;
  }));
  byId('history-none').hidden = rows.length > 0;
}

/* The days ahead worth drawing: until it is surely dry, six weeks at most. */
function untilDry(rows) {
  const dry = rows.findIndex((row) => row.p90_mm <= 0);
  return rows.slice(0, Math.min(42, dry < 0 ? rows.length : dry + 1));
}

/* Day number with its fraction: charts run on the garden's days. */
const moment = (instant) => new Date(instant) / 86400000;

function chartFigure(node, title, make, rows, heads, tell) {
  const stage = el('div', { class: 'stage' });
  const told = el('output', { class: 'echo' });
  stage.addEventListener('click', (event) => {
    const drawing = stage.querySelector('svg');
    const box = drawing?.getBoundingClientRect();
    const point = drawing?.pick?.((event.clientX - box.left) / box.width * drawing.viewBox.baseVal.width);
    if (point) told.textContent = tell(point);
  });
  node.replaceChildren(el('figure', {}, el('figcaption', { text: title }), stage, told, details(say('chart.table'), table(title, heads, rows))));
  drawInto(stage, (width) => make(width) ?? el('p', { text: say('chart.none') }));
}

function drawCharts(tank, entries, sensed, drift, garden) {
  const counted = entries.filter((entry) => !entry.withdrawn_by && !entry.amended_by && !entry.withdraws);
  const since = Math.max(tank.state.filled_on ? dayNumber(tank.state.filled_on) : 0, moment(Date.now()) - 120);
  const series = (name, quantity) => [...counted, ...sensed].filter((e) => typeof e[name] === 'number' && moment(e.at) >= since)
    .map((e) => ({ t: moment(e.at), v: toShown(quantity, e[name], garden), at: e.at, stored: e[name] })).sort((a, b) => a.t - b.t);
  const now = moment(Date.now());
  const heads = [say('chart.when'), say('table.value')];
  const telling = (quantity) => (point) => `${formatInstant(point.at, garden)}: ${format(quantity, point.stored, garden)}`;
  const rowsOf = (points, quantity) => [...points].reverse().map((p) => [formatInstant(p.at, garden), format(quantity, p.stored, garden)]);

  const levels = series('waterline_mm', 'length');
  const ahead = untilDry(tank.outlook?.waterline || []);
  const fan = ahead.map((row) => ({
    t: dayNumber(row.date) + 0.5, low: toShown('length', Math.max(0, row.p10_mm), garden), mid: toShown('length', Math.max(0, row.p50_mm), garden), high: toShown('length', Math.max(0, row.p90_mm), garden) }));
  const marks = [{ v: toShown('length', tank.state.low_mm, garden), label: say('drawing.low', { x: format('length', tank.state.low_mm, garden) }) }];
  const waterSaid = tank.outlook?.low_on ? say('chart.water.said', { when: span(tank.outlook.low_on, garden), n: levels.length }) : say('chart.readings', { n: levels.length });
  chartFigure(byId('chart-water'), say('chart.water'), (width) => lineChart({ width, points: levels, fan, marks, now, unit: unitName('length', garden), said: waterSaid, today: garden.today }),
    [...rowsOf(levels, 'length'), ...ahead.filter((_, i) => i % 3 === 0).map((row) => [say('chart.ahead', { day: nearDay(row.date, garden.today) }), `${format('length', Math.max(0, row.p10_mm), garden)} – ${format('length', Math.max(0, row.p90_mm), garden)}`])], heads, telling('length'));

  const filled = counted.filter((e) => e.kind === 'fill').map((e) => moment(e.at)).sort((a, b) => b - a)[0];
  const topped = counted.filter((e) => e.kind === 'top-up' && moment(e.at) > filled).map((e) => moment(e.at)).sort((a, b) => a - b)[0];
  const course = drift && filled ? courseOnDays(drift.points, { filled, topped_up: topped ?? null, levels: levels.map((level) => ({ t: level.t, waterline_mm: level.stored })), ahead: ahead.map((row) => ({ t: dayNumber(row.date) + 0.5, waterline_mm: row.p50_mm })) }) : [];
  const growing = [...new Set(tank.state.cups.map((cup) => cup.crop).filter(Boolean))].map((slug) => crops.get(slug)).filter(Boolean);
  for (const [name, quantity, key] of [['ec_ms_cm', 'ec', 'ec'], ['ph', 'ph', 'ph']]) {
    const points = series(name, quantity);
    const ranges = growing.map((crop) => crop[name]).filter(Array.isArray);
    const low = Math.max(...ranges.map((r) => r[0])), high = Math.min(...ranges.map((r) => r[1]));
    const band = ranges.length && low < high ? { low, high, label: say('chart.band', { crop: growing.map(cropName).join(', ') }) } : null;
    const said = points.length ? say(`chart.${key}.said`, { x: format(quantity, points.at(-1).stored, garden), n: points.length }) : say('chart.none');
    chartFigure(byId(`chart-${key}`), say(`chart.${key}`), (width) => (points.length || course.length ? lineChart({ width, height: 180, points, band, course: course.map((row) => ({ t: row.t, v: row[name] })), now: course.some((row) => row.ahead) ? now : null, unit: unitName(quantity, garden), said, today: garden.today }) : null), rowsOf(points, quantity), heads, telling(quantity));
    if (course.length) byId(`chart-${key}`).append(...courseSentences(name, drift, course, points, garden).map((text) => el('p', { text })), courseTable(course, name, quantity, garden));
  }
}

function courseTable(course, name, quantity, garden) {
  const day = (row) => { const date = dateOf(row.t * 86400000, garden); return row.ahead ? say('chart.ahead', { day: nearDay(date, garden.today) }) : nearDay(date, garden.today); };
  const rows = [...course.filter((row) => !row.ahead), ...course.filter((row) => row.ahead).filter((_, i) => i % 3 === 0)];
  return details(say('drift.table'), table(say('drift.table'), [say('chart.when'), say('drift.computed')], rows.map((row) => [day(row), format(quantity, row[name], garden)])));
}

/* Calls act when the node comes near the screen, or after a while (ms) all the same: what is printed without being scrolled;
 * once, and a later call for the same node takes the place of an earlier. */
function whenNear(node, act, after = null) {
  node.watch?.disconnect();
  clearTimeout(node.waiting);
  const now = () => {
    node.watch.disconnect();
    clearTimeout(node.waiting);
    act();
  };
  node.watch = new IntersectionObserver((seen) => seen.some((one) => one.isIntersecting) && now(), { rootMargin: '200px' });
  node.watch.observe(node);
  if (after) node.waiting = setTimeout(now, after);
}

/* The charts lie below the drawing: what they need beyond the tank's own answer is asked for when somebody scrolls there. */
async function chartsOf(tank, path, garden) {
  if (!crops.size) crops = new Map((await getAll('crops').catch(() => [])).map((crop) => [crop.id, crop]));
  const oldest = tank.recent.at(-1);
  const more = tank.recent.length >= 50 && tank.state.filled_on && dateOf(oldest.at, garden) >= tank.state.filled_on;
  const entries = more ? await getAll(`${path}/entries`).catch(() => tank.recent) : tank.recent;
  const fill = entries.find((entry) => entry.kind === 'fill' && !entry.withdrawn_by && !entry.amended_by);
  // An empty tank and a fill that nobody weighed have no course: not asked for, since a browser notes each 404 as an error.
  const drift = tank.state.phase === 'filled' && fill?.weighed?.length ? await get(`${path}/drift`).catch(() => null) : null;
  // What sensors told, fewer the older it is: the garden thins it, since they read for years.
  const { items: sensed } = await get(`${path}/readings`).catch(() => ({ items: [] }));
  drawCharts(tank, entries, sensed, drift, garden);
  await showDoubted(byId('doubted'), tank, garden, { told: sensed.length > 0, again: () => chartsOf(tank, path, garden) }).catch(() => {}); // seen at the next asking
}

const photosOf = async (tank) => (tank.photo_count ? photosBy({ tank: tank.id }) : new Map());

/* The pictures below each entry; the list is short and asked for once somebody scrolls there, where there are any. */
async function historyPhotos(tank, garden) {
  const before = photos;
  photos = await photosOf(tank);
  if (photos.size || before.size) drawHistory(tank, garden);
}

/* One was removed: nothing asks for it any more. */
async function photoGone(tank) {
  photos = await photosOf(tank);
  await reload();
}

let reload = async () => {};

const garden = await openPage();
if (garden) {
  const id = asked('id');
  if (!id) {
    status('failed', say('tank.which'));
    byId('status').append(el('a', { class: 'act', href: 'index.html', text: say('nav.today') }));
  } else {
    let tank = null;
    const path = `tanks/${encodeURIComponent(id)}`;
    const draw = async (answer) => {
      tank = answer;
      document.title = `${tank.name} – Tidemark`;
      byId('name').textContent = tank.name;
      byId('code').textContent = say('tank.code', { code: tank.code });
      byId('tank').hidden = false;
      byId('daily').hidden = !mayLog(garden);
      const empty = tank.state.phase === 'empty'; // nothing to read or top up yet
      for (const id of ['do-reading', 'do-top-up', 'touch']) byId(id).hidden = empty;
      byId('do-fill').hidden = !empty;
      byId('do-marks').hidden = !mayKeep(garden);
      byId('duty').hidden = tank.retired;
      drawSection(tank, garden);
      drawFacts(tank, garden);
      showLid(byId('lid'), tank, garden, nameOf, reload);
      byId('mixes').hidden = !tank.mixes?.length;
      byId('mixes').replaceChildren(...(tank.mixes ?? []).map((mix) => mixRow(mix, garden, reload, 'tank')));
      drawAdvice(tank, garden);
      drawHistory(tank, garden);
      byId('history-all').onclick = () => { shownAll = true; drawHistory(tank, garden); };
    };
    reload = async () => {
      const found = await show(path, draw, garden);
      if (!found) return;
      whenNear(byId('charts'), () => chartsOf(found, path, garden), 4000);
      if (!found.retired) whenNear(byId('duty'), () => showTankDuty(byId('duty'), found, garden).catch(() => {})); // seen at the next asking
      whenNear(byId('history'), () => historyPhotos(found, garden));
    };
    onPhotoSent(() => tank && historyPhotos(tank, garden));
    await reload();
    watch(path, async (answer) => {
      photos = await photosOf(answer); // first: one that was removed is not to be drawn once more
      await draw(answer);
    });
    for (const button of document.querySelectorAll('[data-log]'))
      button.addEventListener('click', () => {
        button.closest('details')?.removeAttribute('open');
        if (tank) openLog(button.dataset.log, tank, garden, { after: reload });
      });
    byId('do-marks').addEventListener('click', (event) => {
      event.target.closest('details').removeAttribute('open');
      openMarks(tank, garden, reload);
    });
    const kind = asked('log');
    const waiting = asked('waiting') && (await outboxRows()).find((row) => row.key === asked('waiting'))?.entry;
    if (tank && waiting && mayLog(garden)) {
      history.replaceState(null, '', `tank.html?id=${encodeURIComponent(id)}`);
      openLog(waiting.kind, tank, garden, { prefill: waiting, amends: waiting.amends ?? null, instead: waiting, after: reload });
    }
    if (tank && kind && mayLog(garden)) {
      let prefill = {};
      try {
        prefill = JSON.parse(asked('with') || '{}');
      } catch {
        // a broken link still opens the form
      }
      history.replaceState(null, '', `tank.html?id=${encodeURIComponent(id)}`);
      openLog(kind, tank, garden, { prefill, after: reload });
    }
  }
}
