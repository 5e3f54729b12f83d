// Each caution of fixtures/shelf/cautions.csv is seen where its act is: the acts are done as far as the form or page that warns.
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import path from 'node:path';
import { after, before, test } from 'node:test';
import { ask, launch, openPhone, startDaemon } from './harness.mjs';

const source = process.env.TIDEMARK_SRCDIR ?? path.resolve(import.meta.dirname, '../..');
const rows = readFileSync(path.join(source, 'fixtures/shelf/cautions.csv'), 'utf8').trim().split('\n').slice(1);
let browser, daemon, page, tank;

before(async () => {
  browser = await launch();
  daemon = await startDaemon(['--demo']);
  page = await openPhone(browser, daemon);
  await page.goto(`${daemon.base}/garden.html`);
  tank = (await ask(page, 'tanks?limit=500')).body.items.find((one) => one.name === 'North 2');
  /* So little light, on any day of the year, that nitrate gathers: 100 umol/m2/s for 12 hours are 4.3 mol/m2. */
  await ask(page, 'garden', 'PATCH', { place: 'lamps', climate: { indoor: { temperature_c: 20, rh_percent: 70, ppfd_umol: 100, hours: 12 } } });
});
after(async () => {
  await browser?.close();
  await daemon?.stop();
});

async function form(kind) {
  await page.goto(`${daemon.base}/tank.html?id=${tank.id}&log=${kind}`);
  await page.locator('dialog.log-form').waitFor();
  return page.locator('dialog.log-form').innerText();
}
async function shelf() {
  await page.goto(`${daemon.base}/shelf.html`);
  await page.locator('#shelf').waitFor();
  for (const more of await page.locator('details:has(#salts-other)').all()) await more.locator('summary').first().click();
  return page.locator('#shelf').innerText();
}
async function recipe(ph = '') {
  await page.goto(`${daemon.base}/mix.html?tank=${tank.id}`);
  await page.locator('#compute').waitFor();
  await page.locator('#ask-fields > details > summary').last().click();
  await page.getByLabel('Bring the pH to').fill(ph);
  await page.locator('#compute').click();
  await page.locator('#recipe-body table').first().waitFor();
  return page.locator('#recipe-body').innerText();
}
async function stocks() {
  await recipe();
  await page.locator('#recipe-body > details > summary').last().click();
  await page.waitForFunction(() => /Never pour one stock/.test(document.getElementById('recipe-body').innerText));
  return page.locator('#recipe-body').innerText();
}
async function settings() {
  await page.goto(`${daemon.base}/garden.html`);
  await page.locator('#lamps-caution').waitFor();
  return page.locator('main').innerText();
}
const plan = async () => {
  await page.goto(`${daemon.base}/plan.html`);
  await page.locator('form').first().waitFor();
  return page.locator('main').innerText();
};

/* In the order of the file. */
const acts = [
  ['drowning', () => form('fill'), /small child drowns/], ['mosquito', () => form('fill'), /mosquitoes lay eggs/],
  ['acid', () => recipe('5.6'), /Add acid to water, never water to acid/], ['acid', () => recipe('5.6'), /Nitric acid fumes/],
  ['salt', shelf, /Feeds a fire/], ['salt', stocks, /Never pour one stock undiluted into another/], ['salt', shelf, /harms infants/],
  ['weight', () => form('fill'), /Water weighs 1 kg a litre/], ['floor', () => form('fill'), /balcony or an old floor/], ['plastic', plan, /resin codes 2, 4 or 5; no PVC/],
  ['spent solution', () => form('clean-out'), /never into a stream, pond or well/], ['electricity', settings, /residual current device of 30 mA/],
  ['food', () => form('harvest'), /Clean hands and tools/], ['nitrate in leaves', () => form('harvest'), /nitrate gathers in leaves[\s\S]*5,?000 mg[\s\S]*under cover[\s\S]*2023\/915/],
];

test('every row has its act', () => assert.deepEqual(rows.map((row) => row.split(',')[0]), acts.map(([topic]) => topic)));
for (const [i, [topic, go, words]] of acts.entries()) test(`row ${i + 1}, ${topic}, is shown where its act is`, async () => assert.match(await go(), words));
test('nothing complained on the way', () => assert.deepEqual(page.complaints, []));
