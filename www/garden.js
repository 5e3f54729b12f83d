/* garden.js - the garden itself: its settings, areas, tanks, people and their devices. */
import { Problem, get, getAll, send } from './api.js';
import { drawClimate } from './climate.js';
import { openForm } from './dialog.js';
import { details, el, fill, table } from './dom.js';
import { drawDuties } from './duties.js';
import { numberField, selectField, textField, choiceField, placeFaults, readAll } from './fields.js';
import { uuid7 } from './id.js';
import { failed, mayKeep, mayLog, openPage, own, status, toast, why } from './page.js';
import { roundDaysButton, roundDaysText } from './rounddays.js';
import { drawSensors } from './sensors.js';
import { formatInstant, formatNumber } from './units.js';
import { openWalk } from './walk.js';
import { drawWeather } from './weather.js';
import { LANGUAGES, say } from './words.js';

const byId = (id) => document.getElementById(id);
let garden = null;

/* Runs an act and says when it did not work. */
const act = (what) => async (...given) => {
  try {
    await what(...given);
  } catch (error) {
    toast(why(error));
  }
};

const options = (name, values) => values.map((value) => ({ value, label: say(`${name}.${value}`) }));

/* --- settings ----------------------------------------------------------------------------------- */

function settingsFields() {
  const zones = typeof Intl.supportedValuesOf === 'function' ? Intl.supportedValuesOf('timeZone') : [];
  const list = el('datalist', { id: 'zones' }, zones.map((zone) => el('option', { value: zone })));
  const time_zone = textField({ label: say('garden.zone'), value: garden.time_zone, required: true });
  time_zone.input.setAttribute('list', 'zones');
  time_zone.node.append(list);
  const indoor = garden.climate?.indoor ?? {};
  return {
    name: textField({ label: say('garden.name'), value: garden.name, required: true, most: 100 }),
    language: selectField({ label: say('garden.language'), value: garden.language, options: LANGUAGES.map((value) => ({ value, label: say(`language.${value}`) })) }),
    length_unit: selectField({ label: say('garden.length'), value: garden.length_unit, options: options('choose.length', ['mm', 'cm', 'in']) }),
    volume_unit: selectField({ label: say('garden.volume'), value: garden.volume_unit, options: options('choose.volume', ['l', 'us_gal', 'imp_gal']) }),
    temperature_unit: selectField({ label: say('garden.temperature'), value: garden.temperature_unit, options: options('choose.temperature', ['c', 'f']) }),
    mass_unit: selectField({ label: say('garden.mass'), value: garden.mass_unit, options: options('choose.mass', ['g', 'oz']) }),
    time_zone,
    place: choiceField({ label: say('garden.place'), value: garden.place, options: options('garden.place', ['open_air', 'under_cover', 'lamps']), onchange: (value) => showPlace(value) }),
    latitude_deg: numberField({ label: say('garden.latitude'), quantity: 'plain', garden, value: garden.latitude_deg, least: -90, most: 90, hint: say('garden.latitude.hint') }),
    elevation_m: numberField({ label: say('garden.elevation'), quantity: 'plain', garden, value: garden.elevation_m, least: -450, most: 6000 }),
    temperature_c: numberField({ label: say('garden.indoor.temperature'), quantity: 'temperature', garden, value: indoor.temperature_c, least: -5, most: 50 }),
    rh_percent: numberField({ label: say('garden.indoor.rh'), quantity: 'percent', garden, value: indoor.rh_percent, most: 100 }),
    ppfd_umol: numberField({ label: say('garden.indoor.light'), quantity: 'plain', garden, value: indoor.ppfd_umol, most: 3000 }),
    hours: numberField({ label: say('garden.indoor.hours'), quantity: 'plain', garden, value: indoor.hours, most: 24 }),
    lamp_w: numberField({ label: say('garden.lamp'), quantity: 'plain', garden, value: garden.lamp_w, least: 0.1, most: 20000, hint: say('garden.lamp.hint') }),
    records_members: selectField({ label: say('garden.records'), value: garden.records_members ? 'yes' : 'no', options: options('garden.records', ['no', 'yes']) }),
    public_url: textField({ label: say('garden.url'), value: garden.public_url ?? '', hint: say('garden.url.hint') }),
    label_shows: selectField({ label: say('garden.label'), value: garden.label_shows, options: options('garden.label', ['nothing', 'crop']) }),
  };
}

let settings = {};
const INDOOR = ['temperature_c', 'rh_percent', 'ppfd_umol', 'hours'];

function showPlace(place) {
  for (const name of [...INDOOR, 'lamp_w']) settings[name].node.hidden = place !== 'lamps';
  byId('lamps-caution').hidden = place !== 'lamps';
}

function drawSettings() {
  settings = settingsFields();
  const node = (name) => settings[name].node;
  fill(byId('settings'), node('name'), node('language'), el('div', { class: 'pair' }, ['length_unit', 'volume_unit', 'temperature_unit', 'mass_unit'].map(node)),
    node('place'), el('div', { class: 'caution', id: 'lamps-caution' }, el('p', {}, el('strong', { text: say('caution') }), ' ', say('caution.lamps'))), el('div', { class: 'pair' }, ['latitude_deg', 'elevation_m', ...INDOOR, 'lamp_w'].map(node)), node('time_zone'), node('public_url'), node('label_shows'), node('records_members'));
  showPlace(garden.place);
  byId('settings-form').hidden = !mayKeep(garden);
  const me = garden.me ?? {};
  byId('me').textContent = me.name ? say('garden.me', { name: me.name, role: say(`role.${me.role}`) }) : say('garden.me.host', { role: say(`role.${me.role}`) });
}

/* Only what changed is sent. */
async function saveSettings() {
  const values = readAll(settings);
  if (!values) return;
  const changes = {};
  values.records_members = values.records_members === 'yes';
  const put = (name, value) => { if ((value ?? null) !== (garden[name] ?? null)) changes[name] = value ?? null; };
  for (const name of Object.keys(settings)) if (!INDOOR.includes(name)) put(name, values[name]);
  if (values.place === 'lamps' && INDOOR.every((name) => values[name] !== undefined))
    changes.climate = { indoor: Object.fromEntries(INDOOR.map((name) => [name, values[name]])) };
  try {
    if (Object.keys(changes).length) await send('PATCH', 'garden', changes);
  } catch (error) {
    if (!(error instanceof Problem) || !error.errors.length || placeFaults(error, settings).length) throw error;
    byId('settings').querySelector('[aria-invalid="true"]')?.focus();
    return;
  }
  if (changes.language) own.set('garden.language', changes.language);
  location.reload();
}

/* --- areas and tanks ---------------------------------------------------------------------------- */

function areaForm(area, areas) {
  const name = textField({ label: say('garden.area.name'), value: area?.name ?? '', required: true });
  const within = selectField({ label: say('garden.area.within'), value: area?.within ?? '', options: [{ value: '', label: say('garden.area.top') }, ...areas.filter((one) => one.id !== area?.id).map((one) => ({ value: one.id, label: one.name }))] });
  const order = numberField({ label: say('garden.walk'), quantity: 'count', garden, value: area?.walk_order ?? areas.length + 1, most: 1e6, hint: say('garden.walk.hint') });
  const id = area?.id ?? uuid7();
  const dialog = openForm({ title: area?.name ?? say('garden.area.add'), fields: { name, within, order }, nodes: [name.node, within.node, order.node],
    others: area ? [el('button', { type: 'button', text: say('garden.area.delete'), onclick: act(async () => { await send('DELETE', `areas/${encodeURIComponent(id)}`); dialog.close(); await load(); }) })] : [],
    save: async (values) => {
      const body = { name: values.name, within: values.within ?? null, ...(values.order !== undefined ? { walk_order: values.order } : {}) };
      if (area) await send('PATCH', `areas/${encodeURIComponent(id)}`, body);
      else await send('POST', 'areas', { id, ...body });
      await load();
    } });
}

function tankForm(tank, areas) {
  const name = textField({ label: say('plan.tank.name'), value: tank.name, required: true });
  const area = selectField({ label: say('plan.area'), value: tank.area ?? '', options: [{ value: '', label: say('plan.area.none') }, ...areas.map((one) => ({ value: one.id, label: one.name }))] });
  const order = numberField({ label: say('garden.walk'), quantity: 'count', garden, value: tank.walk_order, most: 1e6, hint: say('garden.walk.hint') });
  const lamp_w = numberField({ label: say('garden.lamp.tank'), quantity: 'plain', garden, value: tank.lamp_w, least: 0.1, most: 20000 });
  const retired = selectField({ label: say('garden.tank.use'), value: tank.retired ? 'no' : 'yes', options: options('garden.tank.use', ['yes', 'no']) });
  openForm({ title: tank.name, fields: { name, area, order, lamp_w, retired }, nodes: [name.node, area.node, order.node, lamp_w.node, retired.node], save: async (values) => {
    await send('PATCH', `tanks/${encodeURIComponent(tank.id)}`, { name: values.name, area: values.area ?? null, lamp_w: values.lamp_w ?? null, ...(values.order !== undefined ? { walk_order: values.order } : {}), retired: values.retired === 'no' });
    await load();
  } });
}

const changeButton = (name, onclick) => (mayKeep(garden) ? el('button', { type: 'button', class: 'quiet', text: say('edit'), 'aria-label': say('shelf.edit', { name }), onclick }) : null);

const walkButton = (id, name) => (mayKeep(garden) ? el('button', { type: 'button', class: 'quiet', text: say('walk.order'), 'aria-label': say('walk.order.of', { name }), onclick: act(() => openWalk(id, load)) }) : null);

function drawAreas(areas, tanks, days) {
  const nameOf = (id) => areas.find((area) => area.id === id)?.name;
  fill(byId('areas'), areas.map((area) => el('li', {}, el('span', { class: 'what' }, el('span', { text: area.name }), el('small', { text: [area.within ? say('garden.area.in', { name: nameOf(area.within) }) : null, roundDaysText(days, area.id)].filter(Boolean).join(' · ') })),
    mayKeep(garden) ? el('span', { class: 'acts' }, roundDaysButton(days, area, load), walkButton(area.id, area.name), changeButton(area.name, () => areaForm(area, areas))) : null)));
  byId('areas-none').hidden = areas.length > 0;
  byId('add-area').hidden = !mayKeep(garden);
  byId('add-area').onclick = () => areaForm(null, areas);
  byId('round-days').textContent = roundDaysText(days, null) ?? '';
  fill(byId('round-days-set'), mayKeep(garden) && tanks.length ? roundDaysButton(days, null, load) : null);
  byId('walk-top').hidden = !mayKeep(garden) || areas.length + tanks.length < 2;
  byId('walk-top').onclick = act(() => openWalk('top', load));
  fill(byId('tanks'), tanks.map((tank) => el('li', {}, el('span', { class: 'what' }, el('a', { class: 'tap', href: `tank.html?id=${encodeURIComponent(tank.id)}`, text: tank.name }),
    el('small', { text: [say('tank.code', { code: tank.code }), nameOf(tank.area), tank.retired ? say('garden.tank.use.no') : null].filter(Boolean).join(' · ') })), changeButton(tank.name, () => tankForm(tank, areas)))));
  byId('tanks-none').hidden = tanks.length > 0;
}

/* --- people ------------------------------------------------------------------------------------- */

function memberForm(member) {
  const role = selectField({ label: say('garden.role'), value: member.role, options: options('role', ['keeper', 'grower', 'visitor']) });
  const removed = selectField({ label: say('garden.member.here'), value: member.removed ? 'no' : 'yes', options: options('garden.member.here', ['yes', 'no']) });
  openForm({ title: member.name, fields: { role, removed }, nodes: [role.node, removed.node, el('p', { text: say('garden.role.about') })], save: async (values) => {
    await send('PATCH', `members/${encodeURIComponent(member.id)}`, { role: values.role, removed: values.removed === 'no' });
    await load();
  } });
}

function inviteForm(members) {
  const who = selectField({ label: say('invite.who'), value: '', options: [{ value: '', label: say('invite.new') }, ...members.filter((one) => !one.removed).map((one) => ({ value: one.id, label: say('invite.device', { name: one.name }) }))],
    onchange: (value) => { name.node.hidden = role.node.hidden = value !== ''; } });
  const name = textField({ label: say('invite.name'), most: 100 });
  const role = selectField({ label: say('garden.role'), value: 'grower', options: options('role', ['keeper', 'grower', 'visitor']) });
  openForm({ title: say('invite.title'), label: say('invite.make'), fields: { who, name, role }, nodes: [who.node, name.node, role.node, el('p', { text: say('garden.role.about') })], save: async (values) => {
    const known = members.find((one) => one.id === values.who);
    const invite = await send('POST', 'invites', known ? { member: known.id, role: known.role } : { member: null, role: values.role, ...(values.name ? { name: values.name } : {}) });
    showInvite(invite);
  } });
}

function showInvite(invite) {
  const link = el('textarea', { rows: 3, readonly: true, 'aria-label': say('invite.link'), text: invite.link });
  const picture = invite.qr_svg ? el('img', { alt: say('invite.qr'), src: `data:image/svg+xml,${encodeURIComponent(invite.qr_svg)}`, width: 240, height: 240 }) : null;
  byId('invite').hidden = false;
  fill(byId('invite'), el('h3', { text: say('invite.ready') }), picture ? el('p', { class: 'qr' }, picture) : null, link,
    el('p', { text: say('invite.until', { at: formatInstant(invite.expires_at, garden) }) }),
    el('button', { type: 'button', text: say('invite.copy'), onclick: () => { link.select(); toast(say(document.execCommand('copy') ? 'invite.copied' : 'mix.copy')); } }));
  byId('invite').scrollIntoView({ block: 'nearest' });
}

function drawPeople(members, devices) {
  fill(byId('members'), members.map((member) => el('li', { class: member.removed ? 'gone' : null }, el('span', { class: 'what' }, el('span', { text: member.name }), el('small', { text: say(`role.${member.role}`) })), changeButton(member.name, () => memberForm(member)))));
  byId('members-none').hidden = members.length > 0;
  byId('add-invite').hidden = !mayKeep(garden);
  byId('add-invite').onclick = () => inviteForm(members);
  const ownerOf = (id) => members.find((member) => member.id === id)?.name;
  fill(byId('devices'), devices.filter((one) => !one.revoked).map((device) => el('li', {}, el('span', { class: 'what' }, el('span', { text: device.this ? say('device.this', { name: device.name }) : device.name }),
    el('small', { text: [ownerOf(device.member), device.last_used_at ? say('device.used', { at: formatInstant(device.last_used_at, garden) }) : null].filter(Boolean).join(' · ') })),
  el('button', { type: 'button', class: 'quiet', text: say('device.revoke'), 'aria-label': say('device.revoke.of', { name: device.name }), onclick: act(async () => { await send('DELETE', `devices/${encodeURIComponent(device.id)}`); await load(); }) }))));
  byId('devices-none').hidden = devices.some((one) => !one.revoked);
}

/* --- calendar, paper, files ----------------------------------------------------------------------- */

function copyable(node, title, link, about) {
  const area = el('textarea', { rows: 3, readonly: true, 'aria-label': title, text: link });
  node.hidden = false;
  fill(node, el('h3', { text: title }), area, el('p', { text: about }),
    el('button', { type: 'button', text: say('copy'), onclick: () => { area.select(); toast(say(document.execCommand('copy') ? 'copy.done' : 'copy.self')); } }));
}

function feedForm() {
  const name = textField({ label: say('feed.name'), required: true, most: 60 });
  openForm({ title: say('feed.add'), label: say('feed.make'), fields: { name }, nodes: [name.node], save: async (values) => {
    const made = await send('POST', 'feeds', values);
    copyable(byId('feed'), say('feed.ready'), made.link, say('feed.once'));
    await load();
  } });
}

function drawFeeds(feeds) {
  byId('add-feed').onclick = feedForm;
  fill(byId('feeds'), feeds.filter((feed) => !feed.revoked_at).map((feed) => el('li', {}, el('span', { class: 'what' }, el('span', { text: feed.name }),
    el('small', { text: feed.last_used_at ? say('device.used', { at: formatInstant(feed.last_used_at, garden) }) : say('feed.unused') })),
  el('button', { type: 'button', class: 'quiet', text: say('feed.revoke'), 'aria-label': say('device.revoke.of', { name: feed.name }), onclick: act(async () => { await send('DELETE', `feeds/${encodeURIComponent(feed.id)}`); await load(); }) }))));
}

const TABLES = ['entries', 'harvests', 'tanks', 'salts', 'crops'];

/* The newest copies, when the next one is due, and what somebody should see to. */
async function drawBackups() {
  const { items, warnings, next_at, why: failed, free_bytes } = await get('backups');
  const size = (bytes) => say('garden.backup.size', { n: formatNumber(bytes / 1e6, bytes < 1e7 ? 1 : 0) });
  fill(byId('backups'), [
    ...warnings.map((word) => el('p', { class: 'caution', text: say(`garden.warn.${word}`, { why: failed ?? '', free: size(free_bytes) }) })),
    el('p', { text: items.length ? say('garden.backup.last', { at: formatInstant(items[0].made_at, garden), n: items.length }) : say('garden.backup.none') }),
    el('p', { text: next_at ? say('garden.backup.next', { at: formatInstant(next_at, garden) }) : say('garden.backup.unplanned') }),
    ...(items.length ? [details(say('garden.backup.all'), table(say('garden.backup.all'), [say('chart.when'), say('garden.backup.file'), say('garden.backup.bytes')],
      items.map((item) => [formatInstant(item.made_at, garden), item.file, size(item.bytes)])))] : [])]);
}

function drawFiles() {
  fill(byId('tables'), TABLES.map((noun) => el('a', { class: 'act', href: `api/v1/tables/${noun}.csv`, download: true, text: say(`table.${noun}`) })));
  byId('keeper-files').hidden = !mayKeep(garden);
  byId('backup').onclick = act(async () => {
    const made = await send('POST', 'backup', {});
    byId('backup-said').textContent = say('garden.backup.made', { file: made.file, n: made.entries });
    await drawBackups();
  });
  if (mayKeep(garden)) drawBackups().catch(() => fill(byId('backups'), []));
}

function drawOwn() {
  const language = selectField({ label: say('own.language'), value: own.get('language') ?? '', options: [{ value: '', label: say('own.language.garden') }, ...LANGUAGES.map((value) => ({ value, label: say(`language.${value}`) }))],
    onchange: (value) => { own.set('language', value || null); location.reload(); } });
  fill(byId('own'), language.node);
}

async function load() {
  try {
    const parts = ['areas', 'tanks', 'members', 'devices', 'feeds', 'duties', ...(mayKeep(garden) ? ['sensors'] : [])];
    const [{ items: days }, areas, tanks, members, devices, feeds, duties, sensors] = await Promise.all([get('round-days').catch(() => ({ items: [] })), ...parts.map((path) => getAll(path).catch((error) => {
      if (path === 'tanks') throw error;
      return [];
    }))]);
    status('');
    drawAreas(areas, tanks, days);
    drawPeople(members, devices);
    drawFeeds(feeds);
    drawDuties(byId('duties'), byId('duties-none'), byId('add-duty'), duties, { garden, keeper: mayKeep(garden), members, tanks, areas, reload: load, act });
    byId('sensors-part').hidden = !sensors;
    if (sensors) drawSensors(byId('sensors'), byId('add-sensor'), sensors, tanks, garden, { act, reload: load, show: (title, key, about) => copyable(byId('sensor-key'), title, key, about) });
    drawClimate(byId('climate-part'), byId('climate'), garden, act);
    byId('weather-part').hidden = !mayLog(garden);
    if (mayLog(garden)) drawWeather(byId('weather'), act);
    byId('garden').hidden = false; // whole at once: nothing jumps
  } catch (error) {
    failed(error, load);
  }
}

garden = await openPage();
if (garden) {
  drawOwn();
  drawFiles();
  drawSettings();
  byId('settings-form').addEventListener('submit', (event) => { event.preventDefault(); act(saveSettings)(); });
  await load();
}

