/* fields.js - form fields that say what they understood. */
import { el } from './dom.js';
import { fieldText, format, readQuantity, toShown, toStored, unitName } from './units.js';
import { say } from './words.js';

let made = 0;
const nextId = (name) => `${name}-${++made}`;

/** A label, a control, a place for hints and for what is wrong. fault(text) shows or clears it. */
export function field(label, control, { hint = null, after = null } = {}) {
  control.id ||= nextId('field');
  const fault = el('span', { class: 'fault', id: `${control.id}-fault`, hidden: true });
  const node = el('div', { class: 'field' }, el('label', { for: control.id, text: label }),
    hint ? el('p', { class: 'hint', id: `${control.id}-hint`, text: hint }) : null,
    after ? el('div', { class: 'entry' }, control, after) : control, fault);
  control.setAttribute('aria-describedby', `${hint ? `${control.id}-hint ` : ''}${control.id}-fault`);
  return {
    node, input: control,
    fault(text) {
      fault.textContent = text || '';
      fault.hidden = !text;
      control.setAttribute('aria-invalid', text ? 'true' : 'false');
    },
  };
}

/**
 * A number with a unit. read() gives {value} in the stored unit (null when left empty and not
 * required) or {fault}, and shows it. What was filled in and not touched comes back exactly.
 *   quantity  a name of units.js      value  filled in, stored unit
 *   least, most  bounds in the stored unit (they catch slips)
 *   step      adds - and + buttons of that size, stored unit; start: what they begin at while nothing stands there
 *   meaning   async (stored) => a text after the echo, or null
 */
export function numberField({ label, quantity, garden, value = null, hint = null, least = 0, most = Infinity,
  required = false, big = false, step = null, start = null, meaning = null, oninput = null }) {
  const initial = fieldText(quantity, value, garden);
  const input = el('input', { type: 'text', inputmode: least < 0 ? 'text' : 'decimal', autocomplete: 'off', id: nextId('number'), class: big ? 'big' : null, value: initial });
  input.value = initial;
  const unit = unitName(quantity, garden);
  const echo = el('output', { class: 'echo', for: input.id });
  const nudge = (by) => {
    const now = readQuantity(quantity, input.value, garden);
    const from = 'stored' in now ? now.stored : value ?? start;
    if (from === null || from === undefined) return;
    input.value = fieldText(quantity, Math.max(least, from + by), garden);
    changed();
  };
  const button = (text, by) => el('button', { type: 'button', 'aria-label': say(by < 0 ? 'field.less' : 'field.more', { what: label }), text, onclick: () => nudge(by) });
  const base = field(label, input, { hint, after: [el('span', { class: 'unit', text: unit }), ...(step ? [button('−', -step), button('+', step)] : [])] });
  base.node.append(echo);

  const outside = (stored) => stored < least - 1e-9 || stored > most + 1e-9;
  function understood() {
    if (input.value === initial && value !== null && value !== undefined) return { stored: value };
    return readQuantity(quantity, input.value, garden);
  }
  function faultText(read) {
    if (read.fault === 'empty') return required ? say('field.fault.empty') : '';
    if (read.fault) return say(`field.fault.${read.fault}`);
    return outside(read.stored) ? say(most === Infinity ? 'field.fault.least' : 'field.fault.range', { least: format(quantity, least, garden), most: format(quantity, most, garden) }) : '';
  }
  let turn = 0;
  async function changed() {
    const read = understood(), mine = ++turn;
    if (read.fault === 'empty') {
      echo.textContent = '';
      base.fault('');
    } else {
      const wrong = faultText(read);
      base.fault(wrong);
      echo.textContent = wrong ? '' : format(quantity, read.stored, garden, 3);
      if (!wrong && meaning) {
        await new Promise((resolve) => setTimeout(resolve, 250)); // while somebody types
        if (mine !== turn) return;
        const more = await meaning(read.stored).catch(() => null);
        if (mine === turn && more) echo.textContent = more;
      }
    }
    if (mine === turn) oninput?.();
  }
  input.addEventListener('input', changed);
  return {
    ...base,
    get typed() { return input.value.trim() !== ''; },
    set(stored) {
      input.value = fieldText(quantity, stored, garden);
      changed();
    },
    /** Quietly: the value or null, without showing what is wrong. */
    peek() {
      const read = understood();
      return 'stored' in read && !outside(read.stored) ? read.stored : null;
    },
    read() {
      const read = understood();
      const wrong = faultText(read);
      base.fault(wrong);
      return wrong ? { fault: wrong } : { value: read.stored ?? null };
    },
    refresh: changed,
  };
}

/** A choice among few: {value, label}; radio buttons. read() gives the value. */
export function choiceField({ label, options, value, onchange = null }) {
  const name = nextId('choice');
  const node = el('fieldset', { class: 'field' }, el('legend', { class: 'label', text: label }),
    el('div', { class: 'choice' }, options.map((option) =>
      el('label', {}, el('input', { type: 'radio', name, value: option.value, checked: option.value === value, onchange: () => onchange?.(option.value) }), option.label))));
  return { node, read: () => ({ value: node.querySelector('input:checked')?.value ?? null }), fault: () => {},
    set: (next) => { for (const input of node.querySelectorAll('input')) input.checked = input.value === next; } };
}

/** Several of many: numbered boxes. read() gives the chosen values. */
export function boxesField({ label, options, chosen, onchange = null }) {
  const wrong = el('span', { class: 'fault', hidden: true });
  const node = el('fieldset', { class: 'field' }, el('legend', { class: 'label', text: label }),
    el('div', { class: 'choice' }, options.map((option) =>
      el('label', {}, el('input', { type: 'checkbox', value: option.value, checked: chosen.includes(option.value), onchange: () => onchange?.() }), option.label))), wrong);
  return { node, read: () => ({ value: [...node.querySelectorAll('input:checked')].map((input) => input.value) }),
    fault(text) { wrong.textContent = text || ''; wrong.hidden = !text; } };
}

/** One of a list. */
export function selectField({ label, options, value, hint = null, onchange = null }) {
  const input = el('select', { onchange: () => onchange?.(input.value) }, options.map((option) => el('option', { value: option.value, selected: option.value === value, text: option.label })));
  const base = field(label, input, { hint });
  return { ...base, read: () => ({ value: input.value === '' ? null : input.value }) };
}

/** A line of text, or several. */
export function textField({ label, value = '', hint = null, lines = 1, required = false, type = 'text', most = 200 }) {
  const input = lines > 1 ? el('textarea', { rows: lines, maxlength: most, text: value }) : el('input', { type, maxlength: type === 'text' ? most : null });
  if (lines === 1) input.value = value ?? '';
  const base = field(label, input, { hint });
  return { ...base, read() {
    const text = input.value.trim();
    const wrong = required && !text ? say('field.fault.empty') : '';
    base.fault(wrong);
    return wrong ? { fault: wrong } : { value: text || null };
  } };
}

/** Reads all fields of {name: field}; null when one is at fault (the first of them gets the focus). */
export function readAll(fields) {
  const values = {};
  let first = null;
  for (const [name, one] of Object.entries(fields)) {
    const read = one.read();
    if ('fault' in read) first ??= one;
    else if (read.value !== null && !(Array.isArray(read.value) && !read.value.length)) values[name] = read.value;
  }
  if (first) {
    (first.input ?? first.node.querySelector('input, select, textarea')).focus();
    return null;
  }
  return values;
}

/** Shows a problem's faults at the fields they point to; gives back those that no field takes. */
export function placeFaults(problem, fields) {
  const left = [];
  for (const { at, detail } of problem.errors || []) {
    const name = at.split('/')[1];
    if (fields[name]) fields[name].fault(detail);
    else left.push(`${at} ${detail}`.trim());
  }
  return left;
}

export { toShown, toStored };
