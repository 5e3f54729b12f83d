/* import.js - bringing data in: past readings from a table, or a whole garden from its export.
 *
 * The daemon reads the table; this page shows what it makes of the first rows, asks what the columns tell, sends the file
 * and watches. Nothing is guessed silently: what was proposed stands in a field that can be changed.
 */
import { get, getAll, send, sendFile } from './api.js';
import { el, fill, table } from './dom.js';
import { choiceField, field, selectField, textField } from './fields.js';
import { failed, mayKeep, openPage, status, why } from './page.js';
import { say } from './words.js';

const LOOK_BYTES = 200000; // enough for forty rows
const WATCH_MS = 700;
const KINDS = ['none', 'at', 'time', 'tank', 'waterline', 'air_gap', 'ec', 'ph', 'temperature', 'note'];
const LOCALES = { de: 'de-DE', en: 'en-GB' }; // as units.js writes days
const byId = (id) => document.getElementById(id);
const options = (name, values) => values.map((value) => ({ value, label: say(`${name}.${value}`) }));

let garden, tanks;

/* --- watching an import ------------------------------------------------------------------------- */

function faultTable(job) {
  if (!job.faults.length) return null;
  const rows = job.faults.map((one) => (one.row === undefined ? [one.at || '/', one.detail] : [`${one.row}`, one.column ?? '', one.detail]));
  const heads = job.faults[0].row === undefined ? [say('import.place'), say('import.what')] : [say('import.row'), say('import.place'), say('import.what')];
  return table(say('import.faults'), heads, rows);
}

/* What is not wrong but was not sure: the first hundred rows, and how many there are. */
function remarkTable(job) {
  if (!job.remarks.length) return null;
  return table(say('import.remarks', { n: job.remarks_count }), [say('import.row'), say('import.place'), say('import.remark')],
    job.remarks.map((one) => [`${one.row}`, one.column ?? '', one.detail]));
}

function saidOf(job, looked) {
  if (job.state === 'running') return job.kept ? say('import.keeping', { n: job.kept }) : say('import.running', { n: job.rows });
  if (job.state === 'done') return looked ? say('import.good', { n: job.rows }) : say('import.done', { kept: job.kept, rows: job.rows });
  if (job.state === 'cancelled') return say('import.cancelled');
  if (job.state === 'refused' && job.faults_count) return say('import.refused', { n: job.faults_count });
  return say('import.failed', { why: job.said ?? '' });
}

function showJob(node, job, looked) {
  const running = job.state === 'running';
  fill(node, el('p', { role: 'status', class: running || job.state === 'done' ? null : 'caution', text: saidOf(job, looked) }),
    running ? el('progress', { max: Math.max(1, job.bytes), value: job.kept ? null : job.bytes_read, 'aria-label': say('import.title') }) : null,
    running ? el('div', { class: 'row' }, el('button', { type: 'button', text: say('import.cancel'), onclick: () => send('DELETE', `imports/${job.id}`).catch(() => {}) })) : null,
    faultTable(job), remarkTable(job));
}

/* Until it ends, however often the line is cut meanwhile. */
async function watch(node, job, looked) {
  for (;;) {
    showJob(node, job, looked);
    if (job.state !== 'running') return job;
    await new Promise((resolve) => setTimeout(resolve, WATCH_MS));
    job = await get(`imports/${job.id}`).catch((error) => {
      if (error.status) throw error;
      return job;
    });
  }
}

async function bringIn(node, path, file, type, looked = false) {
  fill(node, el('p', { role: 'status', text: say('import.sending') }), el('progress', { 'aria-label': say('import.sending') }));
  try {
    return await watch(node, await sendFile(path, file, type), looked);
  } catch (error) {
    fill(node, el('p', { role: 'status', class: 'caution', text: why(error) }));
    return null;
  }
}

/* --- a table ------------------------------------------------------------------------------------ */

let sheet = null; // {file, look, fields, kinds}

/* "03.04.2026" in the order of the letters, or null. */
function dayOf(text, order) {
  const parts = text.match(/^\s*(\d{1,4})[-./](\d{1,2})[-./](\d{1,4})/)?.slice(1).map(Number);
  if (!parts) return null;
  const of = (letter) => parts[order.indexOf(letter)];
  const year = of('y') < 100 ? of('y') + 2000 : of('y');
  const day = new Date(Date.UTC(year, of('m') - 1, of('d')));
  return day.getUTCMonth() === of('m') - 1 && day.getUTCDate() === of('d') ? day : null;
}

function sayDate() {
  const column = sheet.kinds.findIndex((kind) => kind.read().value === 'at');
  const text = column < 0 ? null : sheet.look.rows[0]?.[column];
  const day = text && dayOf(text, sheet.fields.date.read().value);
  sheet.means.textContent = !day ? '' : !sheet.look.date_sure && !sheet.dateChosen
    ? say('import.date.unsure', { text })
    : say('import.date.means', { text, day: new Intl.DateTimeFormat(LOCALES[document.documentElement.lang] ?? 'en-GB', { dateStyle: 'long', timeZone: 'UTC' }).format(day) });
}

/* What depends on the columns chosen: whether a tank must be named, which units are asked for. */
function refresh() {
  const chosen = sheet.kinds.map((kind) => kind.read().value);
  const has = (...kinds) => kinds.some((kind) => chosen.includes(kind));
  sheet.fields.tank.node.hidden = has('tank');
  sheet.fields.length_unit.node.hidden = !has('waterline', 'air_gap');
  sheet.fields.ec_unit.node.hidden = !has('ec');
  sheet.fields.temperature_unit.node.hidden = !has('temperature');
  sheet.fields.sensor.node.hidden = sheet.fields.as.read().value !== 'sensor';
  byId('table-go').hidden = true; // what was looked at is no longer what would be brought in
  sayDate();
}

function readingUnits() {
  return {
    length_unit: selectField({ label: say('import.length'), value: garden.length_unit, options: ['mm', 'cm', 'in'].map((value) => ({ value, label: value })), onchange: refresh }),
    ec_unit: selectField({ label: say('import.ec'), value: 'ms_cm', options: [{ value: 'ms_cm', label: 'mS/cm' }, { value: 'us_cm', label: 'µS/cm' }], onchange: refresh }),
    temperature_unit: selectField({ label: say('import.temperature'), value: garden.temperature_unit, options: [{ value: 'c', label: '°C' }, { value: 'f', label: '°F' }], onchange: refresh }),
  };
}

function drawSheet() {
  const { look } = sheet;
  const samples = (i) => look.rows.map((row) => row[i]).filter(Boolean).slice(0, 2).join(' · ');
  sheet.kinds = look.columns.map((column, i) => selectField({ label: column.heading || say('import.column', { n: i + 1 }), hint: samples(i) || null, value: column.kind,
    options: options('import.kind', KINDS), onchange: refresh }));
  sheet.means = el('p', { class: 'hint', role: 'status' });
  sheet.fields = {
    separator: selectField({ label: say('import.separator'), value: look.separator, options: options('import.separator', ['comma', 'semicolon', 'tab']), onchange: (value) => lookAt(value) }),
    decimal: selectField({ label: say('import.decimal'), value: look.decimal, options: options('import.decimal', ['point', 'comma']), onchange: refresh }),
    date: selectField({ label: say('import.date'), value: look.date ?? 'ymd', options: options('import.date', ['ymd', 'dmy', 'mdy']), onchange: () => { sheet.dateChosen = true; refresh(); } }),
    heading_rows: textField({ label: say('import.headings'), value: String(look.heading_rows), most: 3 }),
    ...readingUnits(),
    tank: selectField({ label: say('import.tank'), value: '', options: [{ value: '', label: say('import.tank.column') }, ...tanks.map((tank) => ({ value: tank.id, label: tank.name }))], onchange: refresh }),
    as: choiceField({ label: say('import.as'), value: 'log', options: options('import.as', ['log', 'sensor']), onchange: refresh }),
    sensor: textField({ label: say('import.sensor'), value: sheet.file.name.replace(/\.[^.]*$/, ''), most: 80 }),
  };
  const { separator, decimal, date, heading_rows, length_unit, ec_unit, temperature_unit, tank, as, sensor } = sheet.fields;
  fill(byId('table-how'),
    table(say('import.preview'), look.columns.map((column, i) => column.heading || say('import.column', { n: i + 1 })), look.rows.map((row) => look.columns.map((_, i) => row[i] ?? ''))),
    separator.node, decimal.node, el('h3', { text: say('import.columns') }), sheet.kinds.map((kind) => kind.node), date.node, sheet.means, heading_rows.node,
    tank.node, length_unit.node, ec_unit.node, temperature_unit.node, as.node, sensor.node);
  byId('table-acts').hidden = false;
  refresh();
}

async function lookAt(separator = null) {
  const file = sheet.file;
  fill(byId('table-said'));
  try {
    const part = file.slice(0, LOOK_BYTES, 'text/csv');
    sheet.look = await sendFile(`imports/readings/look${separator ? `?separator=${separator}` : ''}`, part, 'text/csv');
    if (sheet.file === file) drawSheet();
  } catch (error) {
    fill(byId('table-how'));
    byId('table-acts').hidden = true;
    fill(byId('table-said'), el('p', { role: 'status', class: 'caution', text: why(error) }));
  }
}

function sheetQuery(check) {
  const query = new URLSearchParams();
  const value = (name) => sheet.fields[name].read().value;
  for (const name of ['separator', 'decimal', 'date', 'heading_rows', 'length_unit', 'ec_unit', 'temperature_unit', 'as']) if (value(name) !== null) query.set(name, value(name));
  sheet.kinds.forEach((kind, i) => {
    const chosen = kind.read().value;
    if (chosen !== 'none' && !query.has(`${chosen}_column`)) query.set(`${chosen}_column`, i + 1);
  });
  if (!query.has('tank_column') && value('tank')) query.set('tank', value('tank'));
  if (value('as') === 'sensor' && value('sensor')) query.set('sensor', value('sensor'));
  if (check) query.set('check', 'true');
  return query;
}

async function sendSheet(check) {
  for (const button of byId('table-acts').querySelectorAll('button')) button.disabled = true;
  const job = await bringIn(byId('table-said'), `imports/readings?${sheetQuery(check)}`, sheet.file, 'text/csv', check);
  for (const button of byId('table-acts').querySelectorAll('button')) button.disabled = false;
  byId('table-go').hidden = !(check && job?.state === 'done');
  if (!byId('table-go').hidden) byId('table-go').focus();
}

/* --- the page ----------------------------------------------------------------------------------- */

function fileField(label, accept, onchange) {
  return field(label, el('input', { type: 'file', accept, onchange: (event) => onchange?.(event.target.files[0] ?? null) }));
}

/* A reading belongs to a tank: without any, only what brings tanks makes sense. */
async function findTanks() {
  tanks = await getAll('tanks');
  byId('tanks-none').hidden = tanks.length !== 0;
  byId('table-form').hidden = tanks.length === 0;
}

/* A form of one file that goes to path() as it is. */
function sendOnSubmit(form, file, node, path, type) {
  form.onsubmit = async (event) => {
    event.preventDefault();
    const chosen = file.input.files[0], button = form.querySelector('button');
    file.fault(chosen ? '' : say('field.fault.empty'));
    if (!chosen) return;
    button.disabled = true;
    await bringIn(node, path(), chosen, type);
    await findTanks().catch(() => {}); // what was known will do
    button.disabled = false;
  };
}

function drawForms() {
  const noun = selectField({ label: say('import.table.noun'), value: 'entries', options: options('import.noun', ['areas', 'vessels', 'tanks', 'members', 'crops', 'salts', 'waters', 'targets', 'weather', 'entries', 'harvests']) });
  const nounFile = fileField(say('import.table.file'), '.csv,text/csv');
  const whole = fileField(say('import.garden.file'), '.json,application/json');
  fill(byId('table-file'), fileField(say('import.file'), '.csv,.tsv,.txt,text/csv', (file) => {
    sheet = file && { file };
    if (sheet) lookAt();
  }).node);
  fill(byId('garden-file'), whole.node);
  byId('table-form').onsubmit = (event) => {
    event.preventDefault();
    if (sheet?.look) sendSheet(true);
  };
  byId('table-go').onclick = () => sendSheet(false);
  fill(byId('noun-file'), noun.node, nounFile.node);
  sendOnSubmit(byId('noun-form'), nounFile, byId('noun-said'), () => `imports/tables/${noun.read().value}`, 'text/csv');
  sendOnSubmit(byId('garden-form'), whole, byId('garden-said'), () => 'imports/garden', 'application/json');
  byId('import').hidden = false;
}

garden = await openPage();
if (garden && !mayKeep(garden)) {
  status('failed', say('import.keepers'));
} else if (garden) {
  try {
    await findTanks();
    status('');
    drawForms();
  } catch (error) {
    failed(error, () => location.reload());
  }
}
