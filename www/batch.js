/* batch.js - the same reading of many tanks in one table, by keyboard. */
import { Problem, getAll } from './api.js';
import { el, fill } from './dom.js';
import { boxesField, choiceField, numberField, placeFaults, selectField } from './fields.js';
import { uuid7 } from './id.js';
import { lastHint, waterlineMeaning } from './log.js';
import { onRound, placesOf } from './order.js';
import { discard, logMany, onOutbox, undo } from './outbox.js';
import { failed, mayLog, openPage, own, status, toast, why } from './page.js';
import { utc } from './units.js';
import { say } from './words.js';

const byId = (id) => document.getElementById(id);
const COLUMNS = ['waterline', 'ec', 'ph', 'temperature'];
const NAMES = { ec: 'ec_ms_cm', ph: 'ph', temperature: 'temperature_c' };

let garden = null;
let rows = [];

const heightOf = (vessel) => vessel.shape.height_mm ?? Math.max(...vessel.shape.points.map((point) => point[0]));
const isGap = () => choices.way.read().value === 'gap';
const columns = () => choices.columns.read().value;
const choices = {};

/* --- one row ------------------------------------------------------------------------------------ */

const QUANTITY = { waterline: ['length', 0, 0], ec: ['ec', 0, 20], ph: ['ph', 0, 14], temperature: ['temperature', -5, 60] };
const lastOf = (column, s) => (column === 'waterline' ? lastHint(s.waterline_mm, s.waterline_at, 'length', garden)
  : lastHint(s[NAMES[column]], s[`${column}_at`], QUANTITY[column][0], garden));

function cellOf(column, tank) {
  const [quantity, least, most] = QUANTITY[column];
  return numberField({ label: say('batch.cell', { what: say(`batch.${column}`), name: tank.name }), quantity, garden, least, most: column === 'waterline' ? heightOf(tank.vessel) : most,
    hint: lastOf(column, tank.state) ?? say('batch.never'), meaning: column === 'waterline' ? waterlineMeaning(tank, garden, isGap) : null });
}

function rowOf(tank, i) {
  /* Ids that follow one another: what waits is sent in their order. */
  const row = { tank, id: uuid7(Date.now() + i), cells: {}, node: el('tr', {}), said: el('p', { role: 'status' }), entry: null, done: false, waits: false };
  for (const column of COLUMNS) row.cells[column] = cellOf(column, tank);
  return row;
}

function drawRow(row) {
  fill(row.node, el('th', { scope: 'row' }, el('span', { text: row.tank.name }), row.said), columns().map((column) => el('td', {}, row.cells[column].node)));
}

/** Values of a row, null where it is empty, or false where something in it cannot be read. */
function valuesOf(row) {
  const values = {};
  let wrong = false;
  for (const column of columns()) {
    const read = row.cells[column].read();
    if ('fault' in read) wrong = true;
    else if (read.value !== null) values[column === 'waterline' ? (isGap() ? 'air_gap_mm' : 'waterline_mm') : NAMES[column]] = read.value;
  }
  return wrong ? false : Object.keys(values).length ? values : null;
}

function lock(row, done) {
  row.done = done;
  for (const cell of Object.values(row.cells)) cell.input.readOnly = done;
  row.node.classList.toggle('done', done);
}

/* --- saving ------------------------------------------------------------------------------------- */

function tellRow(row, result) {
  if (result instanceof Problem) {
    const { waterline, ec, ph, temperature } = row.cells;
    const left = placeFaults(result, { waterline_mm: waterline, air_gap_mm: waterline, ec_ms_cm: ec, ph, temperature_c: temperature });
    row.said.className = 'fault';
    row.said.textContent = left.length || !result.errors.length ? why(result) : say('log.refused');
    row.entry = null; // the daemon has not kept it: what is typed next may go by the same id
    return;
  }
  row.said.className = '';
  row.said.textContent = say(result.state === 'logged' ? 'batch.logged' : 'batch.waits');
  row.waits = result.state === 'waits';
  lock(row, true);
}

/* What waited has gone out since, or the daemon has refused it: then its row has it again. */
async function follow(waiting) {
  for (const row of rows.filter((one) => one.waits)) {
    const found = waiting.find((one) => one.key === row.id);
    if (found && !found.refused) continue;
    row.waits = false;
    if (!found) {
      row.said.textContent = say('batch.logged');
      continue;
    }
    await discard(row.id);
    tellRow(row, new Problem(422, found.refused));
    lock(row, false);
  }
}

async function takeBack(sent) {
  try {
    for (const row of sent) {
      await undo(row.entry);
      row.id = uuid7();
      row.waits = false;
      row.entry = null;
      row.said.textContent = say('log.undone');
      lock(row, false);
    }
  } catch (error) {
    toast(why(error));
  }
}

let busy = false;
async function save(event) {
  event.preventDefault();
  if (busy) return;
  const given = rows.filter((row) => !row.done).map((row) => [row, valuesOf(row)]).filter(([, values]) => values !== null);
  const wrong = given.find(([, values]) => values === false);
  if (wrong) {
    wrong[0].node.querySelector('[aria-invalid="true"]').focus();
    return;
  }
  if (!given.length) {
    toast(say('batch.empty'));
    return;
  }
  busy = true;
  byId('save').disabled = true;
  try {
    const at = utc();
    for (const [row, values] of given) row.entry = { id: row.id, tank: row.tank.id, kind: 'reading', at, ...values };
    const results = await logMany(given.map(([row]) => row.entry));
    const sent = [];
    for (const [row] of given) {
      const result = results.get(row.id);
      if (!(result instanceof Problem)) sent.push(row);
      tellRow(row, result);
    }
    const refused = given.length - sent.length;
    if (sent.length) toast([say('batch.done', { n: sent.length }), refused ? say('batch.refused', { n: refused }) : ''].filter(Boolean).join(' '), { undo: () => takeBack(sent) });
    (rows.find((row) => !row.done && row.said.className === 'fault')?.node.querySelector('[aria-invalid="true"]') ?? byId('save')).focus();
  } catch (error) {
    toast(why(error));
  } finally {
    busy = false;
    byId('save').disabled = false;
  }
}

/* --- the keyboard --------------------------------------------------------------------------------- */

/* Enter and the arrows go up and down in their column; Tab goes across by itself. */
function onKey(event) {
  const step = event.key === 'Enter' ? (event.shiftKey ? -1 : 1) : event.key === 'ArrowDown' ? 1 : event.key === 'ArrowUp' ? -1 : 0;
  if (!step || !event.target.matches('input') || event.isComposing) return;
  event.preventDefault();
  const at = rows.findIndex((row) => row.node.contains(event.target));
  const column = columns().find((name) => rows[at].cells[name].input === event.target);
  const next = rows.slice(step > 0 ? at + 1 : 0, step > 0 ? undefined : at);
  const row = (step > 0 ? next : next.reverse()).find((one) => !one.done);
  if (row) {
    row.cells[column].input.focus();
    row.cells[column].input.select();
  } else if (step > 0) byId('save').focus();
}

/* --- the table ------------------------------------------------------------------------------------ */

function draw() {
  own.set('batch', columns().join(' '));
  choices.way.node.hidden = !columns().includes('waterline');
  rows.forEach(drawRow);
  fill(byId('rows'), rows.length ? el('table', { class: 'batch' }, el('caption', { class: 'unseen', text: say('batch.title') }),
    el('thead', {}, el('tr', {}, el('th', { scope: 'col', text: say('batch.tank') }), columns().map((column) => el('th', { scope: 'col', text: say(`batch.${column}`) })))),
    el('tbody', {}, rows.map((row) => row.node))) : null);
  byId('none').hidden = rows.length > 0;
  byId('save').disabled = !rows.length;
}

async function open() {
  const [tanks, areas, vessels] = await Promise.all([getAll('tanks'), getAll('areas'), getAll('vessels')]);
  const vesselOf = new Map(vessels.map((one) => [one.id, one]));
  const places = placesOf(tanks, areas);
  const within = (id, area) => id === area || areas.find((one) => one.id === id)?.within === area;
  const filled = tanks.filter((tank) => !tank.retired && tank.drawing.waterline_mm !== null).map((tank) => ({ ...tank, state: tank.last, vessel: vesselOf.get(tank.vessel) }))
    .sort((a, b) => onRound(places.get(a.id), places.get(b.id)));
  const choose = (area) => { rows = filled.filter((tank) => !area || within(tank.area, area)).map(rowOf); draw(); };
  choices.area = selectField({ label: say('round.where'), value: '', options: [{ value: '', label: say('round.whole') }, ...areas.map((one) => ({ value: one.id, label: one.name }))], onchange: choose });
  choices.columns = boxesField({ label: say('batch.what'), chosen: (own.get('batch') || 'waterline').split(' '), options: COLUMNS.map((value) => ({ value, label: say(`batch.${value}`) })), onchange: draw });
  choices.way = choiceField({ label: say('log.way'), value: 'depth', options: [{ value: 'depth', label: say('log.way.depth') }, { value: 'gap', label: say('log.way.gap') }], onchange: () => rows.forEach((row) => row.cells.waterline.refresh()) });
  fill(byId('choices'), choices.area.node, choices.columns.node, choices.way.node);
  byId('batch').addEventListener('submit', save);
  byId('rows').addEventListener('keydown', onKey);
  choose('');
  /* Nothing to choose from, nothing to log. */
  byId('choices').hidden = filled.length === 0;
  byId('save').hidden = filled.length === 0;
  byId('about').hidden = filled.length === 0;
  onOutbox((waiting, refused, all) => follow(all));
  const inUse = tanks.some((tank) => !tank.retired);
  byId('batch').hidden = !inUse;
  byId('tanks-none').hidden = inUse;
  status('');
}

garden = await openPage();
if (garden) {
  if (mayLog(garden)) await open().catch((error) => failed(error, () => location.reload()));
  else status('failed', say('failed.role'));
}
