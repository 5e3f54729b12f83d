/* planning.js - how many plants one fill carries: a curve, a sentence and a table from one answer of the daemon. */
import { ticks } from './chart.js';
import { details, el, svg, table } from './dom.js';
import { drawInto } from './drawing.js';
import { span } from './sentences.js';
import { format, formatNumber } from './units.js';
import { say } from './words.js';

/* How sure somebody wants to be: nine chances in ten, or even ones. Ours. */
const SURE = 0.9, EVEN = 0.5;

/** A probability as chances in ten, never rounded up: a promise of nine must hold nine. */
export function chances(share) {
  if (share >= 0.99) return say('chance.hundred');
  const tenths = Math.floor(share * 10 + 1e-9);
  return tenths < 1 ? say('chance.hardly') : say('chance.tenths', { n: tenths });
}

/** As many plants as the sum may be asked about: past the cups, so that the curve shows where it falls; 60 is the daemon's bound. */
export const plantsAsked = (cups, wanted) => Math.min(60, Math.max(12, cups + 2, wanted));

const percent = (share) => `${formatNumber(share * 100, 0)}\u00a0%`;

/**
 * Probability that one fill lasts to the first harvest, against the number of plants.
 *   rows    [{plants, carries}]  plants from 1 upwards
 *   chosen  how many the grower wants, or null
 */
export function carryChart({ width, rows, chosen = null, said }) {
  const height = 230, left = 58, right = 12, top = 26, bottom = 44, most = rows.at(-1).plants;
  const x = (plants) => left + (most > 1 ? (plants - 1) / (most - 1) : 0.5) * (width - left - right);
  const y = (share) => top + (1 - share) * (height - top - bottom);
  const parts = [], words = [];

  for (const share of [0, 0.25, 0.75, 1]) parts.push(svg('path', { class: 'grid', d: `M${left} ${y(share)}H${width - right}` }));
  for (const share of [EVEN, SURE]) parts.push(svg('path', { class: 'bandedge', d: `M${left} ${y(share)}H${width - right}` }));
  for (const share of [0, EVEN, SURE]) parts.push(svg('text', { x: left - 6, y: y(share) + 5, 'text-anchor': 'end', text: percent(share) }));
  for (const plants of ticks(1, Math.max(2, most), Math.max(2, Math.floor((width - left - right) / 48))).list.filter((n) => Number.isInteger(n) && n >= 1 && n <= most)) {
    parts.push(svg('path', { class: 'axis', d: `M${x(plants)} ${height - bottom}v5` }));
    parts.push(svg('text', { x: x(plants), y: height - bottom + 20, 'text-anchor': 'middle', text: String(plants) }));
  }
  words.push(svg('text', { x: left, y: height - 4, text: say('plan.carry.plants') }));
  parts.push(svg('path', { class: 'axis', d: `M${left} ${top}V${height - bottom}H${width - right}` }));
  parts.push(svg('path', { class: 'line', d: rows.map((row, i) => `${i ? 'L' : 'M'}${x(row.plants).toFixed(1)} ${y(row.carries).toFixed(1)}`).join('') }));
  for (const row of rows) parts.push(svg('circle', { class: 'dot', cx: x(row.plants), cy: y(row.carries), r: row.plants === chosen ? 8 : 4.5 }));
  const here = rows.find((row) => row.plants === chosen);
  if (here) {
    parts.push(svg('path', { class: 'now', d: `M${x(chosen)} ${y(here.carries) + 8}V${height - bottom}` }));
    const toTheLeft = x(chosen) - left > 150; // the curve falls: left of the line and below it is free
    words.push(svg('text', { x: x(chosen) + (toTheLeft ? -10 : 10), y: here.carries > 0.35 ? y(0.12) : y(here.carries) - 16, 'text-anchor': toTheLeft ? 'end' : 'start', text: say('plan.carry.mark', { n: chosen, chance: percent(here.carries) }) }));
  }
  return svg('svg', { class: 'chart', viewBox: `0 0 ${width} ${height}`, width, height, role: 'img', 'aria-label': said }, parts, words);
}

/* The last row that was asked for is no limit of the plants. */
const upTo = (plants, rows) => (plants === rows.at(-1).plants ? say('plan.carry.ormore', { n: plants }) : String(plants));

const fact = (word, value, small) => el('div', {}, el('dt', { text: say(word) }), el('dd', {}, value, small ? el('small', { text: small }) : null));

/** Everything about one answer: facts, sentence, curve, table. floor: the load on the floor in words. */
export function carryNodes(answer, { garden, chosen, floor }) {
  const row = answer.rows.find((one) => one.plants === chosen);
  const litres = (one) => `${format('volume', one.litres.p10, garden)} – ${format('volume', one.litres.p90, garden)}`;
  const sentence = row ? say('plan.carry.chosen', { n: chosen, chance: chances(row.carries), when: span(answer.harvest_on, garden) }) : '';
  const stage = el('div', { class: 'stage' });
  const all = [
    el('dl', { class: 'facts' }, fact('plan.carry.volume', format('volume', answer.start_l, garden), say('plan.carry.usable', { x: format('volume', answer.usable_l, garden) })),
      fact('plan.carry.mass', format('heavy', answer.solution_kg, garden)), fact('plan.carry.floor', floor)),
    sentence ? el('p', { class: 'ask', text: sentence }) : null,
    el('p', { text: say(answer.plants_at_90 > 0 ? 'plan.carry.most' : 'plan.carry.notone', { sure: upTo(answer.plants_at_90, answer.rows), even: upTo(answer.plants_at_50, answer.rows), room: answer.plants_by_spacing }) }),
    el('figure', {}, el('figcaption', { text: say('plan.carry.title') }), stage),
    details(say('chart.table'), table(say('plan.carry.title'), [say('plan.carry.plants'), say('plan.carry.chance'), say('plan.carry.drink')], answer.rows.map((one) => [String(one.plants), percent(one.carries), litres(one)]))),
    el('p', { class: 'hint', text: say('plan.carry.about') }),
  ];
  drawInto(stage, (width) => carryChart({ width, rows: answer.rows, chosen, said: sentence || say('plan.carry.title') }));
  return all;
}

/** Where the daemon knows no climate, the place is what is missing. */
export const noClimateNodes = () => [el('p', { text: say('plan.carry.noclimate') }), el('p', {}, el('a', { class: 'act', href: 'garden.html', text: say('plan.carry.place') }))];

/** Whether a refusal means just that. */
export const lacksClimate = (error) => error?.status === 422 && (error.errors || []).some((fault) => fault.at.split('/')[1] === 'climate');
