/* drift.js - EC and pH of a fill as computed from what was weighed, laid beside what was measured.
 *
 * The daemon tells the course against the waterline; a chart runs on days. Where the water stood is known at
 * the readings since the fill, and where it will stand the outlook guesses: both turn a waterline into a day.
 */
import { format, formatNumber } from './units.js';
import { hasWord, say } from './words.js';

/** EC and pH at a waterline, straight between two points of the course; null above or below all of it. Points fall. */
export function courseAt(points, waterline_mm) {
  const slack = 2; // mm; a reading by eye at the very mark is no other water
  const top = points[0], end = points.at(-1);
  if (!(waterline_mm <= top.waterline_mm + slack && waterline_mm >= end.waterline_mm - slack)) return null;
  const mm = Math.min(top.waterline_mm, Math.max(end.waterline_mm, waterline_mm));
  const i = Math.max(1, points.findIndex((point) => point.waterline_mm <= mm));
  const [a, b] = [points[i - 1], points[i]];
  const share = a.waterline_mm > b.waterline_mm ? (a.waterline_mm - mm) / (a.waterline_mm - b.waterline_mm) : 0;
  const between = (name) => a[name] + share * (b[name] - a[name]);
  return { ec_ms_cm: between('ec_ms_cm'), ph: between('ph') };
}

/**
 * The course on days: [{t, ec_ms_cm, ph, ahead}].
 *   filled     t of the fill
 *   levels     [{t, waterline_mm}] measured since the fill
 *   ahead      [{t, waterline_mm}] the outlook's middle
 *   topped_up  t of the first top-up since the fill, or null: from there the tank holds other water
 */
export function courseOnDays(points, { filled, levels, ahead, topped_up = null }) {
  const until = topped_up ?? Infinity;
  const known = levels.filter((level) => level.t > filled && level.t < until);
  const coming = topped_up === null ? ahead.filter((level) => level.t > (known.at(-1)?.t ?? filled)) : [];
  let lowest = points[0].waterline_mm;
  const rows = [{ t: filled, ...courseAt(points, points[0].waterline_mm), ahead: false }];
  for (const [level, isAhead] of [...known.map((one) => [one, false]), ...coming.map((one) => [one, true])]) {
    lowest = Math.min(lowest, level.waterline_mm); // rain and slips of the eye do not turn a course back
    const at = courseAt(points, lowest);
    if (!at) break; // below the low mark nothing is computed
    rows.push({ t: level.t, ...at, ahead: isAhead });
  }
  return rows.length > 1 ? rows : [];
}

/* How far readings may lie off the sum before it is worth a word. Ours: two good meters differ by about as much. */
const WORTH_A_WORD = { ec_ms_cm: 0.2, ph: 0.4 };

/** The middle of what was measured minus what was computed at that time; null with nothing to compare, or when it is small. */
export function offBy(name, course, readings) {
  const gaps = [];
  for (const reading of readings) {
    const i = course.findIndex((row) => row.t >= reading.t - 1e-6);
    if (i < 0) continue;
    const [a, b] = [course[Math.max(0, i - 1)], course[i]];
    if (reading.t < course[0].t) continue;
    const share = b.t > a.t ? (reading.t - a.t) / (b.t - a.t) : 0;
    gaps.push(reading.v - (a[name] + share * (b[name] - a[name])));
  }
  if (!gaps.length) return null;
  const middle = gaps.sort((a, b) => a - b)[Math.floor(gaps.length / 2)];
  return Math.abs(middle) >= WORTH_A_WORD[name] ? middle : null;
}

const MG_CACO3_MMOL = 50.04; // mg/L of calcium carbonate in a mmol/L of alkalinity
const SHIFT_WORTH_A_NUMBER = 0.05; // mmol/L: 2.5 mg/L, less than a test kit tells

/** That the pH is set by the readings, and by how much alkalinity. */
export function anchorSentence(drift) {
  const shift = drift.alkalinity_shift_mmol_l;
  const key = Math.abs(shift) < SHIFT_WORTH_A_NUMBER ? 'same' : shift < 0 ? 'less' : 'more';
  return say(`drift.set.${key}`, { n: drift.ph_readings, x: formatNumber(Math.abs(shift) * MG_CACO3_MMOL, 0) });
}

/** The course in sentences: from where to where, what runs out, what the readings say to it. */
export function courseSentences(name, drift, course, readings, garden) {
  const quantity = name === 'ph' ? 'ph' : 'ec', key = name === 'ph' ? 'ph' : 'ec';
  const first = drift.points[0], last = drift.points.at(-1);
  const said = [say(`drift.${key}`, { from: format(quantity, first[name], garden), to: format(quantity, last[name], garden), volume: format('volume', last.volume_l, garden, 0) })];
  if (name === 'ec_ms_cm' && drift.runs_out) said.push(say('drift.out', { ion: hasWord(`ion.${drift.runs_out}`) ? say(`ion.${drift.runs_out}`) : drift.runs_out, volume: format('volume', drift.runs_out_at_l, garden, 0) }));
  if (name === 'ph' && typeof drift.alkalinity_shift_mmol_l === 'number') said.push(anchorSentence(drift));
  const off = offBy(name, course, readings);
  if (off !== null) said.push(say(`drift.${key}.${off < 0 ? 'below' : 'above'}`, { x: name === 'ph' ? formatNumber(Math.abs(off), 1) : format('ec', Math.abs(off), garden) }));
  return said;
}
