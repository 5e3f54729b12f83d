// The calendar as another program reads it: by ical.js, over the address that the page makes, until it is revoked.
import assert from 'node:assert/strict';
import { createRequire } from 'node:module';
import path from 'node:path';
import { after, before, test } from 'node:test';
import { pathToFileURL } from 'node:url';
import { ask, launch, openPhone, startDaemon } from './harness.mjs';

const build = process.env.TIDEMARK_BUILDDIR ?? path.resolve(import.meta.dirname, '../../build');
const { default: ICAL } = await import(pathToFileURL(createRequire(path.join(build, 'tests/browser/package.json')).resolve('ical.js')));
const NAMES = ['Gemüse – 水耕栽培 über dem Regenfass, zweite Reihe links neben der Tür 🌱', 'salt; sour, \\sweet\\n', 'BEGIN:VEVENT'];

let browser, daemon, page, link;

before(async () => {
  browser = await launch();
  daemon = await startDaemon(['--demo']);
  page = await openPhone(browser, daemon);
  await page.goto(`${daemon.base}/garden.html`);
  await page.locator('#garden').waitFor();
  const { items } = (await ask(page, 'tanks')).body;
  for (const [i, name] of NAMES.entries()) assert.equal((await ask(page, `tanks/${items[i].id}`, 'PATCH', { name })).status, 200);
  const { body } = await ask(page, 'feeds', 'POST', { name: 'Küche' });
  link = { id: body.id, url: `${daemon.base}${new URL(body.link).pathname}` };
});
after(async () => {
  await browser?.close();
  await daemon?.stop();
});

const read = async () => {
  const answer = await fetch(link.url); // no cookie: as a calendar program asks
  assert.equal(answer.status, 200);
  assert.match(answer.headers.get('content-type'), /^text\/calendar; charset=utf-8/);
  return answer.text();
};
const eventsOf = (text) => {
  const calendar = new ICAL.Component(ICAL.parse(text));
  assert.equal(calendar.name, 'vcalendar');
  assert.equal(calendar.getFirstPropertyValue('version'), '2.0');
  return calendar.getAllSubcomponents('vevent').map((component) => ({ component, event: new ICAL.Event(component) }));
};

test('it is read whole: all-day events with their names, alarms and addresses', async () => {
  const { items: tanks } = (await ask(page, 'tanks')).body;
  const events = eventsOf(await read());

  assert.ok(events.length > 5);
  assert.equal(new Set(events.map(({ event }) => event.uid)).size, events.length, 'no uid twice');
  for (const { component, event } of events) {
    assert.ok(event.startDate.isDate && event.endDate.isDate, 'all day');
    assert.ok(event.endDate.compare(event.startDate) > 0);
    const alarm = component.getFirstSubcomponent('valarm');
    assert.equal(alarm.getFirstPropertyValue('action'), 'DISPLAY');
    assert.equal(alarm.getFirstPropertyValue('description'), event.summary);
    assert.ok([-6, 7].includes(alarm.getFirstPropertyValue('trigger').toSeconds() / 3600), 'the evening before, or that morning');
    assert.ok(component.getFirstPropertyValue('url').startsWith('http'));
    if (!/-(low|harvest)@/.test(event.uid)) continue; // rounds, duties and plans have other names
    const tank = tanks.find((one) => event.uid.startsWith(one.id));
    assert.ok(event.summary.includes(tank.name), `${event.summary}: the name as it is, escapes undone`);
  }
  for (const name of NAMES.slice(0, 1)) assert.ok(events.some(({ event }) => event.summary.includes(name)), name);
  assert.ok(events.some(({ event }) => event.uid.startsWith('round-')), 'a round for today');
});

test('planned rounds of six weeks, each with its own name, which it keeps when it is put off', async () => {
  const roundsOf = (events) => events.filter(({ event }) => event.uid.startsWith('round-')).map(({ component, event }) => ({ uid: event.uid, day: event.startDate.toString(), end: event.endDate.toString(), said: event.summary, link: component.getFirstPropertyValue('url'), alarm: component.getFirstSubcomponent('valarm')?.getFirstPropertyValue('trigger').toSeconds(), about: component.getFirstPropertyValue('description') }));
  const { today } = (await ask(page, 'garden')).body;
  const later = (days) => new Date(Date.parse(`${today}T00:00:00Z`) + days * 86400000).toISOString().slice(0, 10);
  const nameOf = (date) => new Intl.DateTimeFormat('en', { weekday: 'long', timeZone: 'UTC' }).format(new Date(`${date}T12:00:00Z`)).toLowerCase();
  const [area] = (await ask(page, 'areas')).body.items;
  await ask(page, `areas/${area.id}`, 'PATCH', { name: 'Dächlein über dem Schöpfbrunnen; hinten, 屋上' });
  await ask(page, `round-days/${area.id}`, 'PATCH', { weekdays: [nameOf(today), nameOf(later(3))] });
  await ask(page, 'round-days/garden', 'PATCH', { weekdays: [nameOf(today)] });
  const before_ = roundsOf(eventsOf(await read()));
  assert.equal(before_.length, 18, 'twelve of the area, six of the garden');
  assert.equal(new Set(before_.map(({ uid }) => uid)).size, 18);
  for (const one of before_) {
    const of = one.uid.includes(area.id), away = (Date.parse(one.day) - Date.parse(today)) / 86400000;
    assert.ok(away >= 0 && away < 42 && [0, 3].includes(away % 7), one.day);
    assert.equal((Date.parse(one.end) - Date.parse(one.day)) / 86400000, 1, 'one day');
    assert.ok(one.uid.startsWith(`round-${one.day}${of ? '-' : '@'}`), one.uid);
    assert.equal(one.said, of ? 'Round: Dächlein über dem Schöpfbrunnen; hinten, 屋上' : 'Round through the whole garden');
    assert.equal(new URL(one.link).search, of ? `?area=${area.id}` : '');
    assert.equal(one.alarm, 7 * 3600);
  }
  const { status, body: off } = await ask(page, 'round-putoffs', 'POST', { area: area.id, days: 1 });
  assert.equal(status, 201);
  const after_ = roundsOf(eventsOf(await read()));
  assert.deepEqual(after_.map(({ uid }) => uid).sort(), before_.map(({ uid }) => uid).sort(), 'the same events');
  const moved = after_.filter((one) => before_.find(({ uid }) => uid === one.uid).day !== one.day);
  assert.deepEqual(moved.map(({ day, uid }) => [day, uid.slice(0, 16)]), [[later(1), `round-${today}`]]);
  assert.match(moved[0].about, new RegExp(today));
  await ask(page, `round-putoffs/${off.id}`, 'DELETE', {});
  assert.deepEqual(roundsOf(eventsOf(await read())), before_);
  for (const place of [area.id, 'garden']) await ask(page, `round-days/${place}`, 'PATCH', { weekdays: [] });
});

test('lines are folded by octets, between letters', async () => {
  const bytes = Buffer.from(await (await fetch(link.url)).arrayBuffer());
  let folded = 0;

  for (let at = 0; at < bytes.length;) {
    const end = bytes.indexOf('\r\n', at);
    assert.ok(end >= at && end - at <= 75, 'RFC 5545 (2009), 3.1');
    assert.doesNotThrow(() => new TextDecoder('utf-8', { fatal: true }).decode(bytes.subarray(at, end)), 'no letter is cut');
    folded += bytes[at] === 0x20;
    at = end + 2;
  }
  assert.ok(folded > 3);
});

test('asked again it says the same of the same things', async () => {
  assert.equal(await read(), await read());
  const before_ = eventsOf(await read()).map(({ event }) => event.uid).sort();
  const { items } = (await ask(page, 'tanks')).body;
  await ask(page, `tanks/${items[0].id}`, 'PATCH', { name: 'called otherwise' });
  assert.deepEqual(eventsOf(await read()).map(({ event }) => event.uid).sort(), before_, 'a new name is no new event');
});

test('a revoked address is none', async () => {
  assert.equal((await ask(page, `feeds/${link.id}`, 'DELETE', {})).status, 204);
  assert.equal((await fetch(link.url)).status, 404);
});
