/* stocks.js - the recipe of a fill as stock solutions: what goes into each bottle, the dose, labels to print. */
import { send } from './api.js';
import { el, fill, table } from './dom.js';
import { numberField } from './fields.js';
import { why } from './page.js';
import { format, formatNumber } from './units.js';
import { say } from './words.js';

/* What makes a stock a fuel's companion; two salts of this list are nitrates of commerce. */
const NITRATE = /nitrate/;
const CAUTIONS = ['stocks.caution.pour', 'stocks.caution.bottle', 'stocks.caution.cold', 'stocks.caution.goggles'];

/** Grams for one bottle: [{salt, grams}]. */
export const bottleGrams = (stock, bottle_l) => stock.salts.map((one) => ({ salt: one.salt, grams: one.g_l * bottle_l }));

/** How much finished solution one bottle makes, L. */
export const bottleMakes = (stock, bottle_l) => bottle_l * 1000 / stock.dose_ml_l;

/** Grams as a scale shows them: two digits after the mark below 10 g, three below 1 g. */
export const scaleText = (grams, garden) => format('mass', grams, garden, garden.mass_unit === 'oz' ? 4 : grams < 1 ? 3 : grams < 10 ? 2 : 1);

const millilitres = (ml) => `${formatNumber(ml, ml < 100 ? 1 : 0)}\u00a0mL`;

/** What stands on one bottle, line by line. */
export function labelLines(stock, { factor, bottle_l, temperature_c, garden, nameOf }) {
  return [say('stocks.label.title', { name: stock.name, factor: formatNumber(factor, 0) }),
    say('stocks.label.dose', { ml: millilitres(stock.dose_ml_l) }),
    ...bottleGrams(stock, bottle_l).map((one) => `${scaleText(one.grams, garden)} ${nameOf(one.salt)}`),
    say('stocks.label.size', { volume: format('volume', bottle_l, garden) }),
    say('stocks.label.never'), say('stocks.label.cold', { x: format('temperature', temperature_c, garden, 0) }), say('stocks.label.made')];
}

const caution = (text) => el('div', { class: 'caution' }, el('p', {}, el('strong', { text: say('caution') }), ' ', text));

function bottle(stock, about) {
  const { answer, bottle_l, volume_l, garden, nameOf } = about;
  return el('section', {}, el('h4', { text: say('stocks.name', { name: stock.name }) }),
    table(say('stocks.into', { name: stock.name, volume: format('volume', bottle_l, garden) }), [say('mix.salt'), say('mix.grams')], bottleGrams(stock, bottle_l).map((one) => [nameOf(one.salt), scaleText(one.grams, garden)])),
    el('p', { text: say('stocks.dose', { ml: millilitres(stock.dose_ml_l), all: millilitres(stock.dose_ml_l * volume_l), volume: format('volume', volume_l, garden), makes: format('volume', bottleMakes(stock, bottle_l), garden, 0) }) }),
    el('div', { class: 'tag' }, el('div', {}, labelLines(stock, { factor: answer.factor, bottle_l, temperature_c: about.temperature_c, garden, nameOf }).map((line, i) => (i ? el('span', { text: line }) : el('strong', { text: line }))))));
}

/* Only the labels go to paper, each on a piece of its own. */
function printLabels(node) {
  const sheet = el('div', { class: 'bottles' }, el('div', { class: 'labels' }, [...node.querySelectorAll('.tag')].map((tag) => tag.cloneNode(true))));
  document.body.append(sheet);
  document.body.classList.add('only-bottles');
  addEventListener('afterprint', () => { sheet.remove(); document.body.classList.remove('only-bottles'); }, { once: true });
  print();
}

/**
 * Closed until asked for; asks the daemon when it is opened.
 *   question  what the recipe was asked with; temperature_c left out is 25
 */
export function stocksNode(question, { garden, nameOf }) {
  const place = el('div', { role: 'status' });
  const size = numberField({ label: say('stocks.size'), quantity: 'volume', garden, value: 1, least: 0.05, most: 200, required: true, oninput: () => draw() });
  let answer = null;
  const node = el('details', { class: 'more' }, el('summary', { text: say('stocks.open') }), el('p', { text: say('stocks.about') }), size.node, place);

  function draw() {
    const bottle_l = size.peek();
    if (!answer || !bottle_l) return;
    const about = { answer, bottle_l, volume_l: question.volume_l, temperature_c: question.temperature_c ?? 25, garden, nameOf };
    const nitrates = answer.stocks.some((stock) => stock.salts.some((one) => NITRATE.test(one.salt)));
    fill(place, el('p', { class: 'ask', text: say('stocks.says', { n: answer.stocks.length, factor: formatNumber(answer.factor, 0), ml: millilitres(answer.dose_ml_l) }) }),
      el('p', { text: say('stocks.why', { factor: formatNumber(answer.all_in_one_factor, 0) }) }),
      ...answer.stocks.map((stock) => bottle(stock, about)),
      answer.recipe?.acid?.ml > 0 ? el('p', { text: say('stocks.acid') }) : null,
      el('ol', {}, ['stocks.step.water', 'stocks.step.salts', 'stocks.step.mark', 'stocks.step.dose'].map((key) => el('li', { text: say(key) }))),
      ...[...CAUTIONS, ...(nitrates ? ['stocks.caution.fire'] : []), 'stocks.caution.rest'].map((key) => caution(say(key))),
      el('div', { class: 'row' }, el('button', { type: 'button', text: say('stocks.print'), onclick: () => printLabels(place) })));
  }
  node.addEventListener('toggle', async () => {
    if (!node.open || answer) return;
    place.textContent = say('mix.working');
    try {
      answer = await send('POST', 'calc/concentrate', question);
      draw();
    } catch (error) {
      fill(place, el('p', { class: 'fault', text: why(error) }));
    }
  });
  return node;
}
