/* lidview.js - a tank's lid from above, with what hangs in each cup. To scale; a touch on a cup opens what can be done with it.
 *
 * Each state has a shape of its own, so that nothing rests on colour:
 *
 *    ( )   free         (\|/)  growing     ((\|/))  ready
 *    (x)   lost         (\-/)  cut, regrowing
 */
import { get, getAll } from './api.js';
import { details, el, svg, table } from './dom.js';
import { drawInto } from './drawing.js';
import { ageOf, openLog } from './log.js';
import { mayLog } from './page.js';
import { dateOf, nearDay } from './units.js';
import { say } from './words.js';

const LEAST = 22; // px from the middle of what is touched: targets are 44 px wide

/* The lid's length and width; where nobody measured the lid, the cups with some room around them. */
function lidOf(vessel) {
  if (vessel.lid?.lid_mm) return { size: vessel.lid.lid_mm, corner: vessel.lid.corner_mm ?? 0, hole: vessel.lid.hole_mm ?? vessel.cup?.top_mm ?? 50 };
  const hole = vessel.cup?.top_mm ?? 50;
  const far = (name) => Math.max(hole, ...vessel.cups.map((cup) => cup[name])) + hole;
  return { size: [far('x_mm'), far('y_mm')], corner: 0, hole };
}

const stateWord = (cup) => (cup.state === 'cut' ? say('cup.cut.n', { n: cup.cuts }) : say(`cup.${cup.state}`));

/** 'Leaf lettuce, growing', 'free'. */
const cupSays = (cup, nameOf) => (cup.crop ? `${nameOf(cup.crop)}, ${stateWord(cup)}` : stateWord(cup));

/* A rosette: leaves from the middle, longer with age. */
function rosette(x, y, r) {
  const leaves = Array.from({ length: 7 }, (_, i) => {
    const turn = i / 7 * 2 * Math.PI - Math.PI / 2, side = 0.32;
    const at = (angle, length) => `${(x + Math.cos(angle) * length).toFixed(1)} ${(y + Math.sin(angle) * length).toFixed(1)}`;
    return `M${x} ${y}Q${at(turn - side, r * 0.7)} ${at(turn, r)}Q${at(turn + side, r * 0.7)} ${x} ${y}`;
  });
  return svg('path', { class: 'leaf', d: leaves.join('') });
}

function cupShape(cup, x, y, r, garden) {
  const shapes = [svg('circle', { class: 'hole', cx: x, cy: y, r })];
  if (cup.state === 'lost') shapes.push(svg('path', { class: 'sign', d: `M${x - r * 0.6} ${y - r * 0.6}L${x + r * 0.6} ${y + r * 0.6}M${x + r * 0.6} ${y - r * 0.6}L${x - r * 0.6} ${y + r * 0.6}` }));
  if (!cup.crop) return shapes;
  const days = cup.planted_on ? ageOf(cup.planted_on, garden) : 0;
  shapes.push(rosette(x, y, r * (0.75 + 0.5 * Math.min(1, days / 40))));
  if (cup.state === 'ready') shapes.push(svg('circle', { class: 'ring', cx: x, cy: y, r: r + 5 }));
  if (cup.state === 'cut') shapes.push(svg('path', { class: 'sign', d: `M${x - r} ${y}H${x + r}` }));
  return shapes;
}

const STATES = ['growing', 'ready', 'cut', 'free', 'lost'];

/* 'Of 8 cups: 6 growing, 2 free.' */
function countSays(cups) {
  const count = (state) => cups.filter((cup) => cup.state === state).length;
  return say('cups.said', { n: cups.length, list: STATES.filter(count).map((state) => say(`cups.n.${state}`, { n: count(state) })).join(', ') });
}

/* What each shape on this lid means, drawn as it is there. */
function legend(cups, garden) {
  const age = cups.find((cup) => cup.planted_on)?.planted_on;
  return el('ul', { class: 'signs' }, STATES.filter((state) => cups.some((cup) => cup.state === state)).map((state) => el('li', {},
    svg('svg', { viewBox: '0 0 40 40', width: 40, height: 40, 'aria-hidden': 'true', focusable: 'false' }, cupShape({ state, crop: !['free', 'lost'].includes(state), planted_on: age }, 20, 20, 12, garden)),
    say(`cup.${state}`))));
}

function lidDrawing(tank, garden, nameOf, width, open) {
  const lid = lidOf(tank.vessel);
  const scale = Math.min((width - 36) / lid.size[0], 360 / lid.size[1]);
  const [l, w] = lid.size.map((mm) => mm * scale);
  const parts = [svg('rect', { class: 'lidedge', x: 6, y: 6, width: l, height: w, rx: lid.corner * scale })];
  tank.state.cups.forEach((cup, i) => {
    const at = tank.vessel.cups[i];
    const x = 6 + at.x_mm * scale, y = 6 + at.y_mm * scale, r = Math.max(7, lid.hole / 2 * scale);
    parts.push(svg('g', { class: `cup ${cup.state}`, role: 'button', tabindex: 0, 'aria-label': say('cup.open', { number: cup.cup, what: cupSays(cup, nameOf) }),
      onclick: () => open(cup.cup), onkeydown: (event) => { if (event.key === 'Enter' || event.key === ' ') { event.preventDefault(); open(cup.cup); } } },
    svg('circle', { class: 'touch', cx: x, cy: y, r: Math.max(LEAST, r) }), cupShape(cup, x, y, r, garden),
    svg('text', { x: x + r * 0.85 + 4, y: y - r * 0.5, text: String(cup.cup) })));
  });
  return svg('svg', { class: 'lidplan lidview', viewBox: `0 0 ${Math.ceil(l) + 30} ${Math.ceil(w) + 12}`, width: Math.ceil(l) + 30, height: Math.ceil(w) + 12, role: 'group', 'aria-label': countSays(tank.state.cups) }, parts);
}

/* ---- one cup ---- */

function facts(cup, garden, nameOf) {
  const day = (date) => nearDay(date, garden.today);
  const told = [];
  if (cup.crop) {
    told.push(say('cup.say.planted', { crop: nameOf(cup.crop), n: ageOf(cup.planted_on, garden), day: day(cup.planted_on) }));
    if (cup.sown_on) told.push(say('cup.say.sown', { day: day(cup.sown_on) }));
    if (cup.start) told.push(say(`cup.start.${cup.start}`));
    if (cup.here_since && cup.here_since !== cup.planted_on) told.push(say('cup.say.here', { day: day(cup.here_since) }));
    if (cup.cuts) told.push(`${say('cup.cut.n', { n: cup.cuts })}.`);
    if (cup.ready_on) told.push(say('cup.say.ready', { day: day(cup.ready_on) }));
  } else if (cup.lost) {
    told.push(say('cup.lost.say', { crop: nameOf(cup.lost), day: day(cup.lost_on), reason: say(`log.reason.${cup.lost_to}`) }));
  } else {
    told.push(say('cup.say.free'));
  }
  return told;
}

function deedSays(deed, nameOf) {
  const cup = deed.other_cup ? '.cup' : '';
  return say(`cup.did.${deed.what}${cup}`, { crop: nameOf(deed.crop), cup: deed.other_cup, reason: deed.reason ? say(`log.reason.${deed.reason}`) : '' });
}

/** A dialog about one cup: what hangs there, what can be done, what happened. */
export function openCup(tank, number, garden, nameOf, after) {
  const cup = tank.state.cups[number - 1];
  const act = (kind, word, prefill) => el('button', { type: 'button', text: say(word), onclick: () => { dialog.close(); openLog(kind, tank, garden, { prefill: { cups: [number], ...prefill }, after }); } });
  const acts = !mayLog(garden) || tank.state.phase === 'empty' ? []
    : cup.crop ? [act('harvest', 'act.harvest', {}), act('move', 'act.move', {}), act('loss', 'act.loss', {}), act('planting', 'act.replace', {})]
      : [act('planting', 'act.planting', {})];
  const past = el('ul', { class: 'log' }, el('li', { text: say('cup.loading') }));
  const dialog = el('dialog', { 'aria-labelledby': 'cup-title' }, el('h2', { id: 'cup-title', text: say('cup.title', { number }) }), el('p', { class: 'where', text: tank.name }),
    facts(cup, garden, nameOf).map((text) => el('p', { text })), acts.length ? el('div', { class: 'row' }, acts) : null,
    el('h3', { text: say('cup.history') }), past, el('div', { class: 'daily' }, el('div', {}, el('button', { type: 'button', text: say('close'), onclick: () => dialog.close() }))));
  dialog.addEventListener('close', () => dialog.remove());
  document.body.append(dialog);
  dialog.showModal();
  get(`tanks/${encodeURIComponent(tank.id)}/cups/${number}`).then(({ past: deeds }) => {
    past.replaceChildren(...[...deeds].reverse().map((deed) => el('li', {}, el('span', { class: 'what' }, el('span', { text: deedSays(deed, nameOf) }), el('small', { text: nearDay(dateOf(deed.at, garden), garden.today) })))));
    if (!deeds.length) past.replaceChildren(el('li', { text: say('cup.history.none') }));
  }).catch(() => past.replaceChildren());
  return dialog;
}

/** The whole figure into node: drawing, legend, sentence, table. */
export function showLid(node, tank, garden, nameOf, after) {
  node.hidden = !tank.vessel.cups?.length;
  if (node.hidden) return;
  const open = (number) => openCup(tank, number, garden, nameOf, after);
  const stage = el('div', { class: 'stage' });
  const rows = tank.state.cups.map((cup) => [el('button', { type: 'button', class: 'quiet', text: String(cup.cup), 'aria-label': say('cup.title', { number: cup.cup }), onclick: () => open(cup.cup) }),
    cup.crop ? nameOf(cup.crop) : '–', cup.planted_on ? nearDay(cup.planted_on, garden.today) : cup.lost_on ? nearDay(cup.lost_on, garden.today) : '–', stateWord(cup)]);
  node.replaceChildren(el('h2', { text: say('cups.title') }), stage, el('p', { text: countSays(tank.state.cups) }), legend(tank.state.cups, garden), el('p', { class: 'hint', text: say('cups.touch') }),
    details(say('cups.table'), table(say('cups.table'), ['cup', 'crop', 'since', 'state'].map((name) => say(`cup.head.${name}`)), rows)));
  drawInto(stage, (width) => lidDrawing(tank, garden, nameOf, width, open));
}
