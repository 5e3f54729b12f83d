/* rounddays.js - the part of Garden where a keeper says on which weekdays a round is walked. */
import { send } from './api.js';
import { openForm } from './dialog.js';
import { el } from './dom.js';
import { boxesField } from './fields.js';
import { weekdayName } from './units.js';
import { say } from './words.js';

const WEEKDAYS = ['monday', 'tuesday', 'wednesday', 'thursday', 'friday', 'saturday', 'sunday'];

/** What is said of a place's round days (of GET round-days): null where it has none. area: its id, null: the whole garden. */
export function roundDaysText(days, area) {
  const found = days.find((one) => one.area === area);
  return found ? say(area ? 'rounddays.are' : 'rounddays.garden', { days: found.weekdays.map((day) => weekdayName(WEEKDAYS.indexOf(day), 'short')).join(', ') }) : null;
}

/** Asks for the weekdays of a place. area: {id, name}; null: the whole garden. The whole list is sent: twice is once. */
function roundDaysForm(days, area, reload) {
  const chosen = days.find((one) => one.area === (area?.id ?? null))?.weekdays ?? [];
  const boxes = boxesField({ label: say('rounddays.which'), chosen, options: WEEKDAYS.map((value, i) => ({ value, label: weekdayName(i) })) });
  openForm({ title: say('rounddays.title', { place: area?.name ?? say('rounddays.whole') }), fields: { weekdays: boxes }, nodes: [boxes.node, el('p', { text: say('rounddays.about') })], save: async (values) => {
    await send('PATCH', `round-days/${encodeURIComponent(area?.id ?? 'garden')}`, { weekdays: values.weekdays ?? [] });
    await reload();
  } });
}

export const roundDaysButton = (days, area, reload) => el('button', { type: 'button', class: area ? 'quiet' : null, text: say(area ? 'rounddays' : 'rounddays.of.whole'),
  'aria-label': area ? say('rounddays.title', { place: area.name }) : null, onclick: () => roundDaysForm(days, area, reload) });
