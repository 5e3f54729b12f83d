/* page.js - what every page does: words, the garden, the outbox, and the states a page can be in. */
import { Problem, Unreachable, getOrKept, onReached } from './api.js';
import { el } from './dom.js';
import { keepFocus } from './focus.js';
import { isLasting } from './kept.js';
import { discard, onOutbox, flush, outboxRows, startOutbox, undo } from './outbox.js';
import { entrySentence } from './sentences.js';
import { formatInstant } from './units.js';
import { LANGUAGES, currentLanguage, fillWords, firstLanguage, loadWords, say } from './words.js';

/* This phone's own choices; the garden's settings are the daemon's. */
export const own = {
  get: (name) => {
    try {
      return localStorage.getItem(`tidemark.${name}`);
    } catch {
      return null;
    }
  },
  set: (name, value) => {
    try {
      if (value === null) localStorage.removeItem(`tidemark.${name}`);
      else localStorage.setItem(`tidemark.${name}`, value);
    } catch {
      // no storage: the choice lasts as long as the page
    }
  },
};

const statusNode = () => document.getElementById('status');

/** Says in one place what the page is waiting for or why it shows nothing; '' when all is well. */
export function status(kind, text = '', retry = null) {
  const node = statusNode();
  node.className = `status ${kind}`;
  node.replaceChildren(text, ...(retry ? [' ', el('button', { type: 'button', text: say('retry'), onclick: retry })] : []));
}

/** In words, why something did not work. */
export function why(error) {
  if (error instanceof Unreachable) return say('failed.unreachable');
  if (error instanceof Problem && error.status === 401) return say('failed.unpaired');
  if (error instanceof Problem && error.status === 403) return say('failed.role');
  if (error instanceof Problem) return error.errors.length ? error.errors.map(({ at, detail }) => (at ? `${at.slice(1)}: ${detail}` : detail)).join(' · ') : error.message;
  return say('failed.page', { why: error.message });
}

/** Says that the page could not be shown, and how to try again: nobody answers, or it was refused. */
export const failed = (error, retry) => status(error instanceof Unreachable ? 'offline' : 'failed', why(error), retry);

/**
 * Asks for `path` and hands the answer to draw(body). Says that it is loading, that it failed
 * (with a button to try again), or that what is shown is old because nobody answers.
 */
export async function show(path, draw, garden) {
  status('loading', say('loading'));
  try {
    const { body, at, fresh } = await getOrKept(path);
    await draw(body);
    if (fresh) status('');
    else status('offline', say('offline.shown', { at: formatInstant(at, garden) }), () => show(path, draw, garden));
    return body;
  } catch (error) {
    failed(error, () => show(path, draw, garden));
    if (!(error instanceof Problem || error instanceof Unreachable)) throw error;
    return null;
  }
}

/** A line at the foot of the screen, with a way back for ten seconds (longer while it has the focus), by its button or by Ctrl+Z. */
export function toast(text, { undo = null, seconds = 10 } = {}) {
  document.getElementById('toast')?.remove();
  const node = el('div', { id: 'toast', class: 'toast', role: 'status' }, el('p', { text }));
  let timer = null;
  const later = () => { timer = setTimeout(() => (node.contains(document.activeElement) ? later() : close()), seconds * 1000); };
  const onKey = (event) => {
    if (event.key.toLowerCase() !== 'z' || !(event.ctrlKey || event.metaKey) || event.shiftKey || event.target.matches('input, textarea')) return;
    event.preventDefault();
    node.querySelector('button').click();
  };
  const close = () => {
    removeEventListener('keydown', onKey);
    node.remove();
  };
  if (undo) {
    node.append(el('button', { type: 'button', text: say('undo'), 'aria-keyshortcuts': 'Control+Z', title: say('undo.key'), onclick: async (event) => {
      if (!node.isConnected) return removeEventListener('keydown', onKey); // another line has come instead
      event.target.disabled = true;
      clearTimeout(timer);
      await undo();
      close();
    } }));
    addEventListener('keydown', onKey);
  }
  (document.querySelector('dialog[open]') || document.body).append(node);
  later();
}

/* How many entries wait, and which the daemon refused. */
function showOutbox(waiting, refused) {
  let button = document.getElementById('waits');
  if (!waiting && !refused) {
    button?.remove();
    return;
  }
  if (!button) {
    button = el('button', { id: 'waits', class: 'waits', type: 'button', onclick: openOutbox });
    document.querySelector('.head').append(button);
  }
  button.textContent = refused ? say('outbox.refused', { n: refused }) : say('outbox.waits', { n: waiting });
}

function waitingSentence(entry, garden) {
  if (entry.withdraws) return say('outbox.takeback');
  if (!garden) return say(`kind.${entry.kind}`);
  return `${entrySentence(entry, garden, (slug) => say(`crop.${slug}`))} · ${formatInstant(entry.at, garden)}`;
}

function rowSentence(row, garden) {
  if (row.write) return say(`outbox.${row.about}`);
  return row.photo ? say('outbox.photo', { what: waitingSentence(row.about, garden) }) : waitingSentence(row.entry, garden);
}

async function openOutbox() {
  const list = el('ul', { class: 'log' });
  const dialog = el('dialog', { 'aria-labelledby': 'outbox-title' },
    el('h2', { id: 'outbox-title', text: say('outbox.title') }), el('p', { text: say('outbox.about') }), isLasting() ? null : el('p', { class: 'caution', text: say('outbox.passing') }), list,
    el('div', { class: 'daily' }, el('div', {},
      el('button', { type: 'button', text: say('close'), onclick: () => dialog.close() }),
      el('button', { type: 'button', class: 'main', text: say('outbox.send'), onclick: async () => { await flush(); fill(); } }))));
  const fill = async () => {
    const rows = await outboxRows();
    if (!rows.length) return dialog.close();
    const garden = (await getOrKept('garden').catch(() => null))?.body;
    list.replaceChildren(...rows.map((row) => el('li', {},
      el('span', { class: 'what' }, el('span', { text: rowSentence(row, garden) }),
        el('small', { text: row.refused ? say('outbox.why', { why: row.refused.detail }) : say('outbox.waiting') })),
      !row.entry || row.entry.withdraws ? null : el('a', { class: 'act', href: `tank.html?${new URLSearchParams({ id: row.entry.tank, waiting: row.key })}`, text: say('edit'),
        'aria-label': say('history.edit', { what: say(`kind.${row.entry.kind}`), at: garden ? formatInstant(row.entry.at, garden) : row.entry.at }) }),
      el('button', { type: 'button', text: say('outbox.discard'), onclick: async () => { await (!row.entry || row.refused || row.entry.withdraws ? discard(row.key) : undo(row.entry)); fill(); } }))));
  };
  document.body.append(dialog);
  dialog.addEventListener('close', () => dialog.remove());
  await fill();
  if (dialog.isConnected && (await outboxRows()).length) dialog.showModal();
}

function themeSwitch() {
  const button = document.getElementById('theme');
  if (!button) return;
  const order = ['auto', 'light', 'dark'];
  const label = () => { button.textContent = say(`theme.${own.get('theme') || 'auto'}`); };
  button.addEventListener('click', () => {
    const next = order[(order.indexOf(own.get('theme') || 'auto') + 1) % order.length];
    own.set('theme', next === 'auto' ? null : next);
    if (next === 'auto') delete document.documentElement.dataset.theme;
    else document.documentElement.dataset.theme = next;
    label();
  });
  label();
}

/* A menu shuts by Escape, by a touch beside it, and when the focus goes on. */
function shutMenus() {
  for (const menu of document.querySelectorAll('.menu, .up')) {
    const shut = () => menu.removeAttribute('open');
    menu.addEventListener('keydown', (event) => {
      if (event.key !== 'Escape' || !menu.open) return;
      menu.querySelector('summary').focus();
      shut();
    });
    menu.addEventListener('focusout', ({ relatedTarget }) => relatedTarget && !menu.contains(relatedTarget) && shut());
    document.addEventListener('pointerdown', ({ target }) => menu.contains(target) || shut());
  }
}

/* Tables behind drawings and charts go to paper opened. */
function printTables() {
  let opened = [];
  addEventListener('beforeprint', () => {
    opened = [...document.querySelectorAll('details.more:not([open])')].filter((one) => one.querySelector(':scope > .table'));
    for (const one of opened) one.open = true;
  });
  addEventListener('afterprint', () => {
    for (const one of opened) one.open = false;
  });
}

/** Words, then the garden; null when it cannot be had, and the page says why. */
export async function openPage() {
  keepFocus();
  const asking = getOrKept('garden').then((answer) => answer.body, (error) => error);
  try {
    await loadWords(await firstLanguage());
  } catch {
    status('offline', 'Tidemark does not answer. / Tidemark antwortet nicht.', () => location.reload()); // the words are what is missing
    return null;
  }
  const garden = await asking;
  if (!(garden instanceof Error)) {
    own.set('garden.language', garden.language);
    const wanted = own.get('language') || garden.language;
    if (wanted !== currentLanguage() && LANGUAGES.includes(wanted)) await loadWords(wanted).catch(() => {});
  }
  fillWords();
  themeSwitch();
  printTables();
  shutMenus();
  if (document.querySelector('title').dataset.word) document.title = `${say(document.querySelector('title').dataset.word)} – Tidemark`;
  onOutbox(showOutbox);
  onReached((reached) => document.documentElement.toggleAttribute('data-away', !reached));
  if (garden instanceof Error) {
    failed(garden, () => location.reload());
    return null;
  }
  startOutbox();
  if ('serviceWorker' in navigator) navigator.serviceWorker.register('sw.js').catch(() => {}); // a bonus, never needed
  return garden;
}

/** What may this member do: look, log, everything. */
export const mayLog = (garden) => garden.me?.role !== 'visitor';
export const mayKeep = (garden) => garden.me?.role === 'keeper';

/** One value of the page's address. */
export const asked = (name) => new URLSearchParams(location.search).get(name);
