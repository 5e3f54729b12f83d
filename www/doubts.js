/* doubts.js - the part of a tank's page where one sees which of its sensors' readings are not believed, and why. */
import { get, send } from './api.js';
import { openForm } from './dialog.js';
import { details, el, fill, table } from './dom.js';
import { textField } from './fields.js';
import { uuid7 } from './id.js';
import { mayKeep, mayLog, toast, why } from './page.js';
import { format, formatInstant, instantOf, nearDay, dateOf, wallTime } from './units.js';
import { say } from './words.js';

const QUANTITIES = [['waterline_mm', 'length'], ['ec_ms_cm', 'ec'], ['ph', 'ph'], ['temperature_c', 'temperature']];

/** What a reading told, and what speaks against it, in words. Pure. */
export const toldText = (reading, garden) => QUANTITIES.filter(([name]) => typeof reading[name] === 'number').map(([name, quantity]) => `${say(`sensor.told.${quantity}`)} ${format(quantity, reading[name], garden)}`).join(', ');
export const againstIt = (flags) => flags.filter((flag) => flag !== 'late').map((flag) => say(`sensor.why.${flag}`)); // late alone is believed

/* A stretch that people do not believe: from and to are asked for, the readings stay. */
function doubtForm(tank, garden, draw) {
  const id = uuid7(); // made once a form: a second tap gives the same doubt
  const day = 86400000, field = (word, at) => textField({ label: say(word), type: 'datetime-local', value: wallTime(new Date(at).toISOString(), garden), required: true });
  const from = field('doubt.from', Date.now() - day), to = field('doubt.to', Date.now());
  const reason = textField({ label: say('doubt.why'), most: 200, hint: say('doubt.why.hint') });
  openForm({ title: say('doubt.title', { name: tank.name }), fields: { from, to, why: reason }, nodes: [from.node, to.node, el('p', { class: 'hint', text: say('doubt.zone', { zone: garden.time_zone }) }), reason.node, el('p', { text: say('doubt.about') })], save: async (values) => {
    await send('POST', 'doubts', { id, tank: tank.id, from: instantOf(values.from, garden), to: instantOf(values.to, garden), ...(values.why ? { why: values.why } : {}) });
    await draw();
  } });
}

function doubtRow(doubt, garden, draw) {
  const stretch = say('doubt.stretch', { from: formatInstant(doubt.from, garden), to: formatInstant(doubt.to, garden) });
  const mine = doubt.member && doubt.member === garden.me?.member;
  return el('li', {}, el('span', { class: 'what' }, el('span', { text: doubt.why ? `${stretch}: ${doubt.why}` : stretch }),
    el('small', { text: doubt.member_name ? say('doubt.by', { name: doubt.member_name }) : say('doubt.by.nobody') })),
  mayLog(garden) && (mine || mayKeep(garden)) ? el('button', { type: 'button', class: 'quiet', text: say('doubt.lift'), 'aria-label': say('doubt.lift.of', { stretch }), onclick: async (event) => {
    event.target.disabled = true;
    await send('DELETE', `doubts/${encodeURIComponent(doubt.id)}`).catch((error) => toast(why(error)));
    await draw().catch((error) => toast(why(error)));
  } }) : null);
}

/** Draws it, where sensors tell of this tank at all (told), or where people once doubted one. again: once more, since it may count otherwise now. */
export async function showDoubted(node, tank, garden, { told, again }) {
  const path = `tanks/${encodeURIComponent(tank.id)}/doubted`;
  const draw = async () => { await again(); };
  const { from, looked, odd, items, doubts } = await get(path);
  node.hidden = !told && !looked && !doubts.length;
  if (node.hidden) return;
  const reasons = [...new Set(items.flatMap((reading) => againstIt(reading.flags)))];
  const since = nearDay(dateOf(from, garden), garden.today);
  fill(node, odd ? el('p', { class: 'caution', text: say('sensor.odd', { n: odd, of: looked, since, why: reasons.join(', ') }) }) : looked ? el('p', { text: say('sensor.odd.none', { n: looked, since }) }) : null,
    odd ? details(say('sensor.odd.table', { n: items.length }), table(say('sensor.odd.table', { n: items.length }), [say('chart.when'), say('sensor.odd.sensor'), say('sensor.odd.told'), say('sensor.odd.why')],
      items.map((reading) => [formatInstant(reading.at, garden), reading.sensor_name, toldText(reading, garden), againstIt(reading.flags).join(', ')]))) : null,
    doubts.length ? [el('h3', { text: say('doubt.list') }), el('ul', { class: 'log' }, doubts.map((doubt) => doubtRow(doubt, garden, draw)))] : null,
    mayLog(garden) ? el('p', {}, el('button', { type: 'button', class: 'quiet', text: say('doubt.add'), onclick: () => doubtForm(tank, garden, draw) })) : null);
}
