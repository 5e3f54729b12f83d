/* dialog.js - a form over the page: fields in, one button that saves, faults shown where they are. */
import { Problem } from './api.js';
import { el } from './dom.js';
import { placeFaults, readAll } from './fields.js';
import { why } from './page.js';
import { say } from './words.js';

let count = 0;

/** nodes: what is shown; fields: {name: field} that are read; save(values) does it and may throw. */
export function openForm({ title, nodes, fields, save, label = say('save'), others = [] }) {
  const id = `form-${++count}`;
  const general = el('p', { class: 'fault', role: 'alert', hidden: true });
  const submit = el('button', { type: 'submit', class: 'main', text: label });
  const form = el('form', { novalidate: true }, el('h2', { id, text: title }), nodes, general,
    el('div', { class: 'daily' }, el('div', {}, el('button', { type: 'button', text: say('cancel'), onclick: () => dialog.close() }), others, submit)));
  const dialog = el('dialog', { 'aria-labelledby': id }, form);
  form.addEventListener('submit', async (event) => {
    event.preventDefault();
    if (submit.disabled) return;
    const values = readAll(fields);
    if (!values) return;
    submit.disabled = true;
    general.hidden = true;
    try {
      await save(values);
      dialog.close();
    } catch (error) {
      const left = error instanceof Problem ? placeFaults(error, fields) : [];
      general.textContent = left.length || !(error instanceof Problem) || !error.errors.length ? why(error) : say('log.refused');
      general.hidden = false;
    } finally {
      submit.disabled = false;
    }
  });
  dialog.addEventListener('close', () => dialog.remove());
  document.body.append(dialog);
  dialog.showModal();
  return dialog;
}
