/* units.js - numbers as people type and read them, in the units the garden chose.
 *
 * Stored values are always mm, L, g, degrees C, mS/cm. Factors are exact by definition: inch 25.4 mm,
 * US gallon 3.785411784 L, imperial gallon 4.54609 L, ounce 28.349523125 g, pound 453.59237 g
 * (NIST Handbook 44, appendix C, from memory).
 */
import { locale, say } from './words.js';

const line = (factor, digits) => ({ factor, offset: 0, digits });

/* quantity: which setting of the garden chooses, and what may be chosen.
 * shown = (stored - offset) / factor. digits: after the mark, when shown. */
const QUANTITIES = {
  length: { setting: 'length_unit', units: { mm: line(1, 0), cm: line(10, 1), in: line(25.4, 2) } },
  volume: { setting: 'volume_unit', units: { l: line(1, 1), us_gal: line(3.785411784, 2), imp_gal: line(4.54609, 2) } },
  mass: { setting: 'mass_unit', units: { g: line(1, 1), oz: line(28.349523125, 2) } },
  heavy: { setting: 'mass_unit', units: { g: line(1, 0), oz: line(0.45359237, 0) } }, // stored in kg; kg or lb
  temperature: { setting: 'temperature_unit', units: { c: line(1, 1), f: { factor: 5 / 9, offset: -160 / 9, digits: 1 } } },
  ec: { setting: null, units: { ms_cm: line(1, 2) } },
  ph: { setting: null, units: { ph: line(1, 1) } },
  concentration: { setting: null, units: { mg_l: line(1, 1) } },
  count: { setting: null, units: { count: line(1, 0) } },
  percent: { setting: null, units: { percent: line(1, 1) } },
  acid: { setting: null, units: { ml: line(1, 1) } },
  plain: { setting: null, units: { plain: line(1, 2) } },
};

function unitOf(quantity, garden) {
  const { setting, units } = QUANTITIES[quantity];
  const names = Object.keys(units);
  const name = setting && units[garden?.[setting]] ? garden[setting] : names[0];
  return { name: quantity === 'heavy' ? `heavy_${name}` : name, ...units[name] };
}

/** The unit's short name, '' for a bare number. */
export function unitName(quantity, garden) {
  const { name } = unitOf(quantity, garden);
  return ['ph', 'count', 'plain'].includes(name) ? '' : say(`unit.${name}`);
}

export function toShown(quantity, stored, garden) {
  const { factor, offset } = unitOf(quantity, garden);
  return (stored - offset) / factor;
}

export function toStored(quantity, shown, garden) {
  const { factor, offset } = unitOf(quantity, garden);
  return shown * factor + offset;
}

/** A bare number as people write it here, at most `digits` after the mark. */
export function formatNumber(value, digits = 1, least = 0) {
  return new Intl.NumberFormat(locale(), {
    maximumFractionDigits: digits, minimumFractionDigits: least, useGrouping: false,
  }).format(Math.abs(value) < 0.5 * 10 ** -digits ? 0 : value); // no '-0'
}

/** Number and unit; a no-break space between them. '–' for what nobody measured. */
export function format(quantity, stored, garden, digits) {
  if (stored === null || stored === undefined || !Number.isFinite(stored)) return '–';
  const unit = unitOf(quantity, garden);
  const name = unitName(quantity, garden);
  const number = formatNumber((stored - unit.offset) / unit.factor, digits ?? unit.digits, quantity === 'ph' ? 1 : 0);
  return name ? `${number}\u00a0${name}` : number;
}

/** The text that goes into a field: enough digits that reading it back gives the same mark on a ruler. */
export function fieldText(quantity, stored, garden) {
  if (stored === null || stored === undefined || !Number.isFinite(stored)) return '';
  const { factor, offset, digits } = unitOf(quantity, garden);
  return formatNumber((stored - offset) / factor, digits + 1);
}

/**
 * Reads what was typed: {value} or {fault: 'empty' | 'both_marks' | 'not_a_number'}.
 * Comma and point are both decimal marks; a text with both could mean two things and is refused.
 * Inches may have a fraction: 3 1/2.
 */
export function readNumber(text, { fractions = false } = {}) {
  const typed = text.trim().replace(/\u2212/g, '-');
  if (typed === '') return { fault: 'empty' };
  if (typed.includes(',') && typed.includes('.')) return { fault: 'both_marks' };
  const parts = fractions && /^(?:(\d+)\s+)?(\d+)\s*\/\s*(\d+)$/.exec(typed);
  if (parts && Number(parts[3]) > 0) return { value: Number(parts[1] || 0) + Number(parts[2]) / Number(parts[3]) };
  if (!/^[+-]?(\d+([.,]\d*)?|[.,]\d+)$/.test(typed)) return { fault: 'not_a_number' };
  return { value: Number(typed.replace(',', '.')) };
}

/** Reads a field in the garden's unit: {stored} in our unit, or {fault}. */
export function readQuantity(quantity, text, garden) {
  const { name } = unitOf(quantity, garden);
  const read = readNumber(text, { fractions: name === 'in' });
  return 'value' in read ? { stored: tidy(toStored(quantity, read.value, garden)) } : read;
}

/* Away with the dust of binary fractions (25.4 * 3 = 76.19999999999999), far below any scale or ruler. */
const tidy = (value) => Number(value.toPrecision(12));

/* --- days and instants ------------------------------------------------------------------------ */

const DAY_MS = 86400000;

export const dayNumber = (date) => Date.parse(`${date}T00:00:00Z`) / DAY_MS;
export const dayText = (number) => new Date(Math.round(number) * DAY_MS).toISOString().slice(0, 10);
export const daysBetween = (from, to) => dayNumber(to) - dayNumber(from);

const NEAR_YEAR_DAYS = 180; // ours: nobody takes a 20 January told in November for another year's

/** A plain date: 'Thu 21 May', with the year where it is not this one. */
export function formatDay(date, today, { weekday = true } = {}) {
  if (!date) return '–';
  const options = { day: 'numeric', month: 'short', timeZone: 'UTC' };
  if (weekday) options.weekday = 'short';
  if (today && date.slice(0, 4) !== today.slice(0, 4) && Math.abs(daysBetween(today, date)) > NEAR_YEAR_DAYS) {
    options.year = 'numeric';
    delete options.weekday;
  }
  return new Intl.DateTimeFormat(locale(), options).format(new Date(`${date}T12:00:00Z`));
}

/** The name of a weekday, 0 Monday to 6 Sunday. */
export const weekdayName = (weekday, length = 'long') =>
  new Intl.DateTimeFormat(locale(), { weekday: length, timeZone: 'UTC' }).format(new Date(Date.UTC(2024, 0, 1 + weekday))); // 2024-01-01 was a Monday

/** The day word a neighbour would use: today, tomorrow, Thursday, 21 May. */
export function nearDay(date, today) {
  const away = daysBetween(today, date);
  if (away === 0) return say('day.today');
  if (away === 1) return say('day.tomorrow');
  if (away === -1) return say('day.yesterday');
  if (Math.abs(away) > 1 && Math.abs(away) < 7)
    return new Intl.DateTimeFormat(locale(), { weekday: 'long', timeZone: 'UTC' }).format(new Date(`${date}T12:00:00Z`));
  return formatDay(date, today, { weekday: Math.abs(away) < 14 });
}

function zoneParts(instant, zone) {
  const parts = {};
  const format = new Intl.DateTimeFormat('en-GB', {
    timeZone: zone, hourCycle: 'h23', year: 'numeric', month: '2-digit', day: '2-digit', hour: '2-digit', minute: '2-digit', second: '2-digit',
  });
  for (const { type, value } of format.formatToParts(instant)) parts[type] = value;
  return parts;
}

/** The garden's date of an instant. */
export function dateOf(instant, garden) {
  const p = zoneParts(new Date(instant), garden.time_zone);
  return `${p.year}-${p.month}-${p.day}`;
}

/** Wall time in the garden, as a datetime-local field wants it. */
export function wallTime(instant, garden) {
  const p = zoneParts(new Date(instant), garden.time_zone);
  return `${p.year}-${p.month}-${p.day}T${p.hour}:${p.minute}`;
}

/** The UTC instant of a wall time in the garden; of an hour that comes twice, the first or second as the zone rules give it. */
export function instantOf(wall, garden) {
  let guess = Date.parse(`${wall}:00Z`);
  for (let turn = 0; turn < 2; turn++) {
    const p = zoneParts(new Date(guess), garden.time_zone);
    const seen = Date.UTC(p.year, p.month - 1, p.day, p.hour, p.minute, p.second);
    guess += Date.parse(`${wall}:00Z`) - seen;
  }
  return utc(guess);
}

/** RFC 3339, whole seconds. */
export const utc = (instant = Date.now()) => `${new Date(instant).toISOString().slice(0, 19)}Z`;

/** 'Thu 21 May, 07:30' in the garden's zone. */
export function formatInstant(instant, garden) {
  const time = new Intl.DateTimeFormat(locale(), { hour: '2-digit', minute: '2-digit', timeZone: garden.time_zone }).format(new Date(instant));
  return `${formatDay(dateOf(instant, garden), garden.today)}, ${time}`;
}
