// A season of harvests: worked out, kept, and told again. The garden is the invented one.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { ask, launch, openPhone, startDaemon } from './harness.mjs';

let browser, daemon, page;

before(async () => {
  browser = await launch();
  daemon = await startDaemon(['--demo']);
  page = await openPhone(browser, daemon);
  page.setDefaultTimeout(60000);
  await page.goto(`${daemon.base}/season.html`);
  await page.locator('#wish-fields select').waitFor();
});
after(async () => {
  await browser?.close();
  await daemon?.stop();
});

test('a wish becomes bars, sentences and a table, within the phone', async () => {
  await page.getByRole('button', { name: 'Work it out' }).click();
  await page.locator('#found svg').waitFor();
  const bars = await page.locator('#found .bar').count();
  assert.ok(bars > 10);
  assert.equal(await page.locator('#found tbody tr').count(), bars);
  assert.doesNotMatch(await page.locator('#found').innerText(), /[{}]|season\.|undefined|NaN/);
  assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth));
});

test('a plan is kept once and shown against what was done', async () => {
  await page.getByRole('button', { name: 'Keep this plan' }).click();
  await page.getByLabel('Name of the plan').fill('Salads');
  await page.locator('dialog [type=submit]').click();
  await page.locator('#shown-says', { hasText: 'Planted 0' }).waitFor();
  const kept = (await ask(page, 'successions')).body.items;
  assert.deepEqual(kept.map((one) => one.name), ['Leaf lettuce for the long table', 'Salads']); // the first comes with the demo
  await page.reload();
  await page.locator('#kept button').last().click();
  await page.locator('#shown svg').waitFor();
  assert.doesNotMatch(await page.locator('#shown').innerText(), /[{}]|season\.|undefined|NaN/);
});

test('nothing was complained of', () => assert.deepEqual(page.complaints, []));
