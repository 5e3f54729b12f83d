/* waters.js - a source water from what a strip, a meter or a supplier says: ranges, what is missing, a blend, then saved. */
import { Problem, send } from './api.js';
import { el, fill, table } from './dom.js';
import { choiceField, numberField, placeFaults, readAll, selectField, textField } from './fields.js';
import { uuid7 } from './id.js';
import { why } from './page.js';
import { format, formatNumber } from './units.js';
import { say } from './words.js';

const IONS = ['ph', 'alkalinity_mg_caco3_l', 'ca_mg_l', 'mg_mg_l', 'na_mg_l', 'k_mg_l', 'cl_mg_l', 'so4_mg_l', 'no3_mg_l', 'si_mg_l'];
const STRIP = ['hardness_mg_caco3_l', 'alkalinity_mg_caco3_l', 'ph', 'no3_mg_l'];
/* How each basis is known, unless the grower says otherwise. */
const METHOD = { strip: 'strips', hardness: 'strips', ec: 'meter', analysis: 'supplier' };
const quantityOf = (part) => (part === 'ph' ? 'ph' : part === 'ec_ms_cm' ? 'ec' : 'concentration');

/** The question for the daemon from what was typed; {strip: ...} fields carry the names part.value, part.low, part.high. */
export function waterQuestion(basis, values) {
  const wished = typeof values.wished === 'number' ? { wished_alkalinity_mg_caco3_l: values.wished } : {};
  const given = (names) => Object.fromEntries(names.filter((name) => typeof values[name] === 'number').map((name) => [name, values[name]]));
  if (basis === 'ec') return { basis, ...given(['ec_ms_cm']), ...wished };
  if (basis === 'hardness') return { basis, ...given(['hardness_mg_caco3_l', 'alkalinity_mg_caco3_l', 'ec_ms_cm', 'ph']), ...wished };
  if (basis === 'analysis') return { basis, water: given(IONS), ...given(['ec_ms_cm']), ...wished };
  const strip = {};
  for (const part of STRIP) {
    const value = values[`${part}.value`];
    if (typeof value === 'number') strip[part] = { value, low: values[`${part}.low`] ?? value, high: values[`${part}.high`] ?? value };
  }
  return { basis, strip, ...wished };
}

/** What was measured, as it is kept: what is not known stays unknown, the garden reckons it anew each time. */
export function waterMeasured(question) {
  if (question.basis === 'strip') return Object.fromEntries(Object.entries(question.strip).map(([part, band]) => [part, band.value]));
  const { basis, wished_alkalinity_mg_caco3_l, water, ...rest } = question;
  return { ...water, ...rest };
}

/** The ion that the daemon guesses to be missing, from its English: {ion, mg_l}, or null. */
export function missingIon(text) {
  const read = /^(calcium|sodium|chloride|sulfate|nitrate), about (\d+) mg\/L/.exec(text ?? '');
  return read ? { ion: read[1], mg_l: Number(read[2]) } : null;
}

function fieldsOf(basis, garden) {
  const one = (name, part, options = {}) => [name, numberField({ label: say(options.word ?? `water.${part}`), quantity: quantityOf(part), garden, most: part === 'ph' ? 14 : part === 'ec_ms_cm' ? 20 : 2000, required: options.required ?? false })];
  if (basis === 'ec') return Object.fromEntries([one('ec_ms_cm', 'ec_ms_cm', { required: true })]);
  if (basis === 'hardness') return Object.fromEntries([...['hardness_mg_caco3_l', 'alkalinity_mg_caco3_l', 'ec_ms_cm'].map((part) => one(part, part, { required: true })), one('ph', 'ph')]);
  if (basis === 'analysis') return Object.fromEntries([...IONS, 'ec_ms_cm'].map((part) => one(part, part, { required: part === 'alkalinity_mg_caco3_l' })));
  return Object.fromEntries(STRIP.flatMap((part) => [one(`${part}.value`, part), one(`${part}.low`, part, { word: 'waters.below' }), one(`${part}.high`, part, { word: 'waters.above' })]));
}

function resultNodes(answer, basis, garden) {
  const bare = (value) => formatNumber(value, value < 10 ? 1 : 0);
  const range = (part) => `${bare(answer.low[part])}\u2013${bare(answer.high[part])}`;
  const unit = (part) => (part === 'ph' ? say('water.ph') : say('waters.in', { what: say(`water.${part}`) }));
  const missing = missingIon(answer.missing);
  const heads = [say('waters.what'), say('waters.likely'), say('waters.range'), ...(answer.blend ? [say('waters.blended')] : [])];
  return [el('p', { class: 'ask', text: say(`waters.said.${basis}`) }),
    table(say('waters.result'), heads, IONS.map((part) => [unit(part), bare(answer.water[part]), range(part), ...(answer.blend ? [bare(answer.blend[part])] : [])])),
    el('p', { text: say('waters.ec', { x: format('ec', answer.ec_ms_cm, garden), low: format('ec', answer.ec_low_ms_cm, garden), high: format('ec', answer.ec_high_ms_cm, garden) }) }),
    basis === 'analysis' ? el('p', { text: say('waters.charge', { percent: formatNumber(Math.abs(answer.charge_error_percent), 0) }) }) : null,
    missing ? el('p', { text: say('waters.missing', { ion: say(`waters.ion.${missing.ion}`), x: format('concentration', missing.mg_l, garden, 0) }) }) : null,
    typeof answer.soft_share === 'number' ? el('p', { class: 'ask', text: say('waters.blend', { soft: formatNumber(answer.soft_share * 100, 0), hard: formatNumber(100 - Math.round(answer.soft_share * 100), 0) }) }) : null];
}

/* One question a screen; numbers from one sheet of paper stand together. Names of fields by screen. */
const SCREENS = {
  strip: STRIP.map((part) => ['value', 'low', 'high'].map((end) => `${part}.${end}`)),
  hardness: [['hardness_mg_caco3_l'], ['alkalinity_mg_caco3_l'], ['ec_ms_cm'], ['ph']],
  ec: [['ec_ms_cm']],
  analysis: [['ph', 'alkalinity_mg_caco3_l', 'ec_ms_cm'], ['ca_mg_l', 'mg_mg_l', 'na_mg_l', 'k_mg_l'], ['cl_mg_l', 'so4_mg_l', 'no3_mg_l', 'si_mg_l']],
};

/** A form for the Shelf that asks step by step: what there is to go by, then that; saved() is called after a water was added. */
export function waterTool({ garden, maySave, saved }) {
  let basis = 'strip', fields = {}, question = null, screen = 0; // 0: what there is; the last: the blend
  const title = el('h3', { tabindex: -1 }), place = el('div'), result = el('div', { role: 'status' }), keep = el('div');
  const back = el('button', { type: 'button', text: say('back'), onclick: () => turnTo(screen - 1) });
  const next = el('button', { type: 'submit' });
  const wished = numberField({ label: say('waters.wished'), quantity: 'concentration', garden, most: 2000, hint: say('waters.wished.hint') });
  const kind = choiceField({ label: say('waters.basis'), value: basis, options: ['analysis', 'hardness', 'strip', 'ec'].map((value) => ({ value, label: say(`waters.basis.${value}`) })), onchange: (chosen) => { basis = chosen; fields = fieldsOf(basis, garden); draw(); } });
  const last = () => SCREENS[basis].length + 1;

  /* The fields of the screen that is shown, by name. */
  const shown = () => (screen === 0 ? {} : screen === last() ? { wished } : Object.fromEntries(SCREENS[basis][screen - 1].map((name) => [name, fields[name]])));

  function draw() {
    title.textContent = say('waters.step', { i: screen + 1, of: last() + 1 });
    const nodes = Object.values(shown()).map((one) => one.node);
    fill(place, ...(screen === 0 ? [kind.node] : basis === 'strip' && screen < last() ? [el('p', { class: 'hint', text: say('waters.strip') }), el('div', { class: 'pair pad' }, nodes)] : nodes));
    back.hidden = screen === 0;
    next.textContent = say(screen === last() ? 'shelf.buy.work' : 'next');
    fill(result);
    fill(keep);
  }

  function turnTo(to) {
    screen = to;
    draw();
    title.focus();
  }

  function drawKeep() {
    const name = textField({ label: say('shelf.water.name'), required: true, most: 100 });
    const method = selectField({ label: say('waters.method'), value: METHOD[basis], options: ['laboratory', 'supplier', 'strips', 'meter'].map((value) => ({ value, label: say(`waters.method.${value}`) })) });
    const id = uuid7(), body = waterMeasured(question), fault = el('p', { class: 'fault', role: 'alert', hidden: true });
    fill(keep, el('h3', { text: say('waters.keep') }), el('p', { class: 'hint', text: say('waters.keep.about') }), name.node, method.node, fault, el('div', { class: 'row' }, el('button', { type: 'button', text: say('waters.save'), onclick: async (event) => {
      const values = readAll({ name, method });
      if (!values) return;
      event.target.disabled = true;
      try {
        await send('POST', 'waters', { id, ...values, analysed_on: garden.today, ...body });
        fill(keep, el('p', { role: 'status', text: say('waters.saved', { name: values.name }) }));
        await saved();
      } catch (error) {
        fault.textContent = why(error);
        fault.hidden = false;
        event.target.disabled = false;
      }
    } })));
  }

  async function work() {
    question = waterQuestion(basis, readAll({ ...fields, wished }) ?? {});
    try {
      fill(result, resultNodes(await send('POST', 'calc/water', question), basis, garden));
      if (maySave) drawKeep();
    } catch (error) {
      const left = error instanceof Problem ? placeFaults(error, { ...fields, wished_alkalinity_mg_caco3_l: wished }) : [];
      const at = SCREENS[basis].findIndex((names) => names.some((name) => fields[name].input.getAttribute('aria-invalid') === 'true'));
      if (at >= 0) turnTo(at + 1);
      fill(result, el('p', { class: 'fault', text: left.length || !(error instanceof Problem) || !error.errors.length ? why(error) : say('log.refused') }));
      fill(keep);
    }
  }

  const form = el('form', { novalidate: true }, title, place, el('div', { class: 'row' }, back, next), result, keep);
  form.addEventListener('submit', async (event) => {
    event.preventDefault();
    if (!readAll(shown())) return;
    if (screen < last()) turnTo(screen + 1);
    else await work();
  });
  fields = fieldsOf(basis, garden);
  draw();
  return form;
}
