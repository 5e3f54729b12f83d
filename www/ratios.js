/* ratios.js - target solutions side by side, by what each holds for a gram of nitrogen: strength apart, that is what differs. */
import { ratioChart } from './chart.js';
import { details, el, fill, table } from './dom.js';
import { drawInto } from './drawing.js';
import { boxesField } from './fields.js';
import { format, formatNumber } from './units.js';
import { say } from './words.js';

export const STAGES = ['seedling', 'growing', 'finishing'];
const DRAWN = ['p', 'k', 'ca', 'mg', 's'];
const TABLED = ['n', 'p', 'k', 'ca', 'mg', 's', 'fe', 'mn', 'zn', 'b', 'cu', 'mo'];
const MOST = 4, LETTERS = 'ABCD';

/** Of each element, what a gram of nitrogen comes with; null where one of both is not told. */
export const ratioOf = (target, element) => (target.mg_l.n > 0 && target.mg_l[element] > 0 ? target.mg_l[element] / target.mg_l.n : null);

export function ratioTool({ garden, node, named }) {
  let targets = [], chosen = null;
  const element = (name) => say(`element.${name}`);

  function show(place) {
    const shown = targets.filter((one) => chosen.includes(one.id)).slice(0, MOST);
    const letter = (i) => LETTERS[i];
    const stage = el('div', { class: 'stage' });
    const cell = (target, name) => {
      const ratio = ratioOf(target, name);
      return `${format('concentration', target.mg_l[name] ?? null, garden, 2)}${ratio !== null && name !== 'n' ? ` (${formatNumber(ratio, ratio < 0.1 ? 4 : 2)})` : ''}`;
    };
    fill(place, chosen.length > MOST ? el('p', { class: 'hint', text: say('ratios.most', { n: MOST }) }) : null,
      el('ul', { class: 'legend' }, shown.map((one, i) => el('li', {}, el('strong', { text: letter(i) }), ` ${named('target', one)}${one.stage ? `, ${say(`target.stage.${one.stage}`)}` : ''}`))),
      el('p', { text: say('ratios.about') }), stage,
      details(say('chart.table'), table(say('ratios.table'), [say('mix.element'), ...shown.map((_, i) => letter(i))], TABLED.map((name) => [element(name), ...shown.map((one) => cell(one, name))]))));
    drawInto(stage, (width) => ratioChart({ width, said: say('ratios.about'), lanes: shown.length, rows: DRAWN.map((name) => ({ label: element(name), marks: shown.map((one, i) => ({ letter: letter(i), v: ratioOf(one, name) })) })) }));
  }

  return { draw(all) {
    targets = all.filter((one) => one.mg_l.n > 0);
    node.hidden = targets.length < 2;
    if (node.hidden) return;
    /* The garden's own come first, then what is published. */
    chosen ??= [...targets].sort((a, b) => a.builtin - b.builtin).slice(0, 3).map((one) => one.id);
    const place = el('div');
    const boxes = boxesField({ label: say('ratios.choose'), chosen, options: targets.map((one) => ({ value: one.id, label: named('target', one) })), onchange: () => { chosen = boxes.read().value; show(place); } });
    fill(node, el('summary', { text: say('ratios.open') }), place);
    const open = () => {
      if (!boxes.node.isConnected) place.before(boxes.node);
      show(place);
    };
    node.ontoggle = () => node.open && open();
    if (node.open) open();
  } };
}
