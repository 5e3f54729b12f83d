// Bags by their labels, waters by their analyses, and what to buy. All names and analyses are invented.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { ask, launch, openPhone, startDaemon } from './harness.mjs';

let browser, daemon, page;

before(async () => {
  browser = await launch();
  daemon = await startDaemon(['--demo']);
  page = await openPhone(browser, daemon);
  await page.goto(`${daemon.base}/shelf.html`);
  await page.locator('#shelf').waitFor();
});
after(async () => {
  await browser?.close();
  await daemon?.stop();
});

const button = (name) => page.getByRole('button', { name, exact: true });
const field = (label) => page.getByRole('dialog').getByLabel(label, { exact: true });
const named = async (noun, name) => (await ask(page, `${noun}?limit=500`)).body.items.find((item) => item.name === name);

test('a bag is told by its label, as printed', async () => {
  await button('Add a bag').click();
  await field('What is written on the bag?').fill('Heron 6-11-31');
  await field('elements (Ca, Mg, S)').check();
  for (const [label, value] of [['Nitrogen as nitrate', '6'], ['Phosphate, P₂O₅', '11'], ['Potash, K₂O', '31'], ['Magnesium, Mg', '1,5'], ['Iron, Fe', '0.3']]) await field(label).fill(value);
  await field('How much is left').fill('2500');
  await field('Price of 1 kg').fill('7,90');
  await page.getByRole('dialog').getByRole('button', { name: 'Save' }).click();
  await page.locator('#salts li', { hasText: 'Heron' }).waitFor();
  const bag = await named('salts', 'Heron 6-11-31');
  assert.deepEqual(bag.label, { n_no3: 6, p2o5: 11, k2o: 31, mg: 1.5, fe: 0.3 });
  assert.equal(bag.stock_g, 2500);
  assert.equal(bag.price_per_kg, 7.9);
});

test('a bag is mended, its caution is kept and what is emptied is unknown again', async () => {
  await page.getByRole('button', { name: 'Change: Heron 6-11-31' }).click();
  await field('What to mind when storing it').fill('Draws water: keep in the tin');
  await field('Price of 1 kg').fill('');
  await page.getByRole('dialog').locator('details > summary').click();
  await field('Potash, K₂O').fill('30');
  await page.getByRole('dialog').getByRole('button', { name: 'Save' }).click();
  await page.locator('#salts li', { hasText: 'keep in the tin' }).waitFor();
  const bag = await named('salts', 'Heron 6-11-31');
  assert.deepEqual([bag.label.k2o, bag.label.p2o5, bag.price_per_kg, bag.stock_g, bag.own_caution], [30, 11, null, 2500, true]);
});

test('a label that adds up to more than the bag is refused where it was typed', async () => {
  await button('Add a bag').click();
  await field('What is written on the bag?').fill('Too much');
  await field('Potash, K₂O').fill('101');
  await page.getByRole('dialog').getByRole('button', { name: 'Save' }).click();
  await page.locator('dialog .fault:visible').first().waitFor();
  await button('Cancel').click();
  assert.equal(await named('salts', 'Too much'), undefined);
});

test('a water keeps what its analysis says and nothing more', async () => {
  await button('Add a water').click();
  await field('Name').fill('Well');
  await field('pH').fill('7,4');
  await field('Alkalinity, as CaCO₃').fill('120');
  await field('Calcium').fill('41.5');
  await page.getByRole('dialog').getByRole('button', { name: 'Save' }).click();
  await page.locator('#waters li', { hasText: 'Well' }).waitFor();
  const water = await named('waters', 'Well');
  assert.deepEqual([water.ph, water.alkalinity_mg_caco3_l, water.ca_mg_l, water.mg_mg_l], [7.4, 120, 41.5, null]);
});

test('what to buy is what is needed less what is there', async () => {
  await page.getByLabel('For the coming fills, altogether').fill('400');
  await button('Work it out').click();
  await page.locator('#buy-list table').waitFor();
  const rows = await page.locator('#buy-list tbody tr').evaluateAll((list) => list.map((row) => [...row.children].map((cell) => cell.textContent)));
  const grams = (text) => (/\d/.test(text) ? Number(text.replace(/[^\d.]/g, '')) : 0);
  assert.ok(rows.length > 0);
  for (const [name, short, need, have] of rows) assert.ok(Math.abs(Math.max(0, grams(need) - grams(have)) - grams(short)) <= 1, `${name}: ${need}, ${have}, ${short}`);
});

test('nothing complained on the way', () => assert.deepEqual(page.complaints.filter((text) => !/422/.test(text)), []));
