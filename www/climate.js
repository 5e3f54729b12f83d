/* climate.js - the monthly normals of the place: where they come from, what they are, and how to tell better ones. */
import { send } from './api.js';
import { openForm } from './dialog.js';
import { details, el, fill, table } from './dom.js';
import { textField } from './fields.js';
import { mayKeep } from './page.js';
import { format, formatNumber } from './units.js';
import { readTable } from './weather.js';
import { locale, say } from './words.js';

/** Heads of such a table; the first two must be there. Least and most as the daemon takes them. */
export const MONTH_COLUMNS = [['tmin_c', -60, 60], ['tmax_c', -60, 60], ['rh_percent', 1, 100], ['wind_m_s', 0, 60], ['sunshine_h', 0, 24]];
const NEEDED = 2;

/** Twelve months from a table, and every fault by row and column. */
export function readMonths(text) {
  const [heads, ...rows] = readTable(text.replace(/^\ufeff/, ''));
  const faults = [];
  const places = MONTH_COLUMNS.map(([name]) => (heads ?? []).findIndex((head) => head.toLowerCase() === name));
  MONTH_COLUMNS.slice(0, NEEDED).forEach(([name], i) => { if (places[i] < 0) faults.push({ row: 1, column: name, why: 'missing' }); });
  if (faults.length) return { months: [], faults };
  if (rows.length !== 12) return { months: [], faults: [{ row: rows.length + 1, column: MONTH_COLUMNS[0][0], why: 'twelve' }] };
  const months = rows.map((row, i) => {
    const month = {};
    MONTH_COLUMNS.forEach(([name, least, most], c) => {
      const cell = places[c] < 0 ? '' : row[places[c]] ?? '';
      const value = Number(cell.replace(',', '.').replace('\u2212', '-'));
      if (cell === '' && c >= NEEDED) return;
      if (cell === '' || !Number.isFinite(value)) faults.push({ row: i + 2, column: name, why: 'number' });
      else if (value < least || value > most) faults.push({ row: i + 2, column: name, why: 'bounds' });
      else month[name] = value;
    });
    if (month.tmin_c > month.tmax_c) faults.push({ row: i + 2, column: 'tmax_c', why: 'crossed' });
    return month;
  });
  return { months: faults.length ? [] : months, faults };
}

/** The same table from months, to be changed and sent back. */
export function writeMonths(months) {
  const names = MONTH_COLUMNS.map(([name]) => name);
  const cell = (value) => (typeof value === 'number' ? String(Math.round(value * 10) / 10) : '');
  return [names, ...months.map((month) => names.map((name) => cell(month[name])))].map((row) => row.join(';')).join('\n');
}

function tableField(months) {
  const field = textField({ label: say('climate.paste'), value: months ? writeMonths(months) : MONTH_COLUMNS.map(([name]) => name).join(';'), lines: 13, required: true, most: 4000, hint: say('climate.paste.hint') });
  const { read } = field;
  return { ...field, read() {
    const typed = read();
    if ('fault' in typed) return typed;
    const { months: found, faults } = readMonths(typed.value);
    if (!faults.length) return { value: found };
    const [first] = faults;
    const fault = say('climate.fault', { ...first, why: say(`weather.fault.${first.why}`), n: faults.length });
    field.fault(fault);
    return { fault };
  } };
}

function monthsTable(months, garden) {
  const name = new Intl.DateTimeFormat(locale(), { month: 'long', timeZone: 'UTC' });
  const plain = (value) => (typeof value === 'number' ? formatNumber(value, 1) : '–');
  return table(say('climate.table'), ['climate.month', 'climate.tmin', 'climate.tmax', 'climate.rh', 'climate.wind', 'climate.sun'].map((word) => say(word)),
    months.map((month, i) => [name.format(Date.UTC(2026, i, 15)), format('temperature', month.tmin_c, garden), format('temperature', month.tmax_c, garden),
      plain(month.rh_percent), plain(month.wind_m_s), plain(month.sunshine_h)]));
}

/** The section of the Garden page. Under lamps there is no climate to tell here. */
export function drawClimate(part, node, garden, act) {
  const months = garden.climate_used?.monthly, told = garden.climate_from === 'told';
  part.hidden = garden.place === 'lamps';
  if (part.hidden) return;
  const tell = el('button', { type: 'button', text: say('climate.tell'), onclick: () => {
    const climate = tableField(months);
    openForm({ title: say('climate.title'), fields: { climate }, nodes: [climate.node], save: async (values) => {
      await send('PATCH', 'garden', { climate: { monthly: values.climate } });
      location.reload();
    } });
  } });
  const forget = el('button', { type: 'button', text: say('climate.forget'), onclick: act(async () => { await send('PATCH', 'garden', { climate: null }); location.reload(); }) });
  fill(node, el('p', { text: say(`climate.from.${garden.climate_from}`) }), months?.length ? details(say('climate.table'), monthsTable(months, garden)) : null,
    mayKeep(garden) ? el('div', { class: 'row' }, tell, told ? forget : null) : null);
}
