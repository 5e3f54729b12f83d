// With script switched off: every page leads on, and readings can be logged. Values are invented.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { launch, openPhone, startDaemon } from './harness.mjs';

let browser, daemon, page;
const get = async (path) => (await fetch(`${daemon.base}/api/v1/${path}`)).json();

before(async () => {
  browser = await launch();
  daemon = await startDaemon(['--demo']);
  page = await openPhone(browser, daemon, { javaScriptEnabled: false });
});
after(async () => {
  await browser?.close();
  await daemon?.stop();
});

test('every page leads to the plain ones', async () => {
  for (const name of ['index', 'tank', 'mix', 'plan', 'lid', 'shelf', 'harvests', 'garden', 'labels', 'pair']) {
    await page.goto(`${daemon.base}/${name}.html`);
    await page.getByRole('link', { name: 'The plain pages' }).click();
    await page.waitForURL(/\/plain$/);
  }
});

test('a reading is logged by a plain form', async () => {
  const { items } = await get('tanks');
  const tank = items.find((one) => one.drawing.waterline_mm > 100);
  await page.goto(`${daemon.base}/plain`);
  await page.getByRole('link', { name: tank.name, exact: true }).click();
  await page.getByLabel(/How high does the water stand/).first().fill('98,5');
  await page.getByLabel('EC at 25 °C').first().fill('1.37');
  await page.getByRole('button', { name: 'Log it' }).click();
  await page.waitForLoadState();
  const [entry] = (await get(`tanks/${tank.id}/entries?limit=1`)).items;
  assert.equal(entry.kind, 'reading');
  assert.equal(entry.waterline_mm, 98.5);
  assert.equal(entry.ec_ms_cm, 1.37);
});

test('nothing is wider than the screen', async () => {
  const wide = await page.locator('main').boundingBox();
  assert.ok(wide.x >= 0 && wide.x + wide.width <= 390);
});
