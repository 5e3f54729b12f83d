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
