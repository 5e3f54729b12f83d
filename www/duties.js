/* duties.js - whose a tank or an area is for a while: the list, and the form. */
import { send } from './api.js';
import { openForm } from './dialog.js';
import { el, fill } from './dom.js';
import { selectField, textField } from './fields.js';
import { uuid7 } from './id.js';
import { formatDay } from './units.js';
import { say } from './words.js';

/** The Monday on or before a date, and the Sunday after it (ISO 8601). Pure. */
export function weekOf(date, weeks = 0) {
  const day = new Date(`${date}T00:00:00Z`);
  day.setUTCDate(day.getUTCDate() - (day.getUTCDay() + 6) % 7 + 7 * weeks);
  const from = day.toISOString().slice(0, 10);
  day.setUTCDate(day.getUTCDate() + 6);
  return { from, to: day.toISOString().slice(0, 10) };
}

const daysText = (duty, garden) => say('duty.days', { from: formatDay(duty.from, garden.today), to: formatDay(duty.to, garden.today) });

function dutyForm(duty, { garden, keeper, members, tanks, areas, reload, act }) {
  const id = duty?.id ?? uuid7(); // made once a form: a second tap gives the same duty
  const may = members.filter((one) => !one.removed && one.role !== 'visitor');
  const week = weekOf(garden.today), next = weekOf(garden.today, 1);
  const member = selectField({ label: say('duty.member'), value: duty?.member ?? garden.me?.member ?? may[0]?.id ?? '', options: may.filter((one) => keeper || one.id === garden.me?.member).map((one) => ({ value: one.id, label: one.name })) });
  const what = selectField({ label: say('duty.what'), value: '', options: [...areas.map((one) => ({ value: `area ${one.id}`, label: one.name })), ...tanks.filter((one) => !one.retired).map((one) => ({ value: `tank ${one.id}`, label: one.name }))] });
  const from = textField({ label: say('duty.from'), type: 'date', value: duty?.from ?? garden.today, required: true });
  const to = textField({ label: say('duty.to'), type: 'date', value: duty?.to ?? week.to, required: true });
  const set = (first, last) => { from.input.value = first; to.input.value = last; };
  const dialog = openForm({ title: duty ? say('duty.change', { what: duty.tank_name ?? duty.area_name }) : say('duty.add'), fields: { member, ...(duty ? {} : { what }), from, to },
    nodes: [duty ? null : what.node, member.node, el('div', { class: 'row' }, el('button', { type: 'button', text: say('duty.week'), onclick: () => set(garden.today, week.to) }), el('button', { type: 'button', text: say('duty.week.next'), onclick: () => set(next.from, next.to) })), el('div', { class: 'pair' }, from.node, to.node)],
    others: duty ? [el('button', { type: 'button', text: say('duty.back'), onclick: act(async () => { await send('DELETE', `duties/${encodeURIComponent(id)}`); dialog.close(); await reload(); }) })] : [],
    save: async (values) => {
      if (duty) await send('PATCH', `duties/${encodeURIComponent(id)}`, { member: values.member, from: values.from, to: values.to });
      else {
        const [kind, place] = values.what.split(' ');
        await send('POST', 'duties', { id, member: values.member, [kind]: place, from: values.from, to: values.to });
      }
      await reload();
    } });
}

/** Draws the list and wires the button that adds one. */
export function drawDuties(list, none, add, duties, context) {
  const { garden, keeper } = context;
  const may = keeper || (garden.me?.role === 'grower' && garden.me.member);
  fill(list, duties.map((duty) => el('li', {}, el('span', { class: 'what' }, el('span', { text: say('duty.is', { what: duty.tank_name ?? duty.area_name, name: duty.member_name }) }), el('small', { text: daysText(duty, garden) })),
    keeper || (may && duty.member === garden.me?.member) ? el('button', { type: 'button', class: 'quiet', text: say('edit'), 'aria-label': say('duty.change', { what: duty.tank_name ?? duty.area_name }), onclick: () => dutyForm(duty, context) }) : null)));
  none.hidden = duties.length > 0;
  add.hidden = !may || !(context.members.some((one) => !one.removed && one.role !== 'visitor')) || !(context.tanks.length + context.areas.length);
  add.onclick = () => dutyForm(null, context);
}
