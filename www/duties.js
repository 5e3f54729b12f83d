/* duties.js - whose a tank or an area is for a while: the list, the form, and what a tank's page says of it. */
import { getAll, send } from './api.js';
import { openForm } from './dialog.js';
import { el, fill } from './dom.js';
import { selectField, textField } from './fields.js';
import { uuid7 } from './id.js';
import { mayKeep, mayLog, toast, why } from './page.js';
import { formatDay, nearDay } from './units.js';
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

/* place: the tank that a new one is for, where nobody has to choose; else one of tanks and areas. */
function dutyForm(duty, { garden, keeper, members, tanks = [], areas = [], place = null, reload, act }) {
  const id = duty?.id ?? uuid7(); // made once a form: a second tap gives the same duty
  const may = members.filter((one) => !one.removed && one.role !== 'visitor');
  const week = weekOf(garden.today), next = weekOf(garden.today, 1);
  const member = selectField({ label: say('duty.member'), value: duty?.member ?? garden.me?.member ?? may[0]?.id ?? '', options: may.filter((one) => keeper || one.id === garden.me?.member).map((one) => ({ value: one.id, label: one.name })) });
  const what = selectField({ label: say('duty.what'), value: '', options: [...areas.map((one) => ({ value: `area ${one.id}`, label: one.name })), ...tanks.filter((one) => !one.retired).map((one) => ({ value: `tank ${one.id}`, label: one.name }))] });
  const from = textField({ label: say('duty.from'), type: 'date', value: duty?.from ?? garden.today, required: true });
  const to = textField({ label: say('duty.to'), type: 'date', value: duty?.to ?? week.to, required: true });
  const set = (first, last) => { from.input.value = first; to.input.value = last; };
  const dialog = openForm({ title: duty ? say('duty.change', { what: duty.tank_name ?? duty.area_name }) : place ? say('duty.give.title', { what: place.name }) : say('duty.add'), fields: { member, ...(duty || place ? {} : { what }), from, to },
    nodes: [duty || place ? null : what.node, member.node, el('div', { class: 'row' }, el('button', { type: 'button', text: say('duty.week'), onclick: () => set(garden.today, week.to) }), el('button', { type: 'button', text: say('duty.week.next'), onclick: () => set(next.from, next.to) })), el('div', { class: 'pair' }, from.node, to.node)],
    others: duty ? [el('button', { type: 'button', text: say('duty.back'), onclick: act(async () => { await send('DELETE', `duties/${encodeURIComponent(id)}`); dialog.close(); await reload(); }) })] : [],
    save: async (values) => {
      if (duty) await send('PATCH', `duties/${encodeURIComponent(id)}`, { member: values.member, from: values.from, to: values.to });
      else {
        const [kind, which] = place ? ['tank', place.id] : values.what.split(' ');
        await send('POST', 'duties', { id, member: values.member, [kind]: which, from: values.from, to: values.to });
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

const SETTLE_MS = 600; // ours, as on a round

/* --- on a tank's page ------------------------------------------------------------------------------ */

function whoseText(duty, garden) {
  if (!duty) return say('duty.of.none');
  const key = duty.member === garden.me?.member ? 'duty.of.mine' : 'duty.of.other';
  return say(duty.area ? `${key}.area` : key, { name: duty.member_name, to: nearDay(duty.to, garden.today), area: duty.area_name });
}

/* One's own until Sunday. A keeper takes it over from whoever has it; the id was made with the button: a second tap gives the same duty. */
async function take(id, own, tank, garden) {
  const made = own ? await send('PATCH', `duties/${encodeURIComponent(own.id)}`, { member: garden.me.member }) : await send('POST', 'duties', { id, tank: tank.id });
  toast(say('duty.taken', { what: tank.name, to: nearDay(made.to, garden.today) }));
}

/* Taken off, with a way back: the same days once more. */
async function takeOff(duty, tank, draw) {
  await send('DELETE', `duties/${encodeURIComponent(duty.id)}`);
  const again = { id: uuid7(), member: duty.member, tank: tank.id, from: duty.from, to: duty.to };
  toast(say('duty.off.done', { what: tank.name, name: duty.member_name }), { undo: async () => {
    await send('POST', 'duties', again).catch((error) => toast(why(error)));
    await draw();
  } });
}

async function giveForm(own, tank, garden, draw, act) {
  const members = await getAll('members');
  dutyForm(own, { garden, keeper: true, members, place: { id: tank.id, name: tank.name }, reload: draw, act });
}

/**
 * Whose a tank is, what comes after, and the buttons of whoever asks: growers take it and give their own back, keepers give it to
 * anybody. The daemon says which duty counts: the first that has begun.
 */
export async function showTankDuty(node, tank, garden, again = false) {
  const draw = () => showTankDuty(node, tank, garden, true);
  const duties = await getAll(`duties?tank=${encodeURIComponent(tank.id)}`);
  const now = duties.find((duty) => duty.from <= garden.today) ?? null;
  const own = now?.tank ? now : null; // of this tank alone, not of the area around it
  const mine = now?.member === garden.me?.member && Boolean(garden.me?.member);
  const keeper = mayKeep(garden);
  /* Another button stands where one was pressed: a second tap that was meant for the first does nothing. */
  const awake = again ? Date.now() + SETTLE_MS : 0;
  let busy = false;
  const act = (what) => async (event) => {
    if (busy || Date.now() < awake) return;
    busy = true;
    try {
      await what(event);
      await draw();
    } catch (error) {
      toast(why(error));
    } finally {
      busy = false;
    }
  };
  const id = uuid7();
  const button = (text, onclick, name = null) => el('button', { type: 'button', text, 'aria-label': name, onclick });
  fill(node, el('h2', { text: say('duty.title') }), el('p', { text: whoseText(now, garden) }),
    duties.filter((duty) => duty.from > garden.today).map((duty) => el('p', { text: say('duty.of.next', { name: duty.area_name ? `${duty.member_name}, ${duty.area_name}` : duty.member_name, from: formatDay(duty.from, garden.today), to: formatDay(duty.to, garden.today) }) })),
    mayLog(garden) ? el('div', { class: 'row' },
      garden.me?.member && !mine && (!own || keeper) ? button(say('duty.take'), act(() => take(id, own, tank, garden))) : null,
      keeper ? button(own ? say('edit') : say('duty.give'), async () => Date.now() >= awake && giveForm(own, tank, garden, draw, act).catch((error) => toast(why(error))), own ? say('duty.change', { what: tank.name }) : null) : null,
      own && (mine || keeper) ? button(mine ? say('duty.back') : say('duty.off', { name: own.member_name }), act(() => takeOff(own, tank, draw))) : null) : null);
}
