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
  for (const name of ['index', 'tank', 'mix', 'plan', 'lid', 'shelf', 'harvests', 'garden', 'labels', 'round', 'batch', 'pair']) {
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

test('every kind of entry is logged by its plain form, in the order of a tank\'s life', async () => {
  const { tank: id, code } = (await get('today')).items.find((one) => one.reason === 'empty');
  const tank = { id, code };
  const form = (kind) => page.locator(`details:has(input[name=kind][value="${kind}"])`);
  const send = async (kind, fill) => {
    await page.goto(`${daemon.base}/plain/tank/${tank.code}`);
    if (kind !== 'reading') await form(kind).locator('summary').press('Enter'); // by keyboard, too
    await fill(form(kind));
    await form(kind).getByRole('button').press('Enter');
    await page.waitForURL(/\/plain/);
    await page.waitForLoadState();
    assert.equal(await page.locator('[role=alert]').count(), 0, `${kind}: ${await page.locator('[role=alert]').allInnerTexts()}`);
    const [entry] = (await get(`tanks/${tank.id}/entries?limit=1`)).items;
    assert.equal(entry.kind, kind);
    return entry;
  };
  const filled = await send('fill', async (one) => {
    await one.getByText('Water weighs').waitFor(); // the caution stands where the act is
    await one.locator('[name=waterline]').fill('200');
    await one.locator('[name=ec]').fill('1,6');
  });
  assert.deepEqual([filled.waterline_mm, filled.ec_ms_cm], [200, 1.6]);
  const planted = await send('planting', async (one) => {
    await one.locator('[name=crop]').selectOption('lettuce-leaf');
    await one.locator('[name=count]').fill('2');
  });
  assert.equal(planted.crop, 'lettuce-leaf');
  const moved = await send('move', async (one) => {
    await one.locator('[name=cups]').fill('1');
    await one.locator('[name=to_cups]').fill('3');
  });
  assert.deepEqual([moved.cups, moved.to_cups], [[1], [3]]);
  const lost = await send('loss', async (one) => {
    await one.locator('[name=cups]').fill('2');
    await one.locator('[name=reason]').selectOption('pests');
  });
  assert.deepEqual([lost.cups, lost.reason], [[2], 'pests']);
  assert.equal((await send('reading', (one) => one.locator('[name=waterline]').fill('190'))).waterline_mm, 190);
  assert.equal((await send('top-up', (one) => one.locator('[name=volume]').fill('1.5'))).volume_l, 1.5);
  const cut = await send('harvest', async (one) => {
    await one.locator('[name=how]').selectOption('cut');
    await one.locator('[name=weight]').fill('120');
  });
  assert.deepEqual([cut.how, cut.weight_g], ['cut', 120]);
  assert.equal((await send('note', (one) => one.locator('[name=note]').fill('a slug, taken off'))).note, 'a slug, taken off');
  await send('clean-out', (one) => one.getByText('nitrogen and phosphorus').waitFor());
  assert.equal((await get(`tanks/${tank.id}`)).state.phase, 'empty');
});

test('nothing is wider than the screen', async () => {
  const wide = await page.locator('main').boundingBox();
  assert.ok(wide.x >= 0 && wide.x + wide.width <= 390);
});
