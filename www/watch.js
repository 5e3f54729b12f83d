/* watch.js - an open page sees what others log: every three seconds it asks whether its answer is still the same.
 *
 * A 304 costs the daemon a glance at its cache and the phone some two hundred bytes; an event stream would hold a thread of
 * the daemon for each open page, and phones cut it when they sleep.
 */
import { getIfChanged, isReached } from './api.js';

const EVERY_MS = 3000; // ours; a new entry is to be seen within five seconds
const UNREACHED_TURNS = 5; // and every fifteen while nobody answers

/** Whether somebody is in the middle of something that a redraw would take from under their fingers. */
const isBusy = () => document.querySelector('dialog[open]') !== null || document.activeElement?.matches('input, textarea, select') === true;

/** Calls draw(body) with the answer to GET /api/v1/{path} whenever it has changed, while the page is looked at. gently: draw
 * takes nothing from under anybody's fingers and need not wait. */
export function watch(path, draw, { gently = false } = {}) {
  let asking = false;
  let waiting = null; // what came while somebody was busy
  let turn = 0;
  setInterval(async () => {
    turn++;
    if (asking || document.visibilityState !== 'visible' || (!isReached() && turn % UNREACHED_TURNS)) return;
    asking = true;
    try {
      waiting = (await getIfChanged(path)) ?? waiting;
      if (waiting && (gently || !isBusy())) {
        const body = waiting;
        waiting = null;
        await draw(body);
      }
    } catch {
      // api.js has told that nobody answers; what was refused is said when the page is next loaded
    } finally {
      asking = false;
    }
  }, EVERY_MS);
}
