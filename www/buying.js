/* buying.js - what the shelf must hold: needs of the coming weeks, what any amount takes and costs, and the cheapest way to it. */
import { Problem, get, send } from './api.js';
import { details, el, fill, table } from './dom.js';
import { numberField, selectField } from './fields.js';
import { why } from './page.js';
import { saltName } from './salts.js';
import { format, formatDay, formatNumber } from './units.js';
import { say } from './words.js';

const WATER = ['ph', 'alkalinity_mg_caco3_l', 'ca_mg_l', 'mg_mg_l', 'na_mg_l', 'k_mg_l', 'cl_mg_l', 'so4_mg_l', 'no3_mg_l', 'si_mg_l'];
const MAIN = ['n', 'p', 'k', 'ca', 'mg'];
const money = (value) => (typeof value === 'number' ? formatNumber(value, 2, 2) : '–');
const stocked = (salt) => typeof salt.stock_g === 'number' || !salt.builtin;

/** n, least, middle and most of those numbers that are known; null where none is. */
export function lie(values) {
  const known = values.filter((value) => typeof value === 'number').sort((a, b) => a - b), n = known.length;
  return n ? { n, low: known[0], median: (known[Math.floor((n - 1) / 2)] + known[Math.floor(n / 2)]) / 2, high: known[n - 1] } : null;
}

export function buying({ garden, byId, named, ratios }) {
  let shelf = null, fields = {}, question = null;
  const grams = (value) => format('mass', value, garden, garden.mass_unit === 'oz' ? 1 : 0);

  /* By the outlooks of all tanks: how much they may take from the shelf, what is missing then, and by when. */
  async function drawNeeds() {
    const needs = await get('needs').catch(() => null); // without it the rest of the shelf still stands
    byId('needs-part').hidden = !needs?.items.length;
    if (!needs?.items.length) return;
    const missing = (item) => (item.buy_g === null ? say('shelf.needs.nostock') : item.buy_g > 0 ? grams(item.buy_g) : say('shelf.buy.enough'));
    const cost = needs.items.reduce((all, item) => all + (item.cost ?? 0), 0);
    fill(byId('needs'), el('p', { text: say('shelf.needs.about', { from: formatDay(needs.from, garden.today), to: formatDay(needs.to, garden.today), low: formatNumber(needs.fills_low, 0), high: formatNumber(needs.fills_high, 0) }) }),
      needs.behind ? el('p', { text: say('shelf.needs.behind', { n: needs.behind, day: formatDay(needs.behind_since, garden.today) }) }) : null,
      table(say('shelf.needs'), [say('mix.salt'), say('shelf.buy.buy'), say('shelf.needs.likely'), say('shelf.buy.have')],
        needs.items.map((item) => [saltName({ id: item.salt, name: item.name }), item.buy_by ? say('shelf.buy.until', { what: missing(item), day: formatDay(item.buy_by, garden.today) }) : missing(item), `${grams(item.likely_g)} (${grams(item.low_g)} – ${grams(item.high_g)})`, grams(item.stock_g)])),
      cost > 0 ? el('p', { text: say('shelf.buy.sum', { x: money(cost) }) }) : null);
  }

  /* What fills cost until now, by what was weighed into them. */
  async function drawCosts() {
    const fills = (await get('fills?limit=200').catch(() => null))?.items ?? [];
    const rows = ['cost', 'cost_per_plant', 'cost_per_kg'].map((name) => [say(`shelf.costs.${name}`), lie(fills.map((one) => one[name]))]).filter(([, spread]) => spread);
    fill(byId('costs'), el('p', { text: say('harvests.costs.about') }), rows.length === 0 ? el('p', { text: say('shelf.costs.none') }) : table(say('shelf.costs'), [say('table.what'), say('shelf.costs.n'), say('harvests.median'), say('harvests.range')],
      rows.map(([label, spread]) => [label, String(spread.n), money(spread.median), `${money(spread.low)} – ${money(spread.high)}`])));
  }

  function drawBuy() {
    fields = {
      volume: numberField({ label: say('shelf.buy.volume'), quantity: 'volume', garden, value: 100, least: 1, most: 1e5, required: true }),
      water: selectField({ label: say('log.water'), value: shelf.waters[0]?.id ?? '', options: [...shelf.waters.map((one) => ({ value: one.id, label: named('water', one) })), { value: '', label: say('mix.water.pure') }] }),
      target: selectField({ label: say('log.target'), value: shelf.targets[0]?.id, options: shelf.targets.map((one) => ({ value: one.id, label: named('target', one) })) }),
    };
    fill(byId('buy-fields'), fields.volume.node, fields.water.node, fields.target.node);
    fill(byId('buy-list'));
  }

  /* The cheapest recipe stays an alternative: what it saves, and how far it lies from the target. */
  function cheapestNode() {
    const tolerance = numberField({ label: say('shelf.cheapest.tolerance'), quantity: 'percent', garden, value: 10, least: 1, most: 100, required: true });
    const place = el('div', { role: 'status' });
    const off = (answer) => MAIN.filter((name) => typeof answer.off_percent[name] === 'number').map((name) => `${say(`element.${name}`).split(',').at(-1).trim()} ${answer.off_percent[name] >= 0 ? '+' : '−'}${formatNumber(Math.abs(answer.off_percent[name]), 0)}\u00a0%`).join(', ');
    const work = async () => {
      const read = tolerance.read();
      if (read.fault) return;
      try {
        const answer = await send('POST', 'calc/cheapest', { volume_l: question.volume_l, target: question.target, water: question.water, tolerance_percent: read.value, scale_step_g: 1 });
        const rows = answer.weigh.filter((row) => (row.grams ?? 0) > 0 || row.closest_grams > 0).map((row) => [saltName({ id: row.salt, name: row.name }), answer.feasible ? grams(row.grams) : '–', grams(row.closest_grams)]);
        fill(place, el('p', { class: 'ask', text: answer.feasible ? say('shelf.cheapest.saves', { cost: money(answer.cost), closest: money(answer.closest_cost), saves: money(Math.max(0, answer.saves)) })
          : typeof answer.nearest_percent === 'number' ? say('shelf.cheapest.not', { percent: formatNumber(Math.ceil(answer.nearest_percent), 0) }) : say('shelf.cheapest.never') }),
        answer.feasible ? el('p', { text: say('shelf.cheapest.off', { list: off(answer) }) }) : null,
        table(say('shelf.cheapest'), [say('mix.salt'), say('shelf.cheapest.grams'), say('shelf.cheapest.closest')], rows));
      } catch (error) {
        fill(place, el('p', { class: 'fault', text: error instanceof Problem && error.errors?.length ? error.errors.map((one) => one.detail).join(' · ') : why(error) }));
      }
    };
    return details(say('shelf.cheapest.open'), el('p', { text: say('shelf.cheapest.about') }), tolerance.node, el('div', { class: 'row' }, el('button', { type: 'button', text: say('shelf.buy.work'), onclick: work })), place);
  }

  async function buy(event) {
    event.preventDefault();
    const read = fields.volume.read();
    if (read.fault) return;
    const have = shelf.salts.filter(stocked);
    const salts = have.length >= 2 ? have : shelf.salts;
    const water = shelf.waters.find((one) => one.id === fields.water.read().value);
    const target = shelf.targets.find((one) => one.id === fields.target.read().value);
    question = { volume_l: read.value, target: target.id, water: water?.id ?? null };
    try {
      const recipe = await send('POST', 'calc/recipe', { volume_l: read.value, target_mg_l: target.mg_l, scale_step_g: 1,
        salts: salts.map((salt) => (salt.builtin || !salt.label ? { salt: salt.id } : { name: salt.id, label: salt.label })),
        ...(water ? { water: Object.fromEntries(WATER.filter((part) => typeof (water.reckoned ?? water)[part] === 'number').map((part) => [part, (water.reckoned ?? water)[part]])) } : {}) });
      let cost = 0, whole = 0, unpriced = 0;
      const rows = recipe.weigh.filter((row) => row.grams > 0).map((row) => {
        const salt = shelf.salts.find((one) => one.id === row.salt);
        const short = Math.max(0, row.grams - (salt?.stock_g ?? 0));
        const price = typeof salt?.price_per_kg === 'number' ? short / 1000 * salt.price_per_kg : null;
        cost += price ?? 0;
        whole += price === null ? 0 : row.grams / 1000 * salt.price_per_kg;
        unpriced += price === null;
        return [salt ? saltName(salt) : row.salt, short > 0 ? format('mass', short, garden, 0) : say('shelf.buy.enough'), format('mass', row.grams, garden, 0), format('mass', salt?.stock_g ?? null, garden, 0), price === null ? '–' : money(price)];
      });
      fill(byId('buy-list'), table(say('shelf.buy.title', { volume: format('volume', read.value, garden) }), [say('mix.salt'), say('shelf.buy.buy'), say('shelf.buy.need'), say('shelf.buy.have'), say('shelf.buy.cost')], rows),
        cost > 0 ? el('p', { text: say('shelf.buy.sum', { x: money(cost) }) }) : null,
        whole > 0 ? el('p', { text: say(unpriced ? 'shelf.buy.whole.some' : 'shelf.buy.whole', { x: money(whole), n: unpriced }) }) : null,
        shelf.salts.some((salt) => typeof salt.price_per_kg === 'number') ? cheapestNode() : null);
    } catch (error) {
      fill(byId('buy-list'), el('p', { class: 'fault', text: why(error) }));
    }
  }
  byId('buy-form').addEventListener('submit', buy);
  byId('costs-part').addEventListener('toggle', () => byId('costs-part').open && drawCosts());

  return { draw(next) {
    shelf = next;
    ratios.draw(shelf.targets);
    drawBuy();
    drawNeeds();
    if (byId('costs-part').open) drawCosts();
  } };
}
