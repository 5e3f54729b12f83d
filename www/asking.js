/* asking.js - a question over the page, before something is done that is not easily put right. */
import { el } from './dom.js';

let count = 0;

/** text: the question; no, yes: words of the buttons, no first and with the focus; act(): what yes does. */
export function askFirst({ text, yes, no, act }) {
  const id = `asking-${++count}`;
  const stay = el('button', { type: 'button', class: 'main', text: no, onclick: () => dialog.close() });
  const dialog = el('dialog', { 'aria-labelledby': id }, el('p', { id, text }),
    el('div', { class: 'daily' }, el('div', {}, stay, el('button', { type: 'button', text: yes, onclick: () => {
      dialog.close();
      act();
    } }))));
  dialog.addEventListener('close', () => dialog.remove());
  document.body.append(dialog);
  dialog.showModal();
  stay.focus();
}
