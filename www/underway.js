/* underway.js - a mix that somebody began and left, told in one line on Today and on its tank's page: no alarm, but nobody should
 * have to remember that a bucket with salts in it stands about.
 */
import { askFirst } from './asking.js';
import { send } from './api.js';
import { el } from './dom.js';
import { mayLog, toast, why } from './page.js';
import { format, formatInstant, nearDay } from './units.js';
import { say } from './words.js';

const tell = (mix, what, body) => send('POST', `mixes/${encodeURIComponent(mix.id)}/${what}`, body);

/* Does it, says so with a way back, and draws anew; what does not work is said. */
async function change(act, done, back, load) {
  try {
    await act();
    await load();
    toast(done(), { undo: async () => {
      await back().catch((error) => toast(why(error)));
      await load();
    } });
  } catch (error) {
    toast(why(error));
  }
}

/** One row. load(): asks anew and draws. on: 'today', where it can be put off, or 'tank'. */
export function mixRow(mix, garden, load, on) {
  const what = say('underway.what', { volume: format('volume', mix.volume_l, garden), tank: mix.tank_name ?? say('underway.bucket') });
  const begun = say(mix.member_name ? 'underway.by' : 'underway.begun', { name: mix.member_name, at: formatInstant(mix.at, garden) });
  const button = (word, onclick) => el('button', { type: 'button', class: 'quiet', text: say(`underway.${word}`), 'aria-label': say('underway.of', { act: say(`underway.${word}`), what }), onclick });
  const giveUp = () => askFirst({ text: say('underway.giveup.ask', { what }), yes: say('underway.giveup.yes'), no: say('underway.giveup.no'),
    act: () => change(() => tell(mix, 'state', { state: 'given_up' }), () => say('underway.givenup', { what }), () => tell(mix, 'state', { state: 'open' }), load) });
  const putOff = () => change(() => tell(mix, 'off', { days: 1 }), () => say('underway.off.done', { what, day: say('day.tomorrow') }), () => tell(mix, 'off', { days: 0 }), load);
  const show = async () => {
    await tell(mix, 'off', { days: 0 }).catch((error) => toast(why(error)));
    await load();
  };
  return el('li', {}, el('span', { class: 'what' }, el('span', { text: say('underway.line', { what, done: mix.done, of: mix.steps }) }),
    el('small', { text: [begun, mix.off_until ? say('underway.off.until', { day: nearDay(mix.off_until, garden.today) }) : ''].filter(Boolean).join(' · ') })),
  mayLog(garden) ? el('span', { class: 'row' },
    el('a', { class: 'act', href: `mix.html?mix=${encodeURIComponent(mix.id)}`, text: say('underway.on'), 'aria-label': say('underway.of', { act: say('underway.on'), what }) }),
    on !== 'today' ? null : mix.off_until ? button('show', show) : button('off', putOff), button('giveup', giveUp)) : null);
}
