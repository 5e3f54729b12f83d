/* shelf.js - salts, source waters and targets; what is left of them and what to buy. */
import { getAll, send } from './api.js';
import { buying } from './buying.js';
import { cropTool } from './crops.js';
import { openForm } from './dialog.js';
import { details, el, fill, table } from './dom.js';
import { choiceField, numberField, selectField, textField } from './fields.js';
import { uuid7 } from './id.js';
import { failed, mayLog, openPage, status } from './page.js';
import { saltCautions, saltName } from './salts.js';
import { meterTool } from './meters.js';
import { ratioTool, STAGES } from './ratios.js';
import { waterTool } from './waters.js';
import { format, formatDay, formatNumber } from './units.js';
import { hasWord, say } from './words.js';

const byId = (id) => document.getElementById(id);
const ELEMENTS = ['n', 'n_nh4_max', 'p', 'k', 'ca', 'mg', 's', 'fe', 'mn', 'zn', 'b', 'cu', 'mo'];
const WATER = ['ph', 'alkalinity_mg_caco3_l', 'ca_mg_l', 'mg_mg_l', 'na_mg_l', 'k_mg_l', 'cl_mg_l', 'so4_mg_l', 'no3_mg_l', 'si_mg_l'];
/* Bags print calcium, magnesium and sulfur as elements or as oxides, phosphorus and potassium mostly as oxides. */
const LABEL = { oxides: ['n_no3', 'n_nh4', 'n_urea', 'p2o5', 'k2o', 'cao', 'mgo', 'so3', 'fe', 'mn', 'zn', 'b', 'cu', 'mo', 'na', 'cl'],
  elements: ['n_no3', 'n_nh4', 'n_urea', 'p2o5', 'k2o', 'ca', 'mg', 's', 'fe', 'mn', 'zn', 'b', 'cu', 'mo', 'na', 'cl'] };

let garden = null;
let shelf = { salts: [], waters: [], targets: [] };
let tools = null;

const named = (kind, one) => (hasWord(`${kind}.${one.id}`) ? say(`${kind}.${one.id}`) : one.name);
const money = (value) => (typeof value === 'number' ? formatNumber(value, 2, 2) : '–');

/* --- salts ------------------------------------------------------------------------------------ */

const stocked = (salt) => typeof salt.stock_g === 'number' || !salt.builtin;

/* As chemists write it: KH2PO4 with its figures lowered, the water of a crystal behind a dot. */
const formulaText = (formula) => formula?.replace(/\./g, '·').replace(/(?<=[A-Za-z)])\d+/g, (figures) => figures.replace(/\d/g, (one) => String.fromCharCode(0x2080 + Number(one))));

/* Name; what is left; what it is made of; then each caution on a line of its own. */
function saltRow(salt) {
  const stock = [typeof salt.stock_g === 'number' ? say('shelf.left', { x: format('mass', salt.stock_g, garden, 0) }) : null, salt.stock_doubtful ? say('shelf.doubtful') : null,
    typeof salt.price_per_kg === 'number' ? say('shelf.price', { x: money(salt.price_per_kg) }) : null,
    salt.opened_on ? say('shelf.opened', { day: formatDay(salt.opened_on, garden.today) }) : null].filter(Boolean).join(' · ');
  const made = [formulaText(salt.formula), salt.label ? Object.entries(salt.label).filter(([, part]) => part > 0).map(([part, percent]) => `${say(`label.${part}`)} ${formatNumber(percent, 2)}\u00a0%`).join(', ') : null].filter(Boolean).join(' · ');
  return el('li', {}, el('span', { class: 'what' }, el('strong', { text: saltName(salt) }), [stock, made].filter(Boolean).map((text) => el('small', { text })),
    saltCautions(salt).length ? el('small', { class: 'care' }, saltCautions(salt).map((text) => el('span', { text }))) : null),
    mayLog(garden) ? el('button', { type: 'button', class: 'quiet', text: say('edit'), 'aria-label': say('shelf.edit', { name: saltName(salt) }), onclick: () => editSalt(salt) }) : null);
}

function stockFields(salt = {}) {
  return {
    stock_g: numberField({ label: say('shelf.stock'), quantity: 'mass', garden, value: salt.stock_g, most: 1e6 }),
    price_per_kg: numberField({ label: say('shelf.price.kg'), quantity: 'plain', garden, value: salt.price_per_kg, most: 1e5 }),
    opened_on: textField({ label: say('shelf.opened.on'), type: 'date', value: salt.opened_on ?? '' }),
    caution: textField({ label: say('shelf.caution'), value: salt.own_caution ? salt.caution : '', most: 200, hint: say('shelf.caution.hint') }),
  };
}

function editSalt(salt) {
  const stock = stockFields(salt), held = salt.label ?? {};
  /* A bag of the garden's own may have been copied wrongly: name and label can be mended, too. */
  const own = salt.builtin ? {} : { name: textField({ label: say('shelf.bag.name'), required: true, most: 100, value: salt.name }) };
  const parts = salt.builtin ? {} : labelFields(LABEL.elements.some((part) => held[part] > 0 && !LABEL.oxides.includes(part)) ? 'elements' : 'oxides', held);
  const fields = { ...own, ...stock, ...parts };
  openForm({ title: saltName(salt), fields, nodes: [Object.values(own).map((one) => one.node), Object.values(stock).map((one) => one.node), Object.keys(parts).length ? details(say('shelf.bag.label'), el('div', { class: 'pair' }, Object.values(parts).map((one) => one.node))) : null], save: async (values) => {
    const body = {}, label = Object.fromEntries(Object.keys(parts).filter((part) => values[part] > 0).map((part) => [part, values[part]]));
    for (const name of [...Object.keys(own), ...Object.keys(stock)]) {
      const before = name === 'caution' && !salt.own_caution ? null : salt[name] ?? null; // what was emptied is told as unknown
      if ((values[name] ?? null) !== before) body[name] = values[name] ?? null;
    }
    if (Object.keys(parts).length && JSON.stringify(Object.entries(label).sort()) !== JSON.stringify(Object.entries(held).filter(([, part]) => part > 0).sort())) body.label = label;
    if (Object.keys(body).length) await send('PATCH', `salts/${encodeURIComponent(salt.id)}`, body);
    await load();
  } });
}

function labelFields(kind, held = {}) {
  return Object.fromEntries(LABEL[kind].map((part) => [part, numberField({ label: say(`label.${part}`), quantity: 'percent', garden, value: held[part], most: 100 })]));
}

function addSalt() {
  const name = textField({ label: say('shelf.bag.name'), required: true, most: 100 });
  const place = el('div', { class: 'pair' });
  const stock = stockFields();
  const fields = { name, ...stock };
  let kind = 'oxides';
  const draw = (next) => {
    for (const part of new Set([...LABEL.oxides, ...LABEL.elements])) delete fields[part];
    kind = next;
    const parts = labelFields(kind);
    Object.assign(fields, parts);
    place.replaceChildren(...Object.values(parts).map((one) => one.node));
  };
  const way = choiceField({ label: say('shelf.bag.way'), value: kind, options: ['oxides', 'elements'].map((value) => ({ value, label: say(`shelf.bag.${value}`) })), onchange: draw });
  draw(kind);
  const id = uuid7();
  openForm({ title: say('shelf.bag.add'), fields, nodes: [name.node, el('p', { text: say('shelf.bag.about') }), way.node, place, el('h3', { text: say('shelf.bag.stock') }), Object.values(stock).map((one) => one.node)],
    save: async ({ name: called, stock_g, price_per_kg, opened_on, caution, ...label }) => {
      const parts = Object.fromEntries(Object.entries(label).filter(([, value]) => value > 0));
      if (!Object.keys(parts).length) {
        fields.n_no3.fault(say('shelf.bag.empty'));
        throw new Error(say('shelf.bag.empty'));
      }
      const bag = { id, name: called, label: parts };
      for (const [key, value] of Object.entries({ stock_g, price_per_kg, opened_on, caution })) if (value !== undefined) bag[key] = value;
      await send('POST', 'salts', bag);
      await load();
    } });
}

/* --- waters and targets ------------------------------------------------------------------------ */

const WATER_QUANTITY = { ph: 'ph', ec_ms_cm: 'ec' };
const KNOWN_OF_WATER = [...WATER, 'hardness_mg_caco3_l', 'ec_ms_cm'];

function editWater(water = null) {
  const name = textField({ label: say('shelf.water.name'), required: true, value: water?.name ?? '' });
  const analysed_on = textField({ label: say('shelf.water.on'), type: 'date', value: water?.analysed_on ?? '' });
  const parts = Object.fromEntries(WATER.map((part) => [part, numberField({ label: say(`water.${part}`), quantity: WATER_QUANTITY[part] ?? 'concentration', garden, value: water?.[part], most: part === 'ph' ? 14 : 5000 })]));
  const fields = { name, analysed_on, ...parts };
  const id = water?.id ?? uuid7();
  openForm({ title: water ? water.name : say('shelf.water.add'), fields, nodes: [name.node, el('p', { text: say('shelf.water.about') }), el('div', { class: 'pair' }, Object.values(parts).map((one) => one.node)), analysed_on.node],
    save: async (values) => {
      if (water) await send('PATCH', `waters/${encodeURIComponent(id)}`, values);
      else await send('POST', 'waters', { id, ...values });
      await load();
    } });
}

/* What only a strip or a meter tells is reckoned, between wide ends. */
const waterRange = (water) => (typeof water.reckoned_low?.ca_mg_l === 'number' && water.reckoned_high.ca_mg_l > water.reckoned_low.ca_mg_l
  ? say('shelf.water.range', { what: say('water.ca_mg_l'), low: formatNumber(water.reckoned_low.ca_mg_l, 0), high: formatNumber(water.reckoned_high.ca_mg_l, 0) }) : null);

const waterRow = (water) => el('li', {}, el('span', { class: 'what' }, el('strong', { text: named('water', water) }),
  el('small', { text: [water.analysed_on ? say('shelf.water.dated', { day: formatDay(water.analysed_on, garden.today) }) : say('shelf.water.undated'), water.method ? say(`waters.method.${water.method}`) : null, ...KNOWN_OF_WATER.filter((part) => typeof water[part] === 'number').map((part) => `${say(`water.${part}`)} ${format(WATER_QUANTITY[part] ?? 'concentration', water[part], garden)}`), waterRange(water)].filter(Boolean).join(' · ') })),
mayLog(garden) && !water.builtin ? el('button', { type: 'button', class: 'quiet', text: say('edit'), 'aria-label': say('shelf.edit', { name: water.name }), onclick: () => editWater(water) }) : null);

function editTarget(target = null) {
  const name = textField({ label: say('shelf.target.name'), required: true, value: target?.name ?? '' });
  const source = textField({ label: say('shelf.target.source'), value: target?.source ?? '' });
  const stage = selectField({ label: say('target.stage'), value: target?.stage ?? '', options: [{ value: '', label: say('target.stage.any') }, ...STAGES.map((value) => ({ value, label: say(`target.stage.${value}`) }))] });
  const parts = Object.fromEntries(ELEMENTS.map((part) => [part, numberField({ label: say(`element.${part}`), quantity: 'concentration', garden, value: target?.mg_l?.[part], most: 2000 })]));
  const id = target?.id ?? uuid7();
  openForm({ title: target ? target.name : say('shelf.target.add'), fields: { name, source, stage, ...parts }, nodes: [name.node, source.node, stage.node, el('div', { class: 'pair' }, Object.values(parts).map((one) => one.node))],
    save: async ({ name: called, source: from, stage: meant, ...mg_l }) => {
      const body = { name: called, ...(from ? { source: from } : {}), stage: meant ?? null, mg_l };
      if (target) await send('PATCH', `targets/${encodeURIComponent(id)}`, body);
      else await send('POST', 'targets', { id, ...body });
      await load();
    } });
}

const targetRow = (target) => el('li', {}, el('div', { class: 'what' }, details(target.stage ? `${named('target', target)} (${say(`target.stage.${target.stage}`)})` : named('target', target),
  table(say('shelf.target.parts'), [say('mix.element'), say('shelf.target.in')], ELEMENTS.filter((part) => typeof target.mg_l[part] === 'number').map((part) => [say(`element.${part}`), format('concentration', target.mg_l[part], garden, 3)])),
  target.source ? el('p', { class: 'hint', text: target.source }) : null)),
mayLog(garden) && !target.builtin ? el('button', { type: 'button', class: 'quiet', text: say('edit'), 'aria-label': say('shelf.edit', { name: target.name }), onclick: () => editTarget(target) }) : null);

async function load() {
  status('loading', say('loading'));
  try {
    const [salts, waters, targets] = await Promise.all(['salts', 'waters', 'targets'].map((path) => getAll(path)));
    shelf = { salts, waters, targets };
  } catch (error) {
    failed(error, load);
    return;
  }
  status('');
  byId('shelf').hidden = false;
  fill(byId('salts'), shelf.salts.filter(stocked).map(saltRow));
  byId('salts-none').hidden = shelf.salts.some(stocked);
  fill(byId('salts-other'), shelf.salts.filter((salt) => !stocked(salt)).map(saltRow));
  fill(byId('waters'), shelf.waters.map(waterRow));
  byId('waters-none').hidden = shelf.waters.length > 0;
  fill(byId('targets'), shelf.targets.map(targetRow));
  byId('targets-none').hidden = shelf.targets.length > 0;
  tools.draw(shelf);
}

garden = await openPage();
if (garden) {
  for (const [id, act] of [['add-salt', addSalt], ['add-water', () => editWater()], ['add-target', () => editTarget()]]) {
    byId(id).addEventListener('click', act);
    byId(id).hidden = !mayLog(garden);
  }
  tools = buying({ garden, byId, named, ratios: ratioTool({ garden, node: byId('ratios'), named }) });
  byId('crop-tool').addEventListener('toggle', () => byId('crop-tool').append(cropTool({ garden, mayChange: mayLog(garden) })), { once: true });
  for (const [id, make] of [['water-tool', () => waterTool({ garden, maySave: mayLog(garden), saved: load })], ['meter-tool', () => meterTool({ garden, maySave: mayLog(garden) })]])
    byId(id).addEventListener('toggle', () => byId(id).append(make()), { once: true });
  await load();
}

