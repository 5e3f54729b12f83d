/* chart.js - readings over time, what may come, and what a crop likes. SVG from plain data.
 *
 * Values come in the unit they are shown in, times as day numbers with fractions. Lines are thinned
 * to the pixel width: of each column the first, least, greatest and last point stay.
 */
import { svg } from './dom.js';
import { dayText, formatDay, formatNumber } from './units.js';

/** At most about four points a px column; points ordered by t. */
export function thin(points, columns, from, to) {
  if (points.length <= columns * 2) return points;
  const kept = [];
  let column = null, bucket = [];
  const flush = () => {
    if (!bucket.length) return;
    let least = bucket[0], most = bucket[0];
    for (const point of bucket) {
      if (point.v < least.v) least = point;
      if (point.v > most.v) most = point;
    }
    kept.push(...[...new Set([bucket[0], least, most, bucket.at(-1)])].sort((a, b) => a.t - b.t));
    bucket = [];
  };
  for (const point of points) {
    const at = Math.floor((point.t - from) / (to - from) * columns);
    if (at !== column) flush();
    column = at;
    bucket.push(point);
  }
  flush();
  return kept;
}

/** Round steps for an axis: at most `most` of them between low and high. */
export function ticks(low, high, most) {
  const rough = (high - low) / Math.max(1, most);
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = [1, 2, 2.5, 5, 10].map((n) => n * power).find((n) => n >= rough * 0.999);
  const list = [];
  for (let i = Math.ceil(low / step - 1e-9); i * step <= high + step * 1e-9; i++) list.push(i * step + 0); // + 0: no -0
  return { list, digits: Math.max(0, Math.min(3, -Math.floor(Math.log10(step) + 1e-9) + (step / power === 2.5 ? 1 : 0))) };
}

/**
 * Of several places for a word, the one that fewest lines cross. places [{x, y, end}]: where its base line begins (or ends);
 * lines [[[x, y], ...], ...], all in px; wide: of the word.
 */
export function clearest(places, lines, wide, high = 18) {
  const crossed = ({ x, y, end }) => {
    const from = end ? x - wide : x;
    let count = 0;
    for (const line of lines)
      for (let i = 0; i + 1 < line.length; i++)
        for (let part = 0; part < 16; part++) {
          const px = line[i][0] + (line[i + 1][0] - line[i][0]) * part / 16, py = line[i][1] + (line[i + 1][1] - line[i][1]) * part / 16;
          if (px >= from - 5 && px <= from + wide + 5 && py >= y - high && py <= y + 5) count++;
        }
    return count;
  };
  return places.map((place) => [crossed(place), place]).reduce((best, next) => (next[0] < best[0] ? next : best))[1];
}

const DAY_STEPS = [1, 2, 7, 14, 28, 91, 182, 364];

/**
 *   points  [{t, v}]                 readings
 *   fan     [{t, low, mid, high}]    what may come
 *   band    {low, high, label}       what the crop likes
 *   course  [{t, v}]                 as computed beforehand, dashed
 *   marks   [{v, label}]             start, low
 *   now     t                        today
 *   said    the sentence for those who do not see it
 */
export function lineChart({ width, height = 230, points = [], fan = [], course = [], band = null, marks = [], now = null, unit, said, today }) {
  const left = 48, right = 10, top = 26, bottom = 30;
  const values = [...points.map((p) => p.v), ...course.map((p) => p.v), ...fan.flatMap((p) => [p.low, p.high]), ...marks.map((m) => m.v), ...(band ? [band.low, band.high] : [])];
  const times = [...points.map((p) => p.t), ...course.map((p) => p.t), ...fan.map((p) => p.t), ...(now === null ? [] : [now])];
  if (!values.length || !times.length) return null;
  let low = Math.min(...values), high = Math.max(...values);
  const room = (high - low || Math.abs(high) || 1) * 0.08;
  low = low >= 0 && low - room < 0 ? 0 : low - room;
  high += room;
  const from = Math.min(...times), to = Math.max(...times, from + 1);
  const x = (t) => left + (t - from) / (to - from) * (width - left - right);
  const y = (v) => top + (high - v) / (high - low) * (height - top - bottom);
  const line = (list, pick) => list.map((p, i) => `${i ? 'L' : 'M'}${x(p.t).toFixed(1)} ${y(pick(p)).toFixed(1)}`).join('');
  const parts = [], words = []; // words lie on top of the lines

  if (band) {
    const fits = Math.floor((width - left - right - 12) / 8), label = band.label.length > fits ? `${band.label.slice(0, fits - 1).replace(/[ ,]+$/, '')}…` : band.label;
    parts.push(svg('rect', { class: 'band', x: left, y: y(band.high), width: width - left - right, height: y(band.low) - y(band.high) }));
    for (const edge of [band.low, band.high]) parts.push(svg('path', { class: 'bandedge', d: `M${left} ${y(edge)}H${width - right}` }));
    const spots = [false, true].flatMap((end) => [y(band.high) + 18, y(band.low) - 7].map((at) => ({ x: end ? width - right - 6 : left + 6, y: at, end })));
    const spot = clearest(spots, [points, course, fan.map((p) => ({ t: p.t, v: p.mid }))].map((list) => list.map((p) => [x(p.t), y(p.v)])), label.length * 8.5);
    words.push(svg('text', { x: spot.x, y: spot.y, 'text-anchor': spot.end ? 'end' : 'start', text: label }));
  }
  const scale = ticks(low, high, Math.floor((height - top - bottom) / 30));
  for (const v of scale.list) {
    parts.push(svg('path', { class: 'grid', d: `M${left} ${y(v)}H${width - right}` }));
    parts.push(svg('text', { x: left - 6, y: y(v) + 5, 'text-anchor': 'end', text: formatNumber(v, scale.digits, scale.digits) }));
  }
  parts.push(svg('text', { x: 0, y: 15, text: unit }));
  const step = DAY_STEPS.find((days) => (to - from) / days <= (width - left - right) / 78) ?? 364;
  for (let t = Math.ceil(from); t <= to; t++) {
    const anchor = now === null ? Math.floor(to) : Math.floor(now);
    if ((t - anchor) % step !== 0 || x(t) < left + 14 || x(t) > width - 26) continue;
    parts.push(svg('path', { class: 'axis', d: `M${x(t)} ${height - bottom}v5` }));
    parts.push(svg('text', { x: x(t), y: height - 6, 'text-anchor': 'middle', text: formatDay(dayText(t), today, { weekday: false }) }));
  }
  parts.push(svg('path', { class: 'axis', d: `M${left} ${top}V${height - bottom}H${width - right}` }));
  if (fan.length > 1) {
    const back = [...fan].reverse().map((p) => `L${x(p.t).toFixed(1)} ${y(p.low).toFixed(1)}`).join('');
    parts.push(svg('path', { class: 'fan', d: `${line(fan, (p) => p.high)}${back}Z` }));
    parts.push(svg('path', { class: 'middle', d: line(fan, (p) => p.mid) }));
  }
  if (course.length > 1) parts.push(svg('path', { class: 'middle', d: line(course, (p) => p.v) }));
  for (const mark of marks) {
    parts.push(svg('path', { class: 'bandedge', d: `M${left} ${y(mark.v)}H${width - right}` }));
    words.push(svg('text', { x: left + 6, y: y(mark.v) - 5, text: mark.label }));
  }
  if (now !== null && now > from && now < to) parts.push(svg('path', { class: 'now', d: `M${x(now)} ${top}V${height - bottom}` }));
  const drawn = thin(points, Math.max(10, width - left - right), from, to);
  parts.push(svg('path', { class: 'line', d: line(drawn, (p) => p.v) }));
  if (drawn.length <= 80) for (const p of drawn) parts.push(svg('circle', { class: 'dot', cx: x(p.t), cy: y(p.v), r: 4.5 }));
  const cursor = svg('path', { class: 'now' });
  const drawing = svg('svg', { class: 'chart', viewBox: `0 0 ${width} ${height}`, width, height, role: 'img', 'aria-label': said }, parts, words, cursor);
  /* For a touch: marks the reading nearest to this px and gives it back. */
  drawing.pick = (px) => {
    if (!points.length) return null;
    const nearest = points.reduce((best, p) => (Math.abs(x(p.t) - px) < Math.abs(x(best.t) - px) ? p : best));
    cursor.setAttribute('d', `M${x(nearest.t)} ${top}V${height - bottom}`);
    return nearest;
  };
  return drawing;
}

/**
 * How values lie: a line from the least to the most with a mark at the middle one, on a scale from nothing; a band where
 * `usual` tells one. rows [{label, text, low, median, high, usual: {low, high} | null}].
 */
export function spreadChart({ width, rows, said }) {
  const most = Math.max(...rows.map((row) => Math.max(row.high, row.usual?.high ?? 0)), 1e-9);
  const each = 64, height = rows.length * each + 4;
  const x = (v) => v / most * (width - 16) + 6;
  const parts = rows.flatMap((row, i) => {
    const y = i * each, line = y + 42;
    const band = row.usual ? [svg('rect', { class: 'band', x: x(row.usual.low), y: line - 14, width: Math.max(3, x(row.usual.high) - x(row.usual.low)), height: 28 }),
      ...[row.usual.low, row.usual.high].map((edge) => svg('path', { class: 'bandedge', d: `M${x(edge)} ${line - 14}v28` }))] : [];
    return [svg('text', { x: 2, y: y + 18, text: row.label }), svg('text', { x: width - 4, y: y + 18, 'text-anchor': 'end', text: row.text }),
      ...band, svg('path', { class: 'grid', d: `M${x(0)} ${line}H${width - 6}` }),
      svg('path', { class: 'spread', d: `M${x(row.low)} ${line}H${x(row.high)}M${x(row.low)} ${line - 7}v14M${x(row.high)} ${line - 7}v14` }),
      svg('path', { class: 'median', d: `M${x(row.median)} ${line - 11}v22` })];
  });
  return svg('svg', { class: 'chart', viewBox: `0 0 ${width} ${height}`, width, height, role: 'img', 'aria-label': said }, parts);
}

/**
 * Ratios on a scale of equal steps for equal factors, one row an element, in it one lane for each letter.
 * rows [{label, marks: [{letter, v | null}]}]; what is null is left out.
 */
export function ratioChart({ width, rows, lanes, said }) {
  const known = rows.flatMap((row) => row.marks.map((mark) => mark.v)).filter((v) => v > 0);
  if (!known.length) return null;
  const steps = [0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10];
  const low = steps.filter((step) => step <= Math.min(...known)).at(-1) ?? steps[0], high = steps.find((step) => step >= Math.max(...known)) ?? steps.at(-1);
  const lane = 20, each = 26 + lanes * lane, height = rows.length * each + 30;
  const x = (v) => 14 + Math.log(v / low) / Math.log(high / low || 2) * (width - 40);
  const parts = steps.filter((step) => step >= low && step <= high).flatMap((step) => [svg('path', { class: 'grid', d: `M${x(step)} 0V${height - 24}` }),
    svg('text', { x: x(step), y: height - 6, 'text-anchor': 'middle', text: formatNumber(step, 2) })]);
  rows.forEach((row, i) => {
    parts.push(svg('text', { x: 2, y: i * each + 17, text: row.label }));
    row.marks.forEach((mark, j) => {
      if (!(mark.v > 0)) return;
      const y = i * each + 26 + j * lane;
      parts.push(svg('path', { class: 'grid', d: `M${x(low)} ${y + 8}H${x(mark.v)}` }), svg('text', { class: 'letter', x: x(mark.v), y: y + 14, 'text-anchor': 'middle', text: mark.letter }));
    });
  });
  return svg('svg', { class: 'chart', viewBox: `0 0 ${width} ${height}`, width, height, role: 'img', 'aria-label': said }, parts);
}
