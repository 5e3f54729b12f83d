/* season.js - harvests one after another: a wish, its plan over the season, and kept plans against what was done. */
import { get, getAll, send } from './api.js';
import { openForm } from './dialog.js';
import { details, el, fill, svg, table } from './dom.js';
import { drawInto } from './drawing.js';
import { boxesField, numberField, placeFaults, readAll, selectField, textField } from './fields.js';
import { uuid7 } from './id.js';
import { cropName } from './log.js';
import { asked, failed, mayLog, openPage, status, toast, why } from './page.js';
import { dayNumber, dayText, format, formatDay, nearDay } from './units.js';
import { say } from './words.js';

const byId = (id) => document.getElementById(id);
let garden = null;
let keepId = uuid7(); // one a wish: a second tap keeps the same plan

const placesSaid = (places) => places.map((one) => `${one.name} (${one.cups})`).join(', ') || '–';

/* ---- bars over the season: dots from sowing to planting, a bar from planting to harvest, a line for today ---- */

/* rows: {sow_on, plant_on, harvest_on, plants, state} */
function bars(rows, width) {
  const first = Math.min(...rows.map((row) => dayNumber(row.sow_on))), last = Math.max(...rows.map((row) => dayNumber(row.harvest_on)));
  const step = Math.max(6, Math.min(18, 520 / rows.length)), top = 24, high = top + rows.length * step + 8;
  const x = (day) => 4 + (day - first) / Math.max(1, last - first) * (width - 8);
  const parts = [];
  for (let day = first; day <= last; day++) {
    const date = new Date(day * 86400000);
    if (date.getUTCDate() !== 1) continue;
    parts.push(svg('path', { class: 'month', d: `M${x(day)} ${top - 6}V${high}` }));
    if (x(day) < width - 34) parts.push(svg('text', { x: x(day) + 3, y: 14, text: date.toLocaleDateString(document.documentElement.lang, { month: 'short', timeZone: 'UTC' }) }));
  }
  rows.forEach((row, i) => {
    const y = top + i * step, from = x(dayNumber(row.plant_on)), to = x(dayNumber(row.harvest_on));
    parts.push(svg('g', { class: row.state ?? 'coming' },
      svg('path', { class: 'seedling', d: `M${x(dayNumber(row.sow_on))} ${y + step * 0.4}H${from}` }),
      svg('rect', { class: 'bar', x: from, y, width: Math.max(2, to - from), height: step * 0.7 })));
  });
  const today = dayNumber(garden.today);
  if (today >= first && today <= last) parts.push(svg('path', { class: 'today', d: `M${x(today)} ${top - 6}V${high}` }));
  return svg('svg', { class: 'season', viewBox: `0 0 ${width} ${high}`, width, height: high, role: 'img',
    'aria-label': say('season.said', { n: rows.length, from: formatDay(dayText(first), garden.today), to: formatDay(dayText(last), garden.today) }) }, parts);
}

function figure(rows) {
  const stage = el('div', { class: 'stage' });
  if (rows.length) drawInto(stage, (width) => bars(rows, width));
  return [stage, el('p', { class: 'hint', text: say('season.legend') })];
}

const day = (date) => (date ? formatDay(date, garden.today, { weekday: false }) : '–');

/* ---- a wish ---- */

function resultSays(plan) {
  const told = [plan.why === 'fits' ? say('season.fits', { n: plan.total }) : say(`season.why.${plan.why}`, { day: day(plan.day) })];
  if (plan.why !== 'fits') {
    told.push(say('season.most', { total: plan.total, wished: plan.wished }));
    if (plan.nearest_count) told.push(say('season.nearest.count', { n: plan.nearest_count }));
    if (plan.nearest_every_days) told.push(say('season.nearest.every', { n: plan.nearest_every_days }));
    if (plan.nearest_from) told.push(say('season.nearest.from', { day: day(plan.nearest_from) }));
  }
  if (plan.total < plan.bound) told.push(say('season.gap', { bound: plan.bound }));
  if (typeof plan.least_l === 'number') told.push(say('season.least', { x: format('volume', plan.least_l, garden) }));
  if (plan.busiest_on) told.push(say('season.busiest', { used: plan.most_used, cups: plan.cups, day: day(plan.busiest_on) }));
  return told;
}

function showFound(plan, wish) {
  const rows = plan.plantings;
  fill(byId('found'), el('h3', { text: say('season.found') }), resultSays(plan).map((text) => el('p', { text })), figure(rows),
    details(say('season.table'), table(say('season.table'), ['sow', 'plant', 'harvest', 'plants', 'where'].map((name) => say(`season.head.${name}`)),
      rows.map((row) => [day(row.sow_on), day(row.plant_on), day(row.harvest_on), String(row.plants), placesSaid(row.places)]))),
    plan.total && mayLog(garden) ? el('div', { class: 'row' }, el('button', { type: 'button', text: say('season.keep'), onclick: () => keep(wish) })) : null);
}

function keep(wish) {
  const name = textField({ label: say('season.name'), required: true, most: 100 });
  openForm({ title: say('season.keep'), nodes: [name.node], fields: { name }, save: async (values) => {
    const season = await send('POST', 'successions', { id: keepId, ...values, ...wish });
    keepId = uuid7();
    byId('found').replaceChildren();
    await list();
    showSeason(season);
    byId('shown').scrollIntoView();
    toast(say('season.kept'));
  } });
}

async function wishForm() {
  const [crops, tanks] = await Promise.all([getAll('crops'), getAll('tanks')]);
  const inUse = tanks.filter((tank) => !tank.retired);
  byId('tanks-none').hidden = inUse.length > 0;
  byId('wish').hidden = inUse.length === 0;
  const fields = {
    crop: selectField({ label: say('season.crop'), value: crops[0]?.id, options: crops.map((one) => ({ value: one.id, label: cropName(one) })) }),
    count: numberField({ label: say('season.count'), quantity: 'count', garden, value: 1, least: 1, most: 1000, required: true }),
    every_days: numberField({ label: say('season.every'), quantity: 'count', garden, value: 3, least: 1, most: 60, required: true }),
    from: textField({ label: say('season.from'), type: 'date', required: true, value: dayText(dayNumber(garden.today) + 60) }),
    to: textField({ label: say('season.to'), type: 'date', required: true, value: dayText(dayNumber(garden.today) + 200) }),
    topup_days: numberField({ label: say('season.topup'), quantity: 'count', garden, value: 7, least: 0, most: 60, required: true, hint: say('season.topup.hint') }),
    seedling_days: numberField({ label: say('season.seedling'), quantity: 'count', garden, value: 18, least: 0, most: 90, required: true, hint: say('season.seedling.hint') }),
    tanks: boxesField({ label: say('season.tanks'), chosen: inUse.map((one) => one.id), options: inUse.map((one) => ({ value: one.id, label: one.name })) }),
  };
  const { crop, count, every_days, from, to, ...others } = fields;
  const pair = (...both) => el('div', { class: 'pair' }, both.map((one) => one.node));
  byId('wish-fields').append(crop.node, pair(count, every_days), pair(from, to), ...Object.values(others).map((one) => one.node));
  byId('wish').addEventListener('submit', async (event) => {
    event.preventDefault();
    const values = readAll(fields), button = byId('wish').querySelector('[type=submit]');
    if (!values || button.disabled) return;
    for (const name of ['count', 'every_days', 'topup_days', 'seedling_days']) values[name] = Math.round(values[name]);
    button.disabled = true;
    fill(byId('found'), el('p', { text: say('season.working') }));
    try {
      showFound(await send('POST', 'calc/succession', values, 60000), values);
    } catch (error) {
      const left = error.errors ? placeFaults(error, fields) : [];
      fill(byId('found'), el('p', { class: 'fault', text: left.length || !error.errors?.length ? why(error) : say('log.refused') }));
    } finally {
      button.disabled = false;
    }
  });
}

/* ---- kept plans ---- */

/* What changes against the plan, in words. */
function changeSays(step) {
  if (!step.missing) return '–';
  if (!step.now_plant_on) return say('season.change.late');
  if (step.now_plants < step.missing) return say('season.change.room', { n: step.missing - step.now_plants });
  if (step.now_harvest_on !== step.harvest_on) return say('season.change.moved', { plant: day(step.now_plant_on), day: day(step.now_harvest_on) });
  return step.lost ? say('season.change.again', { n: step.missing, day: day(step.now_plant_on) }) : say('season.change.none');
}

function showSeason(season) {
  const { wish, steps } = season;
  byId('shown').hidden = false;
  byId('shown-name').textContent = wish.name;
  byId('shown-says').textContent = say('season.done', { planned: season.planned, planted: season.planted, harvested: season.harvested, lost: season.lost, missing: season.missing, placed: season.placed });
  fill(byId('bars'), figure(steps));
  fill(byId('steps'), details(say('season.table'), table(say('season.table'), ['sow', 'plant', 'harvest', 'plants', 'state', 'done', 'change', 'where'].map((name) => say(`season.head.${name}`)),
    steps.map((step) => [day(step.sow_on), day(step.plant_on), day(step.harvest_on), String(step.plants), say(`season.state.${step.state}`),
      say('season.step.done', { planted: step.planted, harvested: step.harvested, lost: step.lost }), changeSays(step), placesSaid(step.places)]))));
  fill(byId('shown-acts'), el('button', { type: 'button', text: say('season.print'), onclick: () => print() }),
    mayLog(garden) ? el('button', { type: 'button', text: say(wish.ended ? 'season.resume' : 'season.end'), onclick: async () => {
      try {
        showSeason(await send('PATCH', `successions/${wish.id}`, { ended: !wish.ended }));
        await list();
      } catch (error) {
        toast(why(error));
      }
    } }) : null);
}

async function list() {
  const all = await getAll('successions');
  byId('kept').replaceChildren(...all.map((one) => el('li', {}, el('span', { class: 'what' }, el('strong', { text: one.name }),
    el('small', { text: say(one.ended ? 'season.line.ended' : 'season.line', { crop: cropName({ id: one.crop, name: one.crop }), n: one.count, every: one.every_days, from: day(one.from), to: nearDay(one.to, garden.today) }) })),
  el('button', { type: 'button', class: 'quiet', text: say('season.open'), 'aria-label': `${say('season.open')}: ${one.name}`, onclick: () => open(one.id) }))));
}

async function open(id) {
  try {
    showSeason(await get(`successions/${encodeURIComponent(id)}`));
    byId('shown-name').focus();
  } catch (error) {
    toast(why(error));
  }
}

garden = await openPage();
if (garden) {
  try {
    await Promise.all([list(), wishForm()]);
    byId('season').hidden = false;
    status('');
    if (asked('id')) await open(asked('id'));
  } catch (error) {
    failed(error, () => location.reload());
  }
}
