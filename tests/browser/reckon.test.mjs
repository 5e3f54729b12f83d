// Stock solutions, a water from a strip, a meter's check and the computed course, each through its page. The garden is the invented one.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { ask, launch, openPhone, startDaemon } from './harness.mjs';

let browser, daemon, page;

before(async () => {
  browser = await launch();
  daemon = await startDaemon(['--demo']);
  page = await openPhone(browser, daemon);
});
after(async () => {
  await browser?.close();
  await daemon?.stop();
});

const noSidewaysScroll = async () => {
  await page.setViewportSize({ width: 320, height: 700 });
  assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= document.documentElement.clientWidth), 'nothing is wider than a phone of 320 px');
  await page.setViewportSize({ width: 390, height: 844 });
};

test('a recipe opens as stock solutions, and the labels alone go to paper', async () => {
  await page.goto(`${daemon.base}/mix.html`);
  await page.locator('#ask-fields input.big').fill('60');
  await page.locator('#compute').click();
  await page.getByText('As stock solutions').click();
  await page.getByText('Into 1 L of stock A', { exact: true }).waitFor();
  const grams = async () => parseFloat(await page.locator('#recipe-body details section').first().locator('td').first().textContent());
  const forOne = await grams();
  await page.getByLabel('One bottle holds').fill('2');
  await page.getByText('Into 2 L of stock A', { exact: true }).waitFor();
  assert.ok(Math.abs(await grams() / forOne - 2) < 0.01, 'twice the bottle, twice the grams');
  await noSidewaysScroll();
  await page.evaluate(() => { window.print = () => {}; });
  await page.getByRole('button', { name: 'Print the labels' }).click();
  await page.emulateMedia({ media: 'print' });
  assert.ok(await page.locator('.bottles .tag').first().isVisible());
  assert.ok(!await page.locator('main').isVisible());
  await page.emulateMedia({ media: 'screen' });
});

test('a strip becomes a water with ranges, kept as measured', async () => {
  await page.goto(`${daemon.base}/shelf.html`);
  await page.locator('#water-tool > summary').click();
  const tool = page.locator('#water-tool');
  const numbers = tool.locator('input[inputmode]');
  await tool.getByLabel('a test strip').check();
  for (const [i, screen] of [['180', '120', '250'], ['120', '80', '180'], [], [], ['40']].entries()) { // the pH and nitrate pads are left empty
    await tool.getByRole('button', { name: 'Next' }).click();
    await tool.getByText(`Question ${i + 2} of 6`).waitFor();
    assert.ok(await numbers.count() <= 3, 'one question a screen');
    for (const [n, value] of screen.entries()) await numbers.nth(n).fill(value);
  }
  await tool.getByRole('button', { name: 'Back' }).click();
  await tool.getByRole('button', { name: 'Back' }).click();
  await tool.getByRole('button', { name: 'Back' }).click();
  assert.equal(await numbers.first().inputValue(), '120'); // what was typed stays
  for (let turn = 0; turn < 3; turn++) await tool.getByRole('button', { name: 'Next' }).click();
  await tool.getByRole('button', { name: 'Work it out' }).click();
  await page.getByText('Blend: 67 parts').waitFor(); // 1 - 40/120 of demineralised water
  await noSidewaysScroll();
  await page.locator('#water-tool').getByLabel(/name/i).fill('Tap by strip');
  await page.getByRole('button', { name: 'Save this water' }).click();
  await page.getByText('Tap by strip is on the shelf.').waitFor();
  const kept = (await ask(page, 'waters')).body.items.find((one) => one.name === 'Tap by strip');
  assert.deepEqual([kept.method, kept.hardness_mg_caco3_l, kept.alkalinity_mg_caco3_l, kept.ca_mg_l], ['strips', 180, 120, null]);
});

test('with an EC meter alone there is one number to type, and it must be typed', async () => {
  await page.reload();
  await page.locator('#water-tool > summary').click();
  const tool = page.locator('#water-tool');
  await tool.getByLabel('only an EC meter').check();
  await tool.getByRole('button', { name: 'Next' }).click();
  await tool.getByRole('button', { name: 'Next' }).click();
  await tool.locator('.fault:visible').waitFor();
  await tool.locator('input[inputmode]').fill('0,45');
  await tool.getByRole('button', { name: 'Next' }).click();
  await tool.getByRole('button', { name: 'Work it out' }).click();
  await tool.getByText('From the EC alone').waitFor();
});

test('a meter is converted and checked against potassium chloride', async () => {
  await page.locator('#meter-tool > summary').click();
  await page.getByLabel('The meter shows').fill('1000');
  await page.getByRole('button', { name: 'Convert' }).click();
  await page.locator('#meter-tool td', { hasText: '2000' }).waitFor(); // uS/cm of 1000 ppm, factor 0.5
  await page.getByLabel('Which meter?').fill('pen in the shed');
  await page.getByLabel('It shows').fill('1,38');
  await page.getByRole('button', { name: 'Log the check' }).click();
  await page.getByText(/pen in the shed: 2.3 % below the 1.413/).waitFor();
  assert.equal((await ask(page, 'meters')).body.items.length, 1);
});

test('the tank page draws the computed course, and nothing where the fill is unknown', async () => {
  const tanks = (await ask(page, 'tanks')).body.items;
  const known = [], unknown = [];
  for (const tank of tanks) ((await ask(page, `tanks/${tank.id}/drift`)).status === 200 ? known : unknown).push(tank);
  await page.goto(`${daemon.base}/tank.html?id=${known[0].id}`);
  await page.locator('#charts').scrollIntoViewIfNeeded();
  await page.locator('#chart-ec .middle').waitFor({ state: 'attached' });
  await page.getByText(/Dashed: as computed.*EC goes from/).waitFor();
  await page.getByText(/Its level is set by what was measured.*mg\/L less alkalinity/).waitFor();
  await page.goto(`${daemon.base}/tank.html?id=${unknown[0].id}`);
  await page.locator('#charts').scrollIntoViewIfNeeded();
  await page.locator('#chart-ec figure').waitFor();
  assert.equal(await page.locator('#chart-ec .middle').count(), 0);
  assert.deepEqual(page.complaints.filter((text) => !/404/.test(text)), []);
});
