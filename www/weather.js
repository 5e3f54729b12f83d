/* weather.js - daily weather from a table: read here, sent in pieces that are kept whole or not at all. */
import { getAll, send } from './api.js';
import { el, fill } from './dom.js';
import { say } from './words.js';

/** Columns of such a table, as the daemon names them; the first three must be there. */
export const COLUMNS = ['date', 'tmin_c', 'tmax_c', 'rh_percent', 'wind_m_s', 'sunshine_h', 'solar_mj_m2', 'rain_mm'];
const PIECE = 500; // days the daemon takes at once

/** Rows of cells of a table by RFC 4180 (2005); comma, semicolon or tab, whichever the first line has most of. */
export function readTable(text) {
  const first = text.slice(0, text.search(/\r|\n|$/));
  const mark = [',', ';', '\t'].sort((a, b) => first.split(b).length - first.split(a).length)[0];
  const rows = [[]];
  let cell = '', quoted = false;
  const endCell = () => { rows.at(-1).push(cell.trim()); cell = ''; };
  for (let i = 0; i < text.length; i++) {
    const letter = text[i];
    if (quoted) {
      if (letter !== '"') cell += letter;
      else if (text[i + 1] === '"') cell += text[++i];
      else quoted = false;
    } else if (letter === '"' && !cell) quoted = true;
    else if (letter === mark) endCell();
    else if (letter === '\n') { endCell(); rows.push([]); }
    else if (letter !== '\r') cell += letter;
  }
  endCell();
  return rows.filter((row) => row.some((one) => one !== ''));
}

/** Days from a table, and every fault by row and column. A comma is a decimal mark where it does not part the cells. */
export function readDays(text) {
  const [heads, ...rows] = readTable(text.replace(/^\ufeff/, ''));
  const faults = [], days = [];
  const places = COLUMNS.map((name) => (heads ?? []).findIndex((head) => head.toLowerCase() === name));
  COLUMNS.slice(0, 3).forEach((name, i) => { if (places[i] < 0) faults.push({ row: 1, column: name, why: 'missing' }); });
  if (faults.length) return { days, faults };
  rows.forEach((row, i) => {
    const day = {};
    COLUMNS.forEach((name, c) => {
      const cell = places[c] < 0 ? '' : row[places[c]] ?? '';
      if (cell === '' && c > 2) return;
      if (c === 0) day.date = /^\d{4}-\d{2}-\d{2}$/.test(cell) ? cell : void faults.push({ row: i + 2, column: name, why: 'date' });
      else if (/^-?\d+([.,]\d+)?$/.test(cell)) day[name] = Number(cell.replace(',', '.'));
      else faults.push({ row: i + 2, column: name, why: 'number' });
    });
    days.push(day);
  });
  return { days: faults.length ? [] : days, faults };
}

/** Where in the table the daemon found its first fault: {row, column, why}; null where it lies in none of the days. from: the piece's first day. */
export function placeOf(errors, from) {
  const [, day, column] = /^\/days\/(\d+)\/(\w+)$/.exec(errors?.[0]?.at ?? '') ?? [];
  return day === undefined ? null : { row: from + Number(day) + 2, column, why: errors[0].detail };
}

/* Returns whether all were kept. */
async function sendAll(days, said) {
  for (let from = 0; from < days.length; from += PIECE) {
    try {
      await send('POST', 'weather', { days: days.slice(from, from + PIECE) });
    } catch (error) {
      const place = placeOf(error.errors, from);
      if (!place) throw error;
      said.textContent = say('weather.refused', { ...place, kept: from });
      return false;
    }
    said.textContent = say('weather.sent', { n: Math.min(days.length, from + PIECE), all: days.length });
  }
  return true;
}

async function take(file, said, act) {
  const { days, faults } = readDays(await file.text());
  if (faults.length) {
    const [first] = faults;
    said.textContent = say('weather.fault', { ...first, why: say(`weather.fault.${first.why}`), n: faults.length });
    return;
  }
  await act(async () => { if (await sendAll(days, said)) said.textContent = say('weather.kept', { n: days.length }); })();
}

/** The section of the Garden page. */
export async function drawWeather(node, act) {
  const said = el('p', { role: 'status' });
  const input = el('input', { type: 'file', id: 'weather-file', accept: '.csv,text/csv', onchange: () => input.files[0] && take(input.files[0], said, act) });
  fill(node, el('p', { text: say('weather.about') }), el('p', { class: 'where', text: COLUMNS.join(', ') }),
    el('label', { for: 'weather-file', text: say('weather.choose') }), input, said);
  const known = await getAll('weather', 500).catch(() => []);
  if (known.length) said.textContent = say('weather.known', { n: known.length, from: known[0].date, to: known.at(-1).date });
}
