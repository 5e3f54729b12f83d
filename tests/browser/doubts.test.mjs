// Sensors' readings that are not believed, at the tank: how many, why, as a table; people doubt a stretch and believe it again. All invented.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { ask, launch, openPhone, startDaemon } from './harness.mjs';

let browser, daemon, page, tank;

before(async () => {
  browser = await launch();
  daemon = await startDaemon();
  page = await openPhone(browser, daemon);
  await page.goto(`${daemon.base}/index.html`);
  const vessel = (await ask(page, 'vessels', 'POST', { name: 'Tub', shape: { shape: 'round', floor_mm: 260, rim_mm: 300, height_mm: 360 }, start_mm: 320, low_mm: 40 })).body;
  tank = (await ask(page, 'tanks', 'POST', { name: 'By the door', vessel: vessel.id })).body;
  await ask(page, 'entries', 'POST', { id: '01990000-0000-7000-8000-000000000001', tank: tank.id, kind: 'fill', at: new Date(Date.now() - 3 * 86400000).toISOString(), waterline_mm: 320 });
});
after(async () => {
  await browser?.close();
  await daemon?.stop();
});

const open = async () => {
  await page.goto(`${daemon.base}/tank.html?id=${tank.id}`);
  await page.waitForFunction(() => document.getElementById('status').textContent === '');
  await page.locator('#charts').scrollIntoViewIfNeeded();
};
const part = () => page.locator('#doubted');
const post = (readings) => ask(page, 'readings', 'POST', { sensor: tank.sensor, readings });

test('a tank without a sensor says nothing of any', async () => {
  await open();
  await page.locator('#chart-water figure').waitFor();
  await page.waitForTimeout(300);
  assert.equal(await part().isVisible(), false);
});

test('what is not believed is counted with its reasons, and stands in a table', async () => {
  const { body } = await ask(page, 'sensors', 'POST', { name: 'Float', tanks: [tank.id] });
  tank.sensor = body.id;
  const begin = Date.now() - 3600000;
  const readings = Array.from({ length: 20 }, (_, i) => ({ tank: tank.id, at: new Date(begin + i * 60000).toISOString(), waterline_mm: i === 7 || i === 13 ? 30 : 300 - i / 10, temperature_c: 19 + i / 100 }));
  assert.equal((await post(readings)).body.flagged, 2);
  await open();
  await part().getByText(/2 of 20 readings of this tank's sensors since .+ are not believed: the value jumps\./).waitFor();
  await part().getByText('The newest 2 that are not believed, as a table', { exact: true }).first().click();
  const rows = part().locator('tbody tr');
  assert.equal(await rows.count(), 2);
  assert.match(await rows.first().innerText(), /Float\s+water 30\smm, warmth 19\.1\s°C\s+the value jumps/);
});

test('a grower doubts a stretch, by keyboard, once, and it can be believed again', async () => {
  await part().getByRole('button', { name: 'Do not believe a stretch of readings' }).focus();
  await page.keyboard.press('Enter');
  const dialog = page.getByRole('dialog');
  await dialog.getByLabel('What was the matter').fill('it hung in the watering can');
  await dialog.getByRole('button', { name: 'Save' }).dblclick();
  await part().getByText(/it hung in the watering can/).waitFor();
  await part().getByText(/20 of 20 readings .* are not believed: .*somebody doubts them/).waitFor();
  const doubts = (await ask(page, 'doubts')).body.items;
  assert.equal(doubts.length, 1, 'a double tap doubts once');
  assert.ok(Date.parse(doubts[0].to) - Date.parse(doubts[0].from) === 86400000);
  await part().getByRole('button', { name: /^Believe the readings again: / }).click();
  await part().getByText(/2 of 20 readings/).waitFor();
  assert.ok((await ask(page, 'doubts')).body.items[0].lifted_at);
});

test('an impossible stretch is refused at its field', async () => {
  await part().getByRole('button', { name: 'Do not believe a stretch of readings' }).click();
  const dialog = page.getByRole('dialog');
  const to = await dialog.getByLabel('Until').inputValue();
  await dialog.getByLabel('From').fill(to.replace(/^\d{4}/, (year) => String(Number(year) + 1)));
  await dialog.getByRole('button', { name: 'Save' }).click();
  await dialog.locator('.fault:visible').filter({ hasText: 'must not lie before from' }).waitFor();
  await dialog.getByRole('button', { name: 'Cancel' }).click();
  page.complaints.length = 0; // the refused POST is in the browser's console
});

test('it fits a narrow phone, in German, with large targets', async () => {
  await ask(page, 'garden', 'PATCH', { language: 'de' });
  await page.setViewportSize({ width: 320, height: 640 });
  await open();
  await part().getByText(/2 von 20 Messungen .* werden nicht geglaubt: der Wert springt\./).waitFor();
  await part().locator('summary').click();
  assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= 320));
  const sizes = await part().locator('button, summary').evaluateAll((all) => all.map((one) => one.getBoundingClientRect().height));
  assert.ok(sizes.length === 2 && sizes.every((size) => size >= 44), `${sizes}`);
  assert.deepEqual(page.complaints, []);
});
