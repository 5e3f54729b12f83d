/* marks.js - the start and low marks of a tank's vessel, changed after they were kept, with what that would mean said first. */
import { getAll, send } from './api.js';
import { el, fill } from './dom.js';
import { openForm } from './dialog.js';
import { numberField } from './fields.js';
import { format, nearDay } from './units.js';
import { say } from './words.js';

const litresAt = async (vessel, waterline_mm) => (await send('POST', 'calc/vessel', { vessel: vessel.shape, waterline_mm })).volume_l;

/** The first day on which the middle of the outlook is at or below a waterline; null when it stays above as far as it looks. */
export const lowDay = (outlook, low_mm) => (outlook?.waterline ?? []).find((row) => row.p50_mm <= low_mm)?.date ?? null;

/* Sentences about marks that are not kept yet. */
async function consequences(tank, garden, { start_mm, low_mm }) {
  const { state, vessel, outlook } = tank;
  const said = [];
  const [fills, filled, left] = await Promise.all([litresAt(vessel, start_mm), litresAt(vessel, vessel.start_mm), litresAt(vessel, low_mm)]);
  if (start_mm !== vessel.start_mm) {
    said.push(say(fills < filled ? 'marks.start.less' : 'marks.start.more', { x: format('length', start_mm, garden), change: format('volume', Math.abs(fills - filled), garden) }));
    if (state.phase === 'filled' && state.waterline_mm > start_mm) said.push(say('marks.start.below', { x: format('length', state.waterline_mm, garden) }));
    if (state.phase === 'filled' && start_mm > vessel.start_mm) said.push(say('marks.start.roots'));
  }
  if (low_mm !== vessel.low_mm) {
    said.push(say('marks.low.left', { x: format('length', low_mm, garden), volume: format('volume', left, garden) }));
    if (state.phase === 'filled' && state.waterline_mm <= low_mm) said.push(say('marks.low.now'));
    else if (outlook?.waterline?.length) {
      const [now, then] = [lowDay(outlook, vessel.low_mm), lowDay(outlook, low_mm)];
      if (now !== then) said.push(say(then ? (now ? 'marks.low.day' : 'marks.low.day.new') : 'marks.low.never', { day: then && nearDay(then, garden.today), before: now && nearDay(now, garden.today) }));
    }
  }
  return said;
}

/** The form; after() when the marks were kept. */
export async function openMarks(tank, garden, after) {
  const { vessel } = tank;
  const high = vessel.height_mm;
  const about = el('div', { role: 'status', id: 'marks-said' });
  const alike = await getAll('tanks').then((tanks) => tanks.filter((one) => one.vessel === vessel.id && one.id !== tank.id && !one.retired), () => []);
  let turn = 0;
  const soon = () => {
    const mine = ++turn;
    setTimeout(async () => {
      const marks = { start_mm: fields.start_mm.peek(), low_mm: fields.low_mm.peek() };
      if (mine !== turn) return;
      if (marks.start_mm === null || marks.low_mm === null) return fill(about);
      if (marks.low_mm >= marks.start_mm) return fill(about, el('p', { class: 'fault', text: say('marks.order') }));
      const said = await consequences(tank, garden, marks).catch(() => []);
      if (mine === turn) fill(about, said.map((text) => el('p', { text })));
    }, 300);
  };
  const length = (word, value) => numberField({ label: say(word), quantity: 'length', garden, value, least: 0, most: high, required: true, oninput: soon,
    hint: say('marks.now', { x: format('length', value, garden) }) });
  const fields = { start_mm: length('marks.start', vessel.start_mm), low_mm: length('marks.low', vessel.low_mm) };
  openForm({
    title: say('marks.open'), label: say('marks.keep'), fields,
    nodes: [el('p', { class: 'where', text: tank.name }), el('p', { text: say('marks.about') }),
      alike.length ? el('p', { text: say('marks.alike', { names: [tank, ...alike].map((one) => one.name).join(', ') }) }) : null,
      fields.start_mm.node, fields.low_mm.node, about],
    save: async (marks) => {
      await send('PATCH', `vessels/${encodeURIComponent(vessel.id)}`, marks);
      await after();
    },
  });
}
