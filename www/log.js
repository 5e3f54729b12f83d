/* log.js - the forms that write into a tank's log, one for each kind of entry. */
import { Problem, get, getAll, getOrKept, send } from './api.js';
import { el } from './dom.js';
import { boxesField, choiceField, numberField, placeFaults, readAll, selectField, textField } from './fields.js';
import { uuid7 } from './id.js';
import { nitrateNodes } from './nitrate.js';
import { log, movePhotos, undo, waitPhotos } from './outbox.js';
import { mayKeep, toast, why } from './page.js';
import { photoButton, photoField } from './photos.js';
import { saltName } from './salts.js';
import { shown } from './sentences.js';
import { daysBetween, dateOf, format, instantOf, nearDay, utc, wallTime } from './units.js';
import { say } from './words.js';

const heightOf = (vessel) => vessel.shape.height_mm ?? Math.max(...vessel.shape.points.map((point) => point[0]));

/** Litres at a waterline, by the same calculation that the log uses. */
const volumeAt = async (vessel, waterline_mm) => (await send('POST', 'calc/vessel', { vessel: vessel.shape, waterline_mm })).volume_l;

/** '212 mm = 61.4 L, 5.1 L less than Sunday' for a waterline or an air gap. */
export function waterlineMeaning(tank, garden, isGap) {
  return async (stored) => {
    const waterline = isGap() ? heightOf(tank.vessel) - stored : stored;
    if (waterline < 0) return null;
    const state = tank.state;
    const known = state.waterline_mm !== null && state.waterline_mm !== undefined;
    /* Both by the same function: what the cups displace cancels out as well as it can. */
    const [now, then] = await Promise.all([volumeAt(tank.vessel, waterline), known ? volumeAt(tank.vessel, state.waterline_mm) : null]);
    const what = { x: format('length', stored, garden, 2), volume: format('volume', now, garden) };
    if (!known) return say('log.means', what);
    const away = now - then;
    const day = nearDay(dateOf(state.waterline_at, garden), garden.today);
    const key = Math.abs(away) < 0.05 ? 'log.means.same' : away < 0 ? 'log.means.less' : 'log.means.more';
    return say(key, { ...what, change: format('volume', Math.abs(away), garden), day });
  };
}

/** What was read last, and when. */
export const lastHint = (value, at, quantity, garden) => (value === null || value === undefined ? null
  : say('log.last', { x: format(quantity, value, garden), day: at ? nearDay(dateOf(at, garden), garden.today) : '' }));

/* EC, pH and temperature stand in several forms. */
function measured(tank, garden, prefill = {}) {
  const s = tank.state;
  return {
    ec_ms_cm: numberField({ label: say('log.ec'), quantity: 'ec', garden, value: prefill.ec_ms_cm, most: 20, hint: lastHint(s.ec_ms_cm, s.ec_at, 'ec', garden) }),
    ph: numberField({ label: say('log.ph'), quantity: 'ph', garden, value: prefill.ph, most: 14, hint: lastHint(s.ph, s.ph_at, 'ph', garden) }),
    temperature_c: numberField({ label: say('log.temperature'), quantity: 'temperature', garden, value: prefill.temperature_c, least: -5, most: 60, hint: lastHint(s.temperature_c, s.temperature_at, 'temperature', garden) }),
  };
}

const caution = (text) => el('div', { class: 'caution' }, el('p', {}, el('strong', { text: say('caution') }), ' ', text));

/* Planting into a cup in which something hangs asks first. ask(cups, states) gives what to add to the entry, null where the answer is missing. */
function replacing(tank, prefill) {
  let asked = '';
  const wrong = el('span', { class: 'fault', role: 'alert' });
  const box = el('input', { type: 'checkbox' });
  const words = el('span');
  const node = el('div', { class: 'field', hidden: true }, wrong, el('div', { class: 'choice' }, el('label', {}, box, words)));
  return { node, ask(cups, states) {
    const taken = states.filter((cup) => cup.crop && cups.includes(cup.cup) && !(prefill.id && cup.planting === prefill.id)).map((cup) => cup.cup);
    const list = taken.join(', ');
    if (list !== asked) box.checked = Boolean(prefill.replaces) && !asked;
    asked = list;
    node.hidden = !taken.length;
    if (!taken.length) return {};
    words.textContent = say('log.replaces', { list });
    wrong.textContent = box.checked ? '' : say('log.need.taken');
    if (!box.checked) box.focus();
    return box.checked ? { replaces: true } : null;
  } };
}

/* Each form: {nodes, fields, entry(values) => the kind's own fields, or null after showing what is missing}. */
const FORMS = {
  async reading(tank, garden, prefill) {
    const height = heightOf(tank.vessel);
    const s = tank.state;
    const known = s.waterline_mm !== null && s.waterline_mm !== undefined;
    let gap = false;
    const before = prefill.waterline_mm ?? (prefill.air_gap_mm === undefined ? undefined : height - prefill.air_gap_mm);
    const level = numberField({ label: say('log.waterline'), quantity: 'length', garden, big: true, value: before, most: height,
      step: garden.length_unit === 'in' ? 3.175 : 1, start: s.waterline_mm, hint: lastHint(s.waterline_mm, s.waterline_at, 'length', garden), meaning: waterlineMeaning(tank, garden, () => gap) });
    const way = choiceField({ label: say('log.way'), value: 'depth', options: [{ value: 'depth', label: say('log.way.depth') }, { value: 'gap', label: say('log.way.gap') }],
      onchange: (value) => { gap = value === 'gap'; level.refresh(); } });
    const same = known && before === undefined
      ? el('button', { type: 'button', text: say('log.same', { x: format('length', s.waterline_mm, garden) }), onclick: () => { way.set('depth'); gap = false; level.set(s.waterline_mm); } }) : null;
    const rest = measured(tank, garden, prefill);
    return {
      nodes: [level.node, same ? el('div', { class: 'row' }, same) : null, way.node, el('h3', { text: say('log.also') }), el('div', { class: 'pair' }, rest.ec_ms_cm.node, rest.ph.node, rest.temperature_c.node)],
      fields: { level, ...rest },
      ready: () => before !== undefined && level.refresh(),
      entry({ level: typed, ...others }) {
        if (typed === undefined && !Object.keys(others).length) {
          level.fault(say('log.need.one'));
          level.input.focus();
          return null;
        }
        return { ...(typed === undefined ? {} : { [gap ? 'air_gap_mm' : 'waterline_mm']: typed }), ...others };
      },
    };
  },

  async fill(tank, garden, prefill) {
    const [waters, targets] = await Promise.all([getOrKept('waters'), getOrKept('targets')]);
    const start = tank.state.start_mm ?? tank.vessel.start_mm;
    const waterline_mm = numberField({ label: say('log.fill.waterline'), quantity: 'length', garden, big: true, value: prefill.waterline_mm ?? start, most: heightOf(tank.vessel),
      hint: say('log.fill.start', { x: format('length', start, garden) }), required: true, meaning: waterlineMeaning({ ...tank, state: {} }, garden, () => false) });
    const none = { value: '', label: say('log.none') };
    const water = selectField({ label: say('log.water'), value: prefill.water ?? tank.state.water ?? '', options: [none, ...waters.body.items.map((one) => ({ value: one.id, label: one.name }))] });
    const target = selectField({ label: say('log.target'), value: prefill.target ?? tank.state.target ?? '', options: [none, ...targets.body.items.map((one) => ({ value: one.id, label: one.name }))] });
    const rest = measured(tank, garden, prefill);
    return {
      nodes: [caution(say('caution.weight.carry')), caution(say('caution.lid')), waterline_mm.node, el('p', {}, el('a', { href: `mix.html?tank=${encodeURIComponent(tank.id)}`, text: say('log.fill.mix') })), water.node, target.node,
        el('div', { class: 'pair' }, rest.ec_ms_cm.node, rest.ph.node, rest.temperature_c.node)],
      fields: { waterline_mm, water, target, ...rest },
      ready: () => waterline_mm.refresh(),
      entry: (values) => ({ ...values, ...(prefill.weighed ? { weighed: prefill.weighed } : {}), ...(prefill.acid ? { acid: prefill.acid } : {}) }),
    };
  },

  async 'top-up'(tank, garden, prefill) {
    const answer = await get(`tanks/${encodeURIComponent(tank.id)}/topup`).catch(() => null); // without it the form still works
    const advised = answer?.add_l > 0 && answer.strength !== 'nothing' ? { litres: answer.add_l, strength: answer.strength, share: answer.share } : null;
    const grams = (answer?.grams || []).map((one) => `${format('mass', one.grams, garden)} ${saltName({ id: one.salt, name: one.name ?? one.salt })}`);
    const volume_l = numberField({ label: say('log.topup.volume'), quantity: 'volume', garden, big: true, value: prefill.volume_l ?? (advised ? Math.round(advised.litres * 10) / 10 : null), most: 2000, step: garden.volume_unit === 'l' ? 1 : 0.946352946 });
    const waterline_mm = numberField({ label: say('log.topup.after'), quantity: 'length', garden, value: prefill.waterline_mm ?? null, most: heightOf(tank.vessel), hint: say('log.topup.after.hint') });
    const rest = measured(tank, garden, prefill);
    const withSalts = advised && ['dilute', 'full'].includes(advised.strength);
    return {
      nodes: [
        advised && !prefill.told ? el('p', { text: say('log.topup.advice', shown(advised, garden)) }) : null,
        grams.length && !prefill.told ? el('p', { text: say('log.topup.grams', { list: grams.join(', ') }) }) : null,
        answer?.why?.length ? el('details', { class: 'more' }, el('summary', { text: say('log.topup.why') }), answer.why.map((text) => el('p', { text }))) : null,
        withSalts && !prefill.told ? el('p', {}, el('a', { href: `mix.html?${new URLSearchParams({ tank: tank.id, as: 'top-up', volume: advised.litres.toFixed(1), share: (advised.share ?? 1).toFixed(2) })}`, text: say('log.topup.mix') })) : null,
        tank.state.ceiling_mm ? caution(say('caution.ceiling', { x: format('length', tank.state.ceiling_mm, garden) })) : null,
        volume_l.node, waterline_mm.node, caution(say('caution.hose')), el('div', { class: 'pair' }, rest.ec_ms_cm.node, rest.ph.node)],
      fields: { volume_l, waterline_mm, ec_ms_cm: rest.ec_ms_cm, ph: rest.ph },
      ready: () => volume_l.refresh(),
      entry(values) {
        if (values.volume_l === undefined && values.waterline_mm === undefined) {
          volume_l.fault(say('log.need.volume'));
          volume_l.input.focus();
          return null;
        }
        return { ...values, ...(prefill.weighed ? { weighed: prefill.weighed } : {}) };
      },
    };
  },

  async planting(tank, garden, prefill) {
    const crops = (await getOrKept('crops?limit=500')).body.items;
    const free = tank.state.cups.filter((cup) => !cup.crop);
    const crop = selectField({ label: say('log.crop'), value: prefill.crop ?? crops[0]?.id, options: crops.map((one) => ({ value: one.id, label: cropName(one) })) });
    const chosen = (prefill.cups ?? free.map((cup) => cup.cup)).map(String);
    const cups = boxesField({ label: say('log.cups.which'), chosen, options: tank.state.cups.map((cup) => ({ value: String(cup.cup), label: cup.crop ? say('log.cup.taken', { number: cup.cup }) : String(cup.cup) })) });
    const start = selectField({ label: say('log.start'), value: prefill.start ?? 'transplanted', options: ['sown', 'pricked_out', 'transplanted'].map((value) => ({ value, label: say(`log.start.${value}`) })) });
    const sown_on = textField({ label: say('log.sown'), type: 'date', value: prefill.sown_on ?? '' });
    const room = replacing(tank, prefill);
    return {
      nodes: [crop.node, cups.node, room.node, start.node, sown_on.node, caution(say('log.planting.rinse'))],
      fields: { crop, cups, start, sown_on },
      entry(values) {
        cups.fault(values.cups ? '' : say('log.need.cup'));
        const replaces = values.cups && room.ask(values.cups.map(Number), tank.state.cups);
        return values.cups && replaces !== null ? { ...values, cups: values.cups.map(Number), ...replaces } : null;
      },
    };
  },

  async move(tank, garden, prefill) {
    const others = (await getAll('tanks').catch(() => [])).filter((one) => one.id !== tank.id && !one.retired);
    const taken = tank.state.cups.filter((cup) => cup.crop);
    const cups = boxesField({ label: say('log.move.cups'), chosen: (prefill.cups ?? []).map(String), options: taken.map((cup) => ({ value: String(cup.cup), label: String(cup.cup) })) });
    const room = replacing(tank, prefill);
    const place = el('div');
    let there = tank, to = null;
    /* The cups of the tank chosen; a cup that a plant is lifted out of is free for another. */
    const offer = (chosen) => {
      to = boxesField({ label: say('log.move.to'), chosen, options: there.state.cups.map((cup) => ({ value: String(cup.cup), label: cup.crop ? say('log.cup.taken', { number: cup.cup }) : String(cup.cup) })) });
      place.replaceChildren(to.node);
    };
    const to_tank = selectField({ label: say('log.move.tank'), value: prefill.to_tank ?? '', options: [{ value: '', label: say('log.move.same') }, ...others.map((one) => ({ value: one.id, label: one.name }))],
      onchange: async (value) => {
        place.replaceChildren();
        const found = value ? await get(`tanks/${encodeURIComponent(value)}`).catch(() => null) : tank;
        if (!found || (to_tank.input.value || tank.id) !== found.id) return;
        there = found;
        offer([]);
      } });
    offer((prefill.to_cups ?? []).map(String));
    return {
      nodes: [cups.node, to_tank.node, place, room.node, caution(say('log.move.about'))],
      fields: { cups, to_tank },
      entry({ cups: from, ...values }) {
        const chosen = to.read().value.map(Number);
        cups.fault(from ? '' : say('log.need.cup'));
        to.fault(from && chosen.length !== from.length ? say('log.move.count') : '');
        if (!from || chosen.length !== from.length) return null;
        const lifted = there === tank ? from.map(Number) : [];
        const replaces = room.ask(chosen, there.state.cups.filter((cup) => !lifted.includes(cup.cup)));
        return replaces === null ? null : { ...values, cups: from.map(Number), to_cups: chosen, ...replaces };
      },
    };
  },

  async loss(tank, garden, prefill) {
    const hung = tank.state.cups.filter((cup) => cup.crop || prefill.cups?.includes(cup.cup));
    const cups = boxesField({ label: say('log.cups.gone'), chosen: (prefill.cups ?? []).map(String), options: hung.map((cup) => ({ value: String(cup.cup), label: String(cup.cup) })) });
    const reason = selectField({ label: say('log.reason'), value: prefill.reason ?? 'rot', options: ['rot', 'wilted', 'pests', 'bolted', 'broken', 'other'].map((value) => ({ value, label: say(`log.reason.${value}`) })) });
    return {
      nodes: [hung.length ? cups.node : el('p', { text: say('log.nothing.planted') }), reason.node, caution(say('log.loss.about'))],
      fields: { cups, reason },
      entry(values) {
        cups.fault(values.cups ? '' : say('log.need.cup'));
        return values.cups ? { ...values, cups: values.cups.map(Number) } : null;
      },
    };
  },

  async harvest(tank, garden, prefill) {
    const hanging = new Set(tank.state.cups.map((cup) => cup.crop).filter(Boolean));
    const known = await getOrKept('crops?limit=500').catch(() => null); // without it the form still works
    const nitrate = nitrateNodes((known?.body.items ?? []).filter((crop) => hanging.has(crop.id)), cropName);
    const planted = tank.state.cups.filter((cup) => cup.crop);
    const kept = numberField({ label: say('log.kept'), quantity: 'percent', garden, value: prefill.kept_fraction !== undefined ? prefill.kept_fraction * 100 : 30, most: 95, hint: say('log.kept.hint') });
    const how = choiceField({ label: say('log.how'), value: prefill.how ?? 'whole', options: [{ value: 'whole', label: say('log.how.whole') }, { value: 'cut', label: say('log.how.cut') }],
      onchange: (value) => { kept.node.hidden = value !== 'cut'; } });
    kept.node.hidden = (prefill.how ?? 'whole') !== 'cut';
    const weight_g = numberField({ label: say('log.weight'), quantity: 'mass', garden, big: true, value: prefill.weight_g, most: 100000, step: garden.mass_unit === 'oz' ? 14.1747615625 : 10 });
    const bunches = numberField({ label: say('log.bunches'), quantity: 'count', garden, value: prefill.bunches, most: 1000 });
    const cups = boxesField({ label: say('log.cups.from'), chosen: (prefill.cups ?? planted.map((cup) => cup.cup)).map(String), options: planted.map((cup) => ({ value: String(cup.cup), label: String(cup.cup) })) });
    const count = numberField({ label: say('log.count'), quantity: 'count', garden, value: prefill.count, most: 1000 });
    const quality = selectField({ label: say('log.quality'), value: prefill.quality ? String(prefill.quality) : '', options: [{ value: '', label: say('log.none') }, ...[1, 2, 3, 4, 5].map((n) => ({ value: String(n), label: say(`log.quality.${n}`) }))] });
    return {
      nodes: [how.node, weight_g.node, kept.node, planted.length ? cups.node : el('p', { text: say('log.nothing.planted') }), el('div', { class: 'pair' }, count.node, bunches.node, quality.node), caution(say('caution.food')),
        nitrate.length ? el('div', { class: 'caution', id: 'nitrate' }, nitrate) : null],
      fields: { how, weight_g, kept, cups, count, bunches, quality },
      entry({ kept: percent, cups: from, quality: marks, ...values }) {
        if (planted.length && !from) {
          cups.fault(say('log.need.cup'));
          return null;
        }
        return { ...values, ...(from ? { cups: from.map(Number) } : {}), ...(marks ? { quality: Number(marks) } : {}), ...(values.how === 'cut' && percent !== undefined ? { kept_fraction: percent / 100 } : {}) };
      },
    };
  },

  async 'clean-out'(tank, garden, prefill) {
    const left = tank.state.volume_l;
    const answer = typeof left === 'number' && left > 0 ? await get(`tanks/${encodeURIComponent(tank.id)}/topup`).catch(() => null) : null; // without it the litres still stand
    const grams = (mg_l) => format('mass', left * mg_l / 1000, garden, 1);
    const salts = ['n', 'p'].filter((one) => typeof answer?.left_mg_l?.[one] === 'number').map((one) => say('log.cleanout.element', { element: say(`log.cleanout.${one}`),
      x: grams(answer.left_mg_l[one]), low: grams(answer.left_low_mg_l[one]), high: grams(answer.left_high_mg_l[one]) }));
    const steps = boxesField({ label: say('log.cleanout.steps'), chosen: prefill.steps ?? [], options: ['emptied', 'debris', 'scrubbed', 'disinfected', 'rinsed', 'dried', 'cups'].map((value) => ({ value, label: say(`log.step.${value}`) })) });
    const went_to = selectField({ label: say('log.went'), value: prefill.went_to ?? '', options: [{ value: '', label: say('log.none') }, ...['planted_soil', 'kept', 'sewer', 'other'].map((value) => ({ value, label: say(`log.went.${value}`) }))] });
    return {
      nodes: [el('p', { text: say('log.cleanout.about') }), typeof left === 'number' ? el('p', { text: say('log.cleanout.left', { x: format('volume', left, garden) }) }) : null,
        salts.length ? el('p', { text: say('log.cleanout.salts', { list: salts.join('; ') }) }) : null,
        caution(say('caution.spent')), steps.node, el('p', { text: say('log.cleanout.again') }), went_to.node, caution(say('caution.weight.carry'))],
      fields: { steps, went_to },
      entry: (values) => values,
    };
  },

  async note(tank, garden, prefill) {
    return { nodes: [], fields: {}, noteFirst: true, entry: () => ({}), prefill };
  },
};

/** A crop's name: its own word where we have one, else as the daemon says. */
export function cropName(crop) {
  const key = `crop.${crop.id}`;
  const own = say(key);
  return own === key ? crop.name : own;
}

/** Logs, says so with a way back, and calls after(). */
export async function logAndSay(entry, after) {
  const { state } = await log(entry);
  toast(say(state === 'logged' ? 'log.done' : 'log.waits', { kind: say(`kind.${entry.kind}`) }), {
    undo: async () => {
      try {
        await undo(entry);
        toast(say('log.undone'));
      } catch (error) {
        toast(why(error));
      }
      await after?.(entry);
    },
  });
  await after?.(entry);
}

/**
 * Opens the form for a kind of entry. prefill: fields of an entry; amends: id of the entry that
 * this one corrects; instead: an entry that still waits on this phone, and makes room for the new one once that is kept;
 * after(): called when something was logged or taken back; host: where the form goes instead of a dialog of its own, with
 * beside, buttons that stand beside the one that logs.
 */
export async function openLog(kind, tank, garden, { prefill = {}, amends = null, instead = null, after = null, host = null, beside = [] } = {}) {
  document.querySelector('dialog.log-form')?.remove();
  const changes = amends ?? instead;
  const form = await FORMS[kind](tank, garden, prefill);
  const id = uuid7(); // made once a form: a second tap sends the same entry
  const note = textField({ label: say('log.note'), lines: 3, most: 2000, required: Boolean(form.noteFirst), value: prefill.note ?? '' });
  const when = textField({ label: say('log.when'), type: 'datetime-local', value: changes && prefill.at ? wallTime(prefill.at, garden) : '', hint: say('log.when.hint', { zone: garden.time_zone }) });
  const fields = { ...form.fields, note };
  const general = el('p', { class: 'fault', role: 'alert', hidden: true });
  const takeBackButton = amends ? el('button', { type: 'button', text: say('history.takeback'), onclick: async (event) => {
    event.target.disabled = true;
    try {
      await undo({ ...prefill, id: amends, tank: tank.id });
      toast(say('log.undone'));
      await after?.();
      dialog.close();
    } catch (error) {
      general.textContent = why(error);
      general.hidden = false;
      event.target.disabled = false;
    }
  } }) : null;
  /* To an entry that is in the log pictures are added at once, by whom it is; else they wait for the form. */
  const photos = amends ? null : photoField();
  const mayAdd = amends && !prefill.sensor && (mayKeep(garden) || prefill.member === garden.me?.member);
  const morePhotos = mayAdd ? photoButton({ ...prefill, id: amends, tank: tank.id }, garden, after) : null;
  const submit = el('button', { type: 'submit', class: 'main', text: say(changes ? 'log.save.change' : `log.save.${kind}`) });

  const formNode = el('form', { novalidate: true },
    el(host ? 'h3' : 'h2', { id: 'log-title', text: say(changes ? 'log.change' : `act.${kind}`) }), host ? null : el('p', { class: 'where', text: tank.name }), takeBackButton, morePhotos,
    form.noteFirst ? note.node : null, form.nodes, photos?.node,
    el('details', { class: 'more', open: Boolean(changes) }, el('summary', { text: say(form.noteFirst ? 'log.more.time' : 'log.more') }), form.noteFirst ? null : note.node, when.node), general,
    el('div', { class: 'daily' }, el('div', {}, host ? beside : el('button', { type: 'button', text: say('cancel'), onclick: () => dialog.close() }), submit)));
  const dialog = host ? null : el('dialog', { class: 'log-form', 'aria-labelledby': 'log-title' }, formNode);

  let busy = false;
  formNode.addEventListener('submit', async (event) => {
    event.preventDefault();
    if (busy) return;
    general.hidden = true;
    const values = readAll(fields);
    const own = values && form.entry(values);
    if (!own) return;
    delete own.note;
    const wall = when.input.value;
    const at = wall ? (changes && prefill.at && wall === wallTime(prefill.at, garden) ? prefill.at : instantOf(wall, garden)) : utc();
    busy = true;
    submit.disabled = true;
    try {
      const entry = { id, tank: tank.id, kind, at, ...own, ...(values.note ? { note: values.note } : {}), ...(amends ? { amends } : {}) };
      if (instead) await movePhotos(instead.id, entry);
      if (photos) await waitPhotos(entry, photos.pictures); // first, so that a page that is closed now loses none
      await logAndSay(entry, after);
      if (instead) await undo(instead);
      dialog?.close();
    } catch (error) {
      const left = error instanceof Problem ? placeFaults(error, { ...form.fields, waterline_mm: form.fields.waterline_mm ?? form.fields.level, air_gap_mm: form.fields.level, note }) : [];
      general.textContent = left.length || !(error instanceof Problem) || !error.errors.length ? why(error) : say('log.refused');
      general.hidden = false;
    } finally {
      busy = false;
      submit.disabled = false;
    }
  });
  if (host) {
    host.replaceChildren(formNode);
    form.ready?.();
    return;
  }
  dialog.addEventListener('close', () => {
    const line = dialog.querySelector('.toast');
    if (line) document.body.append(line); // the way back stays
    dialog.remove();
  });
  document.body.append(dialog);
  dialog.showModal();
  form.ready?.();
  (form.noteFirst ? note.input : formNode.querySelector('.field :is(input, select)') ?? submit).focus();
}

/** Days since a date, for 'planted 12 days ago'. */
export const ageOf = (date, garden) => daysBetween(date, garden.today);
