/* sentences.js - what the daemon found, in words a neighbour can act on. */
import { dayNumber, format, formatNumber, nearDay } from './units.js';
import { hasWord, say } from './words.js';

/* How a value is shown follows from the unit at the end of its name. */
const BY_ENDING = [
  [/_mm$/, 'length'], [/_l$|^litres$/, 'volume'], [/_kg$/, 'heavy'], [/_g$/, 'mass'], [/_ms_cm$/, 'ec'], [/_c$/, 'temperature'], [/^ph$/, 'ph'],
];
/* ... or, of value, low and high, from the reason. */
const BY_REASON = {
  below_low: 'length', overdue_reading: 'length', above_ceiling: 'length', unexplained_rise: 'length',
  ec_high: 'ec', ec_low: 'ec', ph_high: 'ph', ph_low: 'ph', warm: 'temperature',
};

/** The values of an answer as texts, for the places in a sentence. */
export function shown(values, garden, reason = null) {
  const texts = {};
  for (const [name, value] of Object.entries(values || {})) {
    if (name === 'strength') {
      texts.strength = value === 'nothing' ? '' : say(`strength.${value}`, { share: formatNumber((values.share ?? 1) * 100, 0) });
    } else if (name === 'crop') {
      texts.crop = hasWord(`crop.${value}`) ? say(`crop.${value}`) : value;
    } else if (name === 'days') {
      texts.days = formatNumber(value, 0);
    } else if (typeof value === 'number') {
      const quantity = ['value', 'low', 'high'].includes(name) ? BY_REASON[reason] : BY_ENDING.find(([ending]) => ending.test(name))?.[1];
      texts[name] = quantity ? format(quantity, value, garden) : formatNumber(value, 1);
    } else if (typeof value === 'string' && /^\d{4}-\d{2}-\d{2}$/.test(value)) {
      texts[name] = nearDay(value, garden.today);
    }
  }
  return texts;
}

/** 'between Tuesday and Thursday', or 'on Tuesday' where both ends are one day. */
export function span(when, garden) {
  if (!when) return '';
  const from = when.p10 ?? when.p50, to = when.p10 ? when.p90 : when.p90 ?? when.p50;
  if (!from && !to) return '';
  if (!to) return say('when.from', { from: nearDay(from, garden.today) });
  return from === to || !from ? say('when.on', { day: nearDay(to, garden.today) })
    : say('when.between', { from: nearDay(from, garden.today), to: nearDay(to, garden.today) });
}

/** How long the water lasts, in one sentence; '' where the daemon has nothing to say. */
export function lastsSentence(outlook, garden) {
  const low = outlook?.low_on;
  if (!low) return '';
  if (!low.p10) return say('tank.lasts.long');
  if (!low.p50) return say('tank.lasts.from', { when: span(low, garden) });
  const n = dayNumber(low.p50) - dayNumber(garden.today);
  return n > 0 ? say('tank.lasts', { n, when: span(low, garden) }) : say('tank.lasts.now');
}

/* The longest sentence for whose places there are values: key.when.add, key.when, key.add, key.with, key. */
const LONGER = ['.when.add', '.when', '.add', '.with', ''];

/** One finding as a sentence: {reason, when, with}. The more the daemon knows, the longer the sentence. */
export function reasonSentence(item, garden) {
  const values = { ...shown(item.with, garden, item.reason), when: span(item.when, garden) };
  if (values.strength === '') delete values.litres; // nothing is to be added
  const key = LONGER.map((longer) => `reason.${item.reason}${longer}`).find((one) =>
    hasWord(one) && [...say(one).matchAll(/\{(\w+)\}/g)].every((place) => values[place[1]]));
  const text = say(key ?? `reason.${item.reason}`, values);
  return text[0].toUpperCase() + text.slice(1);
}

/** What to log about it: {kind, prefill}; null when there is nothing to log. */
export function actOf(item) {
  if (!item.act) return null;
  if (typeof item.act === 'object') return { kind: item.act.kind, prefill: item.act.prefill || {} };
  const { litres, strength } = item.with || {};
  return { kind: item.act, prefill: item.act === 'top-up' && litres > 0 && strength !== 'nothing' ? { volume_l: Math.round(litres * 10) / 10 } : {} };
}

/** What the button says that does something about it. */
export function actLabel(item, garden) {
  const { kind, prefill } = actOf(item);
  if (kind === 'top-up' && prefill.volume_l) return say('act.top-up.add', { volume_l: format('volume', prefill.volume_l, garden) });
  return say(kind === 'note' ? 'act.note.look' : `act.${kind}`);
}

/** Address of the form that does it, filled in. */
export function actAddress(item) {
  const { kind, prefill } = actOf(item);
  if (kind === 'note') return `tank.html?id=${encodeURIComponent(item.tank)}#entries`; // to be looked at, not written
  const address = new URLSearchParams({ id: item.tank, log: kind });
  if (Object.keys(prefill).length) address.set('with', JSON.stringify(prefill));
  return `tank.html?${address}`;
}

/** One entry of the log as a sentence. nameOf: crop slug to name. */
export function entrySentence(entry, garden, nameOf) {
  const parts = [];
  const add = (key, values) => parts.push(say(key, values));
  if (entry.crop) add('entry.crop', { crop: nameOf(entry.crop), n: entry.cups?.length ?? entry.count ?? 1 });
  if (entry.kind === 'move' || entry.kind === 'loss') add('entry.cups', { n: entry.cups.length, list: entry.cups.join(', ') });
  if (entry.kind === 'move') add(entry.to_tank ? 'entry.moved.away' : 'entry.moved', { list: entry.to_cups.join(', ') });
  if (entry.reason) parts.push(say(`log.reason.${entry.reason}`));
  if (entry.follows && entry.kind === 'planting') add('entry.follows', {});
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
