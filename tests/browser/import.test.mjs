// A table of past readings, and a whole garden, brought in by the page alone. The table is invented.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { ask, launch, openPhone, startDaemon } from './harness.mjs';

let browser, demo, empty, page;

before(async () => {
  browser = await launch();
  demo = await startDaemon(['--demo']);
  empty = await startDaemon();
  page = await openPhone(browser, demo);
  await page.goto(`${demo.base}/garden.html`);
  await page.getByRole('link', { name: 'Bring data in' }).click();
  await page.locator('#import').waitFor();
});
after(async () => {
  await browser?.close();
  await demo?.stop();
  await empty?.stop();
});

const field = (label) => page.getByLabel(label, { exact: true });
const button = (name) => page.getByRole('button', { name, exact: true });
const csv = (text) => ({ name: 'old readings.csv', mimeType: 'text/csv', buffer: Buffer.from(text) });
const said = (text) => page.locator('#table-said [role=status]', { hasText: text }).waitFor();

test('a table is proposed, mended, looked at and brought in', async () => {
  const tank = (await ask(page, 'tanks')).body.items[0];
  const before = (await ask(page, `tanks/${tank.id}/entries?limit=500`)).body.items.length;
  const rows = (ec) => `Datum;Wasserstand;Leitfähigkeit\r\n03.04.2025 07:30;21,5;${ec}\r\n04.04.2025 07:30;21,0;1,3\r\n`;

  await field('Table (CSV)').setInputFiles(csv(rows('zwei')));
  await field('Datum').waitFor();
  assert.equal(await field('Between cells').inputValue(), 'semicolon');
  assert.equal(await field('Decimal mark').inputValue(), 'comma');
  assert.equal(await field('Datum').inputValue(), 'at');
  assert.equal(await field('Leitfähigkeit').inputValue(), 'ec');
  await page.getByText('can be read in more than one way').waitFor();
  await field('Dates are written').selectOption('mdy');
  await page.getByText('03.04.2025 07:30 is 4 March 2025.').waitFor();
  await field('Dates are written').selectOption('dmy');
  await page.getByText('03.04.2025 07:30 is 3 April 2025.').waitFor();
  await field('Tank of the whole table').selectOption(tank.id);
  await field('Lengths are in').selectOption('cm');
  await button('Look at all rows').click();
  await said('1 thing is wrong; nothing was kept.');
  assert.deepEqual(await page.locator('#table-said tbody tr').first().locator('th, td').allTextContents(), ['2', 'Leitfähigkeit', 'is no number']);
  assert.ok(await page.locator('#table-go').isHidden(), 'what is wrong cannot be brought in');

  await field('Table (CSV)').setInputFiles(csv(rows('1,2')));
  await field('Tank of the whole table').waitFor();
  await page.waitForFunction(() => document.querySelector('#table-how tbody td:last-child')?.textContent === '1,2');
  await field('Dates are written').selectOption('dmy');
  await field('Tank of the whole table').selectOption(tank.id);
  await field('Lengths are in').selectOption('cm');
  await button('Look at all rows').click();
  await said('2 rows can be brought in.');
  await page.locator('#table-go').click();
  await said('Brought in: 2 of 2 rows were new.');
  const after = (await ask(page, `tanks/${tank.id}/entries?limit=500`)).body.items;
  assert.equal(after.length, before + 2);
  assert.equal(after.filter((entry) => entry.waterline_mm === 215 && entry.ec_ms_cm === 1.2).length, 1);
  await page.locator('#table-go').waitFor({ state: 'hidden' });
  assert.deepEqual(page.complaints, []);
});

test('an hour that was there twice is remarked on, one that never was is refused', async () => {
  const { time_zone: zone } = (await ask(page, 'garden')).body;
  const tank = (await ask(page, 'tanks')).body.items[0];
  const look = async (day) => {
    await field('Table (CSV)').setInputFiles(csv(`date,pH\r\n2025-07-01 12:00,6\r\n${day} 01:30,6.1\r\n`));
    await page.waitForFunction((text) => document.querySelector('#table-how')?.textContent.includes(text), day);
    await field('Tank of the whole table').selectOption(tank.id);
    await button('Look at all rows').click();
  };

  assert.equal(zone, 'Atlantic/Canary'); // its clocks change at 01:00 UTC as well: Directive 2000/84/EC
  await look('2025-10-26');
  await said('2 rows can be brought in.');
  assert.deepEqual(await page.locator('#table-said tbody tr').first().locator('th, td').allTextContents(),
    ['3', 'date', "the garden's clocks showed this time twice that day; it is taken as the first"]);
  await page.getByText('Good to know (1)').waitFor();
  await look('2026-03-29');
  await said('1 thing is wrong; nothing was kept.');
  assert.ok(await page.locator('#table-go').isHidden());
});

test('a table that was exported comes back', async () => {
  const table = await (await page.request.get(`${demo.base}/api/v1/tables/entries.csv`)).body();

  await field('Which table').selectOption('entries');
  await field('The table (CSV)').setInputFiles({ name: 'entries.csv', mimeType: 'text/csv', buffer: table });
  await page.locator('#noun-form button').click();
  await page.locator('#noun-said [role=status]', { hasText: /Brought in: 0 of [0-9.,]+ rows/ }).waitFor();
  assert.ok(table.equals(await (await page.request.get(`${demo.base}/api/v1/tables/entries.csv`)).body()));
});

test('each table that goes out is offered and comes back', async () => {
  const nouns = await field('Which table').locator('option').evaluateAll((options) => options.map((option) => option.value));

  assert.deepEqual(nouns.toSorted(), ['areas', 'crops', 'entries', 'harvests', 'members', 'salts', 'tanks', 'targets', 'vessels', 'waters', 'weather']);
  for (const noun of ['areas', 'vessels', 'tanks', 'members', 'crops']) {
    const table = await (await page.request.get(`${demo.base}/api/v1/tables/${noun}.csv`)).body();

    await field('Which table').selectOption(noun);
    await field('The table (CSV)').setInputFiles({ name: `${noun}.csv`, mimeType: 'text/csv', buffer: table });
    await page.locator('#noun-form button').click();
    await page.locator('#noun-form button:enabled').waitFor();
    await page.locator('#noun-said [role=status]', { hasText: /Brought in: 0 of [0-9.,]+ rows/ }).waitFor();
    assert.ok(table.equals(await (await page.request.get(`${demo.base}/api/v1/tables/${noun}.csv`)).body()), noun);
  }
  const members = await (await page.request.get(`${demo.base}/api/v1/tables/members.csv`)).text();
  await field('Which table').selectOption('members');
  await field('The table (CSV)').setInputFiles({ name: 'members.csv', mimeType: 'text/csv', buffer: Buffer.from(members.replace(',keeper,', ',visitor,')) });
  await page.locator('#noun-form button').click();
  await page.locator('#noun-said [role=status]', { hasText: 'nothing was kept' }).waitFor();
});

test('a garden that is not empty takes no other, and says so', async () => {
  const whole = await (await page.request.get(`${demo.base}/api/v1/export`)).body();

  await field('Export (JSON)').setInputFiles({ name: 'garden.json', mimeType: 'application/json', buffer: whole });
  await page.locator('#garden-form button').click();
  await page.locator('#garden-said', { hasText: 'not empty' }).waitFor();
  page.complaints = page.complaints.filter((one) => !/409/.test(one));
});

test('an empty garden becomes the one that was exported', async () => {
  const whole = await (await page.request.get(`${demo.base}/api/v1/export`)).body();
  const other = await openPhone(browser, empty);

  await other.goto(`${empty.base}/import.html`);
  await other.getByLabel('Export (JSON)').setInputFiles({ name: 'garden.json', mimeType: 'application/json', buffer: whole });
  await other.locator('#garden-form button').click();
  await other.locator('#garden-said', { hasText: 'Brought in' }).waitFor();
  assert.ok(whole.equals(await (await other.request.get(`${empty.base}/api/v1/export`)).body()), 'the same bytes');
  await other.goto(`${empty.base}/index.html`);
  await other.locator('#status', { hasText: /^$/ }).waitFor({ state: 'attached' });
  assert.deepEqual(other.complaints, []);
});

test('nothing is wider than a small phone', async () => {
  await page.setViewportSize({ width: 320, height: 640 });
  assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= 320));
  await page.setViewportSize({ width: 390, height: 844 });
});
