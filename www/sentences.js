/* sentences.js - what the daemon found, in words a neighbour can act on. */
import { format, formatNumber, nearDay } from './units.js';
import { hasWord, say } from './words.js';

/* How a value is shown follows from the unit at the end of its name. */
const BY_ENDING = [
  [/_mm$/, 'length'], [/_l$/, 'volume'], [/_l_day$/, 'volume'], [/_kg$/, 'heavy'], [/_g$/, 'mass'], [/_ms_cm$/, 'ec'],
  [/_c$/, 'temperature'], [/^ph$|_ph$|^ph_/, 'ph'],
];

/** The values of an answer as texts, for the places in a sentence. */
export function shown(values, garden) {
  const texts = {};
  for (const [name, value] of Object.entries(values || {})) {
    if (typeof value === 'number') {
      const quantity = BY_ENDING.find(([ending]) => ending.test(name))?.[1];
      texts[name] = quantity ? format(quantity, value, garden) : formatNumber(value, 1);
    } else if (typeof value === 'string' && /^\d{4}-\d{2}-\d{2}$/.test(value)) {
      texts[name] = nearDay(value, garden.today);
    } else if (typeof value === 'string') {
      texts[name] = value;
    }
  }
  return texts;
}

/** 'between Tuesday and Thursday', or 'on Tuesday' where both ends are one day. */
export function span(when, garden) {
  if (!when) return '';
  const from = when.p10 ?? when.p50, to = when.p90 ?? when.p50;
  if (!from && !to) return '';
  if (!to) return say('when.from', { from: nearDay(from, garden.today) });
  return from === to || !from ? say('when.on', { day: nearDay(to, garden.today) })
    : say('when.between', { from: nearDay(from, garden.today), to: nearDay(to, garden.today) });
}

/** One finding as a sentence: {reason, when, with}. The more the daemon knows, the longer the sentence. */
export function reasonSentence(item, garden) {
  const values = { ...shown(item.with, garden), when: span(item.when, garden) };
  const base = `reason.${item.reason}`;
  const fuller = [`${base}.when.add`, `${base}.when`, `${base}.add`].find((key) => {
    if (!hasWord(key)) return false;
    const needed = [...say(key).matchAll(/\{(\w+)\}/g)].map((match) => match[1]);
    return needed.every((name) => values[name]);
  });
  return say(fuller || base, values);
}

/** What the button says that does something about it. */
export function actLabel(item, garden) {
  const act = item.act;
  if (!act) return '';
  const values = shown(act.prefill, garden);
  if (act.kind === 'top-up' && values.volume_l) return say('act.top-up.add', values);
  return say(`act.${act.kind}`, values);
}

/** Address of the form that does it, filled in. */
export function actAddress(item) {
  const address = new URLSearchParams({ id: item.tank, log: item.act.kind });
  if (item.act.prefill && Object.keys(item.act.prefill).length) address.set('with', JSON.stringify(item.act.prefill));
  return `tank.html?${address}`;
}

/** One entry of the log as a sentence. nameOf: crop slug to name. */
export function entrySentence(entry, garden, nameOf) {
  const parts = [];
  const add = (key, values) => parts.push(say(key, values));
  if (entry.crop) add('entry.crop', { crop: nameOf(entry.crop), n: entry.cups?.length ?? entry.count ?? 1 });
  if (entry.how) add(`entry.how.${entry.how}`, {});
  if (typeof entry.volume_l === 'number') parts.push(format('volume', entry.volume_l, garden));
  if (typeof entry.waterline_mm === 'number') add('entry.waterline', { x: format('length', entry.waterline_mm, garden) });
  if (typeof entry.ec_ms_cm === 'number') add('entry.ec', { x: format('ec', entry.ec_ms_cm, garden) });
  if (typeof entry.ph === 'number') add('entry.ph', { x: format('ph', entry.ph, garden) });
  if (typeof entry.temperature_c === 'number') parts.push(format('temperature', entry.temperature_c, garden));
  if (typeof entry.weight_g === 'number') parts.push(format('mass', entry.weight_g, garden));
  if (entry.weighed?.length) add('entry.weighed', { n: entry.weighed.length });
  if (entry.note) parts.push(entry.note);
  const kind = say(`kind.${entry.kind}`);
  return parts.length ? `${kind}: ${parts.join(', ')}` : kind;
}
