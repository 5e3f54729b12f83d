/* lidplan.js - the lid from above: where the holes go. To scale on the screen, at true size on paper. */
import { svg } from './dom.js';
import { format } from './units.js';
import { say } from './words.js';

const outline = ([l, w], corner) => svg('rect', { class: 'lidedge', x: 0, y: 0, width: l, height: w, rx: corner, ry: corner });

/* Lengths here are mm: the view box is the lid. */
function hole(at, diameter, number, letter) {
  const arm = Math.max(5, diameter * 0.12);
  return [
    svg('circle', { class: 'hole', cx: at.x_mm, cy: at.y_mm, r: diameter / 2 }),
    svg('path', { class: 'cross', d: `M${at.x_mm - arm} ${at.y_mm}h${2 * arm}M${at.x_mm} ${at.y_mm - arm}v${2 * arm}` }),
    svg('text', { x: at.x_mm + arm * 0.4, y: at.y_mm - arm * 0.5, 'font-size': letter, text: String(number) }),
  ];
}

/** The whole lid, `width` px wide. */
export function lidPlan(lid, cups, { width, garden }) {
  const [l, w] = lid.lid_mm;
  const scale = Math.min((width - 8) / l, 340 / w);
  const parts = [svg('g', { transform: `translate(4 4) scale(${scale})`, class: 'scaled' }, outline(lid.lid_mm, lid.corner_mm ?? 0),
    cups.flatMap((at) => [svg('circle', { class: 'hole', cx: at.x_mm, cy: at.y_mm, r: lid.hole_mm / 2 })])),
  ...cups.map((at, i) => svg('text', { x: 4 + at.x_mm * scale, y: 4 + at.y_mm * scale + 6, 'text-anchor': 'middle', text: String(i + 1) }))];
  const said = say('lid.said', { n: cups.length, l: format('length', l, garden), w: format('length', w, garden), hole: format('length', lid.hole_mm, garden) });
  return svg('svg', { class: 'lidplan', viewBox: `0 0 ${Math.ceil(l * scale) + 8} ${Math.ceil(w * scale) + 8}`, width: Math.ceil(l * scale) + 8, height: Math.ceil(w * scale) + 8, role: 'img', 'aria-label': said }, parts);
}

/* Print areas, mm: the paper less 10 mm on each side (common practice, no source). FOOT holds the check bar. */
export const PAPERS = { a4: { wide: 190, high: 277 }, letter: { wide: 195.9, high: 259.4 } };
const FOOT = 24, OVERLAP = 10;

/* Starts of tiles of size `tile` that cover `whole`, each overlapping the one before. */
export function tileStarts(whole, tile) {
  const count = whole <= tile ? 1 : Math.ceil((whole - OVERLAP) / (tile - OVERLAP));
  return Array.from({ length: count }, (_, i) => i * (tile - OVERLAP));
}

/** The template in tiles: each one sheet of paper, an <svg> measured in mm. Lies across the paper whichever way takes fewer. */
export function templateTiles(lid, cups, paper) {
  const { wide, high } = PAPERS[paper];
  const room = high - FOOT - 6;
  const edge = 2; // mm of white around the lid's own line
  const need = (l, w) => tileStarts(l + 2 * edge, wide).length * tileStarts(w + 2 * edge, room).length;
  let { lid_mm: [l, w] } = lid;
  let places = cups;
  if (need(w, l) < need(l, w)) {
    places = cups.map((at) => ({ x_mm: w - at.y_mm, y_mm: at.x_mm })); // turned a quarter
    [l, w] = [w, l];
  }
  const columns = tileStarts(l + 2 * edge, wide), rows = tileStarts(w + 2 * edge, room);
  return rows.flatMap((top, row) => columns.map((from, column) => {
    const name = `${String.fromCharCode(65 + row)}${column + 1}`;
    const x = from - edge, y = top - edge;
    const marks = [];
    if (column > 0) marks.push(`M${x + OVERLAP} ${y}v${room}`);
    if (row > 0) marks.push(`M${x} ${y + OVERLAP}h${wide}`);
    return svg('svg', { class: 'tile', 'data-row': row, width: `${wide}mm`, height: `${high}mm`, viewBox: `${x} ${y} ${wide} ${high}`, role: 'img', 'aria-label': say('lid.tile', { name }) },
      svg('svg', { x, y, width: wide, height: room, viewBox: `${x} ${y} ${wide} ${room}` },
        outline([l, w], lid.corner_mm ?? 0), places.flatMap((at, i) => hole(at, lid.hole_mm, i + 1, 7)),
        marks.length ? svg('path', { class: 'overlap', d: marks.join('') }) : null),
      svg('rect', { class: 'cut', x: x + 0.2, y: y + 0.2, width: wide - 0.4, height: room - 0.4 }),
      svg('path', { class: 'check', d: `M${x + 5} ${y + room + 9}v6h100v-6` }),
      svg('text', { x: x + 110, y: y + room + 14, 'font-size': 5, text: say('lid.check') }),
      svg('text', { x: x + 5, y: y + room + 24, 'font-size': 5, text: say('lid.tile.of', { name, rows: rows.length, columns: columns.length, overlap: OVERLAP }) }));
  }));
}
