/* drawing.js - the tank in section, to true proportion.
 *
 * One scale for both directions, so a shallow tote looks shallow. Everything is told by shape and
 * by a word beside it; colour only repeats it. The open triangle on the waterline is the sign that
 * hydraulic drawings use for a free surface.
 *
 * Input is plain data (sectionOf makes it from the daemon's answer), output one <svg>.
 *
 *            \|/   \|/           what hangs in the cups, by age
 *   ======|__|===|__|======      lid
 *    |      ||     ||     |      air gap: from the lid down to the waterline
 *    | - - - - - - - - - -|      start mark
 *    |____________________|      waterline
 *    |. . . . . . . . . . |      coming waterlines, low mark
 *    |____________________|
 */
import { svg } from './dom.js';
import { say } from './words.js';
import { daysBetween, format, nearDay } from './units.js';

/* Width of the vessel along its length at heights from 0 to height_mm: [[h_mm, width_mm], ...]. */
function profileOf(shape) {
  if (shape.shape === 'box') return [[0, shape.floor_mm[0]], [shape.height_mm, shape.rim_mm[0]]];
  if (shape.shape === 'round') return [[0, shape.floor_mm], [shape.height_mm, shape.rim_mm]];
  /* Poured: only volumes are known. The width drawn is that of a round vessel of the same surface. */
  const profile = [];
  const points = [[0, 0], ...shape.points.filter((point) => point[0] > 0)];
  for (let i = 1; i < points.length; i++) {
    const area_mm2 = (points[i][1] - points[i - 1][1]) * 1e6 / (points[i][0] - points[i - 1][0]);
    const wide = 2 * Math.sqrt(Math.max(area_mm2, 1) / Math.PI);
    profile.push([(points[i][0] + points[i - 1][0]) / 2, wide]);
  }
  profile.unshift([0, profile[0][1]]);
  profile.push([points.at(-1)[0], profile.at(-1)[1]]);
  return profile;
}

export const heightOf = (shape) => shape.height_mm ?? Math.max(...shape.points.map((point) => point[0]));

function widthAt(profile, h) {
  for (let i = 1; i < profile.length; i++) {
    const [h0, w0] = profile[i - 1];
    const [h1, w1] = profile[i];
    if (h <= h1) return h1 === h0 ? w1 : w0 + (w1 - w0) * (h - h0) / (h1 - h0);
  }
  return profile.at(-1)[1];
}

/**
 * Plain data of a section from a vessel, a tank's state and its outlook (both may be null).
 * crops: map of slug to name.
 */
export function sectionOf(vessel, state, outlook, garden) {
  const height_mm = heightOf(vessel.shape);
  const lid_l = vessel.lid?.lid_mm?.[0] ?? (vessel.shape.rim_mm?.[0] ?? vessel.shape.rim_mm ?? widthAt(profileOf(vessel.shape), height_mm));
  const planted = new Map((state?.cups || []).map((cup) => [cup.cup, cup]));
  const cups = (vessel.cups || []).map((at, i) => {
    const cup = planted.get(i + 1);
    return {
      number: i + 1, x_mm: at.x_mm - lid_l / 2, y_mm: at.y_mm, crop: cup?.crop ?? null,
      days: cup?.planted_on ? daysBetween(cup.planted_on, garden.today) : null, planted_on: cup?.planted_on ?? null,
    };
  });
  return {
    height_mm, profile: profileOf(vessel.shape), lid_mm: lid_l, cups, cup: vessel.cup,
    start_mm: state?.start_mm ?? vessel.start_mm, low_mm: state?.low_mm ?? vessel.low_mm,
    ceiling_mm: state?.ceiling_mm ?? null, waterline_mm: state?.waterline_mm ?? null,
    volume_l: state?.volume_l ?? null, coming: comingOf(outlook, state, garden),
  };
}

/* Two days ahead of us worth a line: three and seven days from now, where they differ from today's. */
function comingOf(outlook, state, garden) {
  if (!outlook?.waterline || state?.waterline_mm === null || state?.waterline_mm === undefined) return [];
  return [3, 7].flatMap((ahead) => {
    const day = outlook.waterline.find((row) => daysBetween(garden.today, row.date) === ahead);
    return day && day.p50_mm > 0 && state.waterline_mm - day.p50_mm > 3
      ? [{ date: day.date, mm: day.p50_mm, low_mm: day.p10_mm, high_mm: day.p90_mm }] : [];
  });
}

/* How tall a plant of this age is drawn, mm above the lid; a drawing's measure, no forecast (invented). */
const leafHeight = (days) => 35 + 150 * Math.min(1, Math.max(0, days) / 40);

function plant(x, y, scale, days) {
  const tall = leafHeight(days) * scale;
  const leaves = [-1, -0.5, 0, 0.5, 1].map((lean) => {
    const tipX = x + lean * tall * 0.55, tipY = y - tall * (1 - 0.35 * Math.abs(lean));
    const broad = tall * 0.13, bend = lean * tall * 0.32;
    return `M${x} ${y}Q${x + bend - broad} ${y - tall * 0.55} ${tipX} ${tipY}Q${x + bend + broad} ${y - tall * 0.4} ${x} ${y}`;
  });
  return svg('path', { class: 'leaf', d: leaves.join('') });
}

function roots(x, y, scale, days, floor) {
  const long = Math.min(floor - y - 2, (20 + 7 * Math.min(40, Math.max(0, days))) * scale);
  if (long < 3) return null;
  const strands = [-0.35, -0.12, 0.12, 0.35].map((lean, i) =>
    `M${x + lean * 8 * scale} ${y}q${lean * 40 * scale} ${long * 0.4} ${lean * 60 * scale * (i % 2 ? 0.6 : 1)} ${long * (i % 2 ? 1 : 0.8)}`);
  return svg('path', { class: 'root', d: strands.join('') });
}

function cupShape(x, lidY, cup, scale) {
  const top = cup.top_mm / 2 * scale, bottom = cup.bottom_mm / 2 * scale, high = cup.height_mm * scale;
  return svg('path', { class: 'cup', d: `M${x - top} ${lidY}L${x - bottom} ${lidY + high}H${x + bottom}L${x + top} ${lidY}` });
}

/* Where on the waterline, `deep` px below the lid, the sign of a free surface stands clear of cups: the first gap from the left
 * that is `room` px wide; null where there is none. */
function clearOfCups(data, middle, half, scale, deep, room) {
  const { height_mm: high = 60, top_mm: top = 50, bottom_mm: bottom = 50 } = data.cup ?? {};
  const above = deep - room / 2; // the sign stands on the line: its upper edge is what meets a cup
  const wide = above > high * scale ? 0 : (top + (bottom - top) * Math.max(0, above) / (high * scale)) / 2 * scale;
  let from = middle - half + 3;
  for (const cup of [...data.cups].sort((a, b) => a.x_mm - b.x_mm)) {
    const x = middle + cup.x_mm * scale;
    if (wide && x - wide - from >= room) return from + room / 2;
    if (wide) from = Math.max(from, x + wide);
  }
  return middle + half - 3 - from >= room ? from + room / 2 : null;
}

/* Pushes labels apart, keeping their order: each gets at least `step` px. */
export function spread(labels, step, top, bottom) {
  const sorted = [...labels].sort((a, b) => a.y - b.y);
  sorted.forEach((label, i) => {
    label.at = Math.max(label.y, i ? sorted[i - 1].at + step : top);
  });
  for (let i = sorted.length - 1, limit = bottom; i >= 0; i--, limit -= step) {
    sorted[i].at = Math.min(sorted[i].at, limit);
    limit = sorted[i].at;
  }
  return sorted;
}

const CLEAR = (value) => value !== null && value !== undefined && Number.isFinite(value);

/* The lines across the vessel, the waterline last so that it lies on top. */
function marksOf(data, length, garden) {
  return [
    { mm: CLEAR(data.ceiling_mm) && Math.abs(data.ceiling_mm - data.start_mm) < 1 ? null : data.start_mm, kind: 'start', text: say('drawing.start', { x: length(data.start_mm) }) },
    { mm: data.low_mm, kind: 'low', text: say('drawing.low', { x: length(data.low_mm) }) },
    { mm: data.ceiling_mm, kind: 'ceiling', text: say('drawing.ceiling', { x: length(data.ceiling_mm) }) },
    ...(data.coming || []).map((day) => ({ mm: day.mm, kind: 'coming', text: say('drawing.coming', { day: nearDay(day.date, garden.today) }) })),
    { mm: data.waterline_mm, kind: 'now', text: say('drawing.now', { x: length(data.waterline_mm) }) },
  ].filter(({ mm }) => CLEAR(mm) && mm >= 0 && mm <= data.height_mm);
}

/**
 * The section as SVG, `width` px wide; text is in real px, so draw again when the width changes.
 * size 'large' has words beside it; 'small' has none and is hidden from screen readers, since the
 * page says the same in words next to it.
 */
export function sectionDrawing(data, { width, size = 'large', garden, most = 300 }) {
  const large = size === 'large';
  const length = (mm) => format('length', mm, garden);
  const marks = marksOf(data, length, garden);
  const labelled = large ? 22 + 9.6 * Math.max(0, ...marks.map((one) => one.text.length)) : 0; // px a bold letter, about
  const edge = 6;
  const wide_mm = Math.max(data.lid_mm || 0, ...data.profile.map((row) => row[1])) * 1.02;
  const tallest_mm = Math.max(0, ...data.cups.filter((cup) => cup.crop).map((cup) => leafHeight(cup.days)));
  const above_mm = Math.max(tallest_mm, large ? 30 : 12);
  const scale = Math.min((width - labelled - 2 * edge) / wide_mm, most / (data.height_mm + above_mm));
  const lidThick = Math.max(3, Math.min(7, 12 * scale));
  const lidY = edge + above_mm * scale + lidThick + (large && tallest_mm ? 18 : 0);
  const floorY = lidY + data.height_mm * scale;
  const middle = edge + wide_mm * scale / 2;
  const y = (mm) => floorY - mm * scale;
  const half = (mm) => widthAt(data.profile, mm) * scale / 2;
  const lines = [];

  if (CLEAR(data.waterline_mm)) {
    const level = Math.min(data.waterline_mm, data.height_mm);
    const wall = data.profile.filter((row) => row[0] < level).map((row) => [row[0], row[1] * scale / 2]);
    wall.push([level, half(level)]);
    const right = wall.map(([h, w]) => `${middle + w} ${y(h)}`);
    const left = wall.map(([h, w]) => `${middle - w} ${y(h)}`).reverse();
    lines.push(svg('path', { class: 'water', d: `M${[...right, ...left].join('L')}Z` }));
    for (let at = y(level) + 7; at < floorY - 2; at += 7) {
      const w = half((floorY - at) / scale) - 2;
      lines.push(svg('path', { class: 'hatch', d: `M${middle - w} ${at}H${middle + w}` }));
    }
  }
  for (const cup of [...data.cups].sort((a, b) => b.y_mm - a.y_mm)) {
    const x = middle + cup.x_mm * scale;
    if (cup.crop) lines.push(roots(x, lidY + (data.cup?.height_mm ?? 60) * scale, scale, cup.days, floorY));
    if (data.cup) lines.push(cupShape(x, lidY, data.cup, scale));
    if (cup.crop) lines.push(plant(x, lidY - lidThick, scale, cup.days));
  }

  const wallPath = data.profile.map(([h, w]) => `${middle + w * scale / 2} ${y(h)}`);
  const wallLeft = data.profile.map(([h, w]) => `${middle - w * scale / 2} ${y(h)}`).reverse();
  lines.push(svg('path', { class: 'wall', d: `M${[...wallLeft, ...wallPath].join('L')}` }));
  const lid = (data.lid_mm || wide_mm) * scale / 2;
  lines.push(svg('rect', { class: 'lid', x: middle - lid, y: lidY - lidThick, width: 2 * lid, height: lidThick }));

  const labels = [];
  for (const { mm, kind, text } of marks) {
    const w = half(mm);
    lines.push(svg('path', { class: `mark ${kind}`, d: `M${middle - w} ${y(mm)}H${middle + w}` }));
    if (large && !(data.planned && kind === 'now')) labels.push({ y: y(mm), x: middle + w, kind, text });
  }
  if (CLEAR(data.waterline_mm) && data.waterline_mm <= data.height_mm) {
    const at = y(data.waterline_mm), s = large ? 7 : 4;
    const x = clearOfCups(data, middle, half(data.waterline_mm), scale, at - lidY, 2 * s + 4);
    if (x !== null) lines.push(svg('path', { class: 'surface', d: `M${x - s} ${at - 2 * s}H${x + s}L${x} ${at - 2}Z` }));
  }

  let bottom = floorY + edge;
  if (large) {
    bottom = Math.max(bottom, edge + labels.length * 21 + 8);
    for (const label of spread(labels, 21, 16, bottom - 8)) {
      const from = Math.min(width - labelled + 12, middle + wide_mm * scale / 2 + 48);
      lines.push(svg('path', { class: 'leader', d: `M${label.x + 2} ${label.y}L${from - 4} ${label.at}` }));
      lines.push(svg('text', { class: `say ${label.kind}`, x: from, y: label.at + 5, text: label.text }));
    }
    ages(data, middle, lidY - lidThick, scale, lines);
  }
  const right = large ? width : Math.ceil(2 * edge + wide_mm * scale);
  const said = large ? { role: 'img', 'aria-label': sectionSentence(data, garden) } : { 'aria-hidden': 'true', focusable: 'false' };
  const drawing = svg('svg', { class: `section ${size}`, viewBox: `0 0 ${right} ${Math.ceil(bottom)}`, width: right, height: Math.ceil(bottom), ...said }, lines);
  /* For a touch on the drawing: which waterline is at a height in px. */
  drawing.waterlineAt = (px) => Math.min(data.height_mm, Math.max(0, (floorY - px) / scale));
  return drawing;
}

/* Ages over the plants, where there is room to read them: one for each run of equal ages. */
function ages(data, middle, top, scale, lines) {
  let free = -Infinity, before = null;
  for (const cup of [...data.cups].filter((c) => c.crop && c.days).sort((a, b) => a.x_mm - b.x_mm)) {
    const text = say('drawing.days', { n: cup.days });
    const x = middle + cup.x_mm * scale;
    const room = text.length * 9;
    if (cup.days === before || x - room / 2 < free) continue;
    before = cup.days;
    free = x + room / 2 + 6;
    lines.push(svg('text', { class: 'say age', x, y: top - leafHeight(cup.days) * scale - 5, 'text-anchor': 'middle', text }));
  }
}

/** What the drawing shows, in one or two sentences. */
export function sectionSentence(data, garden) {
  const length = (mm) => format('length', mm, garden);
  const planted = data.cups.filter((cup) => cup.crop).length;
  const parts = [];
  if (CLEAR(data.waterline_mm)) {
    parts.push(say('drawing.sentence.water', { waterline: length(data.waterline_mm), gap: length(data.height_mm - data.waterline_mm) }));
    if (CLEAR(data.volume_l)) parts.push(say('drawing.sentence.volume', { volume: format('volume', data.volume_l, garden) }));
  } else {
    parts.push(say('drawing.sentence.dry'));
  }
  parts.push(say('drawing.sentence.cups', { planted, n: data.cups.length }));
  for (const day of data.coming || [])
    parts.push(say('drawing.sentence.coming', { day: nearDay(day.date, garden.today), low: length(Math.max(0, day.low_mm)), high: length(Math.max(0, day.high_mm)) }));
  return parts.join(' ');
}

/** The same as rows of a table: [[what, value], ...]. */
export function sectionRows(data, garden, cropName) {
  const length = (mm) => format('length', mm, garden);
  const rows = [
    [say('drawing.row.height'), length(data.height_mm)],
    [say('drawing.row.waterline'), length(data.waterline_mm)],
    [say('drawing.row.gap'), CLEAR(data.waterline_mm) ? length(data.height_mm - data.waterline_mm) : '–'],
    [say('drawing.row.start'), length(data.start_mm)],
    [say('drawing.row.low'), length(data.low_mm)],
    [say('drawing.row.ceiling'), length(data.ceiling_mm)],
  ];
  for (const day of data.coming || [])
    rows.push([say('drawing.row.coming', { day: nearDay(day.date, garden.today) }), `${length(Math.max(0, day.low_mm))} – ${length(Math.max(0, day.high_mm))}`]);
  for (const cup of data.cups)
    rows.push([say('drawing.row.cup', { number: cup.number }), cup.crop ? say('drawing.row.crop', { crop: cropName(cup.crop), n: cup.days ?? 0 }) : say('drawing.row.free')]);
  return rows;
}

/** Plain data for a small section from the short form that lists carry. */
export function smallSection(drawing) {
  const height_mm = drawing.height_mm;
  const rim = drawing.rim_mm ?? height_mm * 1.5, floor = drawing.floor_mm ?? rim;
  const count = Math.min(drawing.cups || 0, 6);
  const planted = drawing.cups ? Math.round(drawing.planted / drawing.cups * count) : 0;
  return {
    height_mm, profile: [[0, floor], [height_mm, rim]], lid_mm: rim,
    cup: { height_mm: Math.min(76, height_mm * 0.25), top_mm: Math.min(76, rim / (count + 1)), bottom_mm: Math.min(50, rim / (count + 2)) },
    cups: Array.from({ length: count }, (_, i) => ({
      number: i + 1, x_mm: rim * ((i + 0.5) / count - 0.5) * 0.86, y_mm: 0, crop: i < planted ? 'x' : null, days: 20,
    })),
    start_mm: drawing.start_mm, low_mm: drawing.low_mm, ceiling_mm: drawing.ceiling_mm, waterline_mm: drawing.waterline_mm, coming: [],
  };
}

/** Draws into a container, and again when its width changes. make(width) gives the <svg>. */
export function drawInto(container, make) {
  let drawn = 0;
  const draw = () => {
    const width = Math.floor(container.clientWidth);
    if (width < 40 || width === drawn) return;
    drawn = width;
    container.replaceChildren(make(width));
  };
  container.redraw?.disconnect();
  container.redraw = new ResizeObserver(draw);
  container.redraw.observe(container);
  draw();
}
