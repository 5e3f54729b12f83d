/* words.js - every text a person reads, from words/LANGUAGE.json and words/LANGUAGE-desk.json.
 *
 * The files are flat, "key": "text with {name}", and the daemon's plain pages read the first one.
 * The second holds what only Mix, Plan, Shelf, Harvests, Garden and their like say: phones beside a tank need not load it.
 * A key may have forms for number: "tank.cups.one", "tank.cups.other", chosen by the value n.
 */
import { getFile } from './api.js';

export const LANGUAGES = ['en', 'de'];
let words = {};
let language = 'en';
let plural = new Intl.PluralRules('en');

export const currentLanguage = () => language;
/** For Intl: English as written where the units are metric too. */
export const locale = () => (language === 'en' ? 'en-GB' : language);

/** The language to begin with: this phone's choice, the garden's as this phone knew it last, or the browser's. theme.js finds it, and may come later. */
export async function firstLanguage() {
  const root = document.documentElement;
  const script = document.querySelector?.('script[src="theme.js"]');
  if (!root.dataset?.language && script) {
    await new Promise((done) => {
      script.addEventListener('load', done);
      setTimeout(done, 2000); // it was lost on the way
    });
  }
  return root.dataset?.language ?? 'en';
}

/** Pages for the desk (<html data-words="desk">) need more words than those beside a tank. */
export async function loadWords(wanted) {
  const next = LANGUAGES.includes(wanted) ? wanted : 'en';
  const files = [next, ...(document.documentElement.dataset?.words === 'desk' ? [`${next}-desk`] : [])];
  words = Object.assign({}, ...await Promise.all(files.map((name) => getFile(`words/${name}.json`))));
  language = next;
  plural = new Intl.PluralRules(next);
  document.documentElement.lang = next;
}

/** Whether there is a text for key. */
export const hasWord = (key) => key in words || `${key}.other` in words;

/** The text for key with {name} filled in. A key without text shows itself: that is seen in any test. */
export function say(key, values = {}) {
  const text = (typeof values.n === 'number' && words[`${key}.${plural.select(values.n)}`]) ||
    words[key] || words[`${key}.other`] || key;
  return text.replace(/\{(\w+)\}/g, (all, name) => (name in values ? String(values[name]) : all));
}

/** Fills elements that carry data-word (text) or data-word-label (accessible name). */
export function fillWords(root = document) {
  for (const node of root.querySelectorAll('[data-word]')) node.textContent = say(node.dataset.word);
  for (const node of root.querySelectorAll('[data-word-label]')) node.setAttribute('aria-label', say(node.dataset.wordLabel));
}
