/* crops.js - what is known of each crop, figure by figure with its source; changed, given back, and own ones added. */
import { Problem, getAll, send } from './api.js';
import { openForm } from './dialog.js';
import { details, el, fill, table } from './dom.js';
import { numberField, selectField, textField } from './fields.js';
import { uuid7 } from './id.js';
import { cropName } from './log.js';
import { limitSentence } from './nitrate.js';
import { why } from './page.js';
import { sourceText } from './sources.js';
import { format, formatNumber } from './units.js';
import { hasWord, say } from './words.js';

/* Each range of a crop and how it is shown. */
const RANGES = { ec_ms_cm: 'ec', ph: 'ph', spacing_mm: 'length', days_to_harvest: 'count', yield_g: 'mass', solution_l: 'volume', further_cuts: 'count', base_c: 'temperature', air_c: 'temperature', best_c: 'temperature' };

/** A phrase of the library in the page's words; what a garden wrote stays as it is. */
export function fitnessText(phrase) {
  const key = `fitness.${String(phrase ?? '').toLowerCase().replace(/[^a-z]+/g, '-')}`;
  return hasWord(key) ? say(key) : phrase;
}

/** Degree-days to the first harvest, by the usual days at the best air: [least, most], or null. */
export function thermalTime(crop) {
  if (!crop.days_to_harvest || !crop.base_c || !crop.best_c) return null;
  const least = crop.days_to_harvest[0] * (crop.best_c[0] - crop.base_c[1]), most = crop.days_to_harvest[1] * (crop.best_c[1] - crop.base_c[0]);
  return least > 0 ? [least, most] : null;
}

/* Two numbers, both or none; read() gives [low, high] or null. */
function rangeField(name, garden, value) {
  const one = (end, given) => numberField({ label: `${say(`crops.${name}`)}, ${say(`crops.${end}`)}`, quantity: RANGES[name], garden, value: given, least: -10, most: 20000 });
  const low = one('low', value?.[0]), high = one('high', value?.[1]);
  return { node: el('div', { class: 'pair' }, low.node, high.node), input: low.input, fault: (text) => low.fault(text),
    read() {
      const a = low.read(), b = high.read();
      if (a.fault || b.fault) return { fault: a.fault ?? b.fault };
      if ((a.value === null) !== (b.value === null)) {
        (a.value === null ? low : high).fault(say('field.fault.empty'));
        return { fault: say('field.fault.empty') };
      }
      return { value: a.value === null ? null : [a.value, b.value] };
    } };
}

export function cropTool({ garden, mayChange }) {
  const list = el('ul', { class: 'log', id: 'crop-list' }), told = el('p', { role: 'status' });
  let crops = [];
  const ranged = (name, pair) => (pair[0] === pair[1] ? format(RANGES[name], pair[0], garden) : `${format(RANGES[name], pair[0], garden)} – ${format(RANGES[name], pair[1], garden)}`);
  const shownRange = (name, pair) => (RANGES[name] === 'count' ? (pair[0] === pair[1] ? formatNumber(pair[0], 0) : `${formatNumber(pair[0], 0)} – ${formatNumber(pair[1], 0)}`) : ranged(name, pair));

  function cropRow(crop) {
    const warm = thermalTime(crop), limit = limitSentence(crop, cropName(crop));
    const rows = Object.keys(RANGES).filter((name) => crop[name]).map((name) => [say(`crops.${name}`), shownRange(name, crop[name]), sourceText(crop.sources?.[name] ?? '–')]);
    if (warm) rows.push([say('crops.thermal'), say('crops.thermal.x', { low: formatNumber(warm[0], 0), high: formatNumber(warm[1], 0) }), say('crops.thermal.source')]);
    const short = [fitnessText(crop.fitness), crop.days_to_harvest ? say('crops.days', { range: shownRange('days_to_harvest', crop.days_to_harvest) }) : null, crop.own?.length ? say('crops.changed') : null].filter(Boolean).join(' · ');
    return el('li', {}, el('div', { class: 'what' }, el('details', { class: 'more' }, el('summary', {}, cropName(crop)),
      el('p', {}, el('strong', { text: fitnessText(crop.fitness) ?? '–' }), ` (${say('crops.fitness')}; ${sourceText(crop.sources?.fitness ?? '–')})`),
      crop.resembles ? el('p', { text: say('crops.like', { crop: cropName(crops.find((one) => one.id === crop.resembles) ?? { id: crop.resembles, name: crop.resembles }) }) }) : null,
      table(say('crops.figures', { crop: cropName(crop) }), [say('crops.figure'), say('crops.range'), say('crops.source')], rows),
      el('p', { text: limit ?? say('crops.nitrate.none') }), limit ? el('p', {}, el('small', { lang: 'en', text: crop.nitrate.source })) : null), el('small', { text: short })),
    mayChange ? el('button', { type: 'button', class: 'quiet', text: say('edit'), 'aria-label': say('shelf.edit', { name: cropName(crop) }), onclick: () => edit(crop) }) : null);
  }

  /* What changed is the garden's own from then on; what was emptied goes back to the library. */
  function edit(crop) {
    const ranges = Object.fromEntries(Object.keys(RANGES).map((name) => [name, rangeField(name, garden, crop[name])]));
    const fitness = textField({ label: say('crops.fitness'), value: fitnessText(crop.fitness) ?? '', most: 200 });
    const source = textField({ label: say('crops.source.own'), value: '', most: 300, hint: say('crops.source.hint') });
    openForm({ title: cropName(crop), fields: { ...ranges, fitness, source }, nodes: [el('p', { text: say('crops.edit.about') }), fitness.node, ...Object.values(ranges).map((one) => one.node), source.node], save: async (values) => {
      const body = {}, sources = {};
      for (const name of Object.keys(RANGES)) {
        const now = values[name] ?? null, before = crop[name] ?? null;
        if (JSON.stringify(now) === JSON.stringify(before)) continue;
        body[name] = now;
        if (now && values.source) sources[name] = values.source;
      }
      if (values.fitness && values.fitness !== fitnessText(crop.fitness)) body.fitness = values.fitness;
      if (Object.keys(sources).length) body.sources = sources;
      if (Object.keys(body).length) await send('PATCH', `crops/${encodeURIComponent(crop.id)}`, body);
      await load();
    } });
  }

  function add() {
    const id = uuid7(); // made once a form: a second tap sends the same crop
    const name = textField({ label: say('crops.name'), required: true, most: 60 });
    const resembles = selectField({ label: say('crops.resembles'), value: 'lettuce-leaf', hint: say('crops.resembles.hint'), options: crops.filter((one) => one.builtin).map((one) => ({ value: one.id, label: cropName(one) })) });
    const ranges = Object.fromEntries(Object.keys(RANGES).map((key) => [key, rangeField(key, garden, null)]));
    const source = textField({ label: say('crops.source.own'), value: '', most: 300, hint: say('crops.source.hint') });
    openForm({ title: say('crops.add'), fields: { name, resembles, ...ranges, source }, nodes: [name.node, resembles.node, ...Object.values(ranges).map((one) => one.node), source.node], save: async ({ name: called, resembles: like, source: from, ...given }) => {
      const keys = Object.keys(given);
      await send('POST', 'crops', { id, name: called, resembles: like, ...given, ...(from && keys.length ? { sources: Object.fromEntries(keys.map((key) => [key, from])) } : {}) });
      await load();
    } });
  }

  async function load() {
    told.textContent = say('loading');
    try {
      crops = await getAll('crops');
      told.textContent = '';
      fill(list, crops.map(cropRow));
    } catch (error) {
      told.textContent = error instanceof Problem ? error.message : why(error);
    }
  }
  load();
  return el('div', {}, el('p', { text: say('crops.about') }), told, list, mayChange ? el('div', { class: 'row' }, el('button', { type: 'button', text: say('crops.add'), onclick: add })) : null);
}
