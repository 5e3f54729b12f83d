// The lid from above: which cup is in which state, and what can be done with it. The garden is the invented one.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { ask, launch, openPhone, startDaemon } from './harness.mjs';

let browser, daemon, page, tank, other;
const state = async (id) => (await ask(page, `tanks/${id}`)).body.state;

before(async () => {
  browser = await launch();
  daemon = await startDaemon(['--demo']);
  page = await openPhone(browser, daemon);
  await page.goto(`${daemon.base}/index.html`);
  const tanks = (await ask(page, 'tanks')).body.items;
  tank = tanks.find((one) => one.name === 'North 2').id;
  other = tanks.find((one) => one.name === 'North 5').id;
  await page.goto(`${daemon.base}/tank.html?id=${tank}`);
  await page.locator('.lidview').waitFor();
});
after(async () => {
  await browser?.close();
  await daemon?.stop();
});

test('the lid keeps its proportion, each cup a target of 44 px with its number', async () => {
  const found = await page.locator('.lidview').evaluate((lid) => {
    const edge = lid.querySelector('.lidedge').getBoundingClientRect();
    return { ratio: edge.width / edge.height, cups: [...lid.querySelectorAll('.cup')].map((cup) => {
      const touch = cup.querySelector('.touch').getBoundingClientRect(), hole = cup.querySelector('.hole').getBoundingClientRect();
      return { wide: touch.width, x: (hole.x + hole.width / 2 - edge.x) / edge.width, y: (hole.y + hole.height / 2 - edge.y) / edge.height, says: cup.getAttribute('aria-label') };
    }) };
  });
  const vessel = (await ask(page, `tanks/${tank}`)).body.vessel;
  assert.ok(Math.abs(found.ratio - vessel.lid.lid_mm[0] / vessel.lid.lid_mm[1]) < 0.02);
  assert.equal(found.cups.length, vessel.cups.length);
  found.cups.forEach((cup, i) => {
    assert.ok(cup.wide > 43.99, `${cup.wide} px`);
    assert.ok(Math.abs(cup.x - vessel.cups[i].x_mm / vessel.lid.lid_mm[0]) < 0.02 && Math.abs(cup.y - vessel.cups[i].y_mm / vessel.lid.lid_mm[1]) < 0.02, `cup ${i + 1}`);
    assert.match(cup.says, new RegExp(`^Cup ${i + 1}: .+, (growing|ready|cut .+)$`));
  });
});

test('a cup tells its history: moved in from another tank, with its age', async () => {
  await page.locator('.lidview .cup').nth(2).click();
  await page.locator('dialog').getByText('Leaf lettuce moved in').waitFor();
  await page.locator('dialog').getByText('Lost: Romaine lettuce (root rot)').waitFor();
  await page.locator('dialog').getByText(/in a cup for 20 days/).waitFor();
  await page.keyboard.press('Escape');
});

test('a plant is lost by the keyboard alone, and taken back', async () => {
  await page.locator('.lidview .cup').nth(4).focus();
  await page.keyboard.press('Enter');
  await page.getByRole('button', { name: 'Lost plants' }).press('Enter');
  await page.getByLabel('Lost to').selectOption('pests');
  await page.getByRole('button', { name: 'Log the loss' }).press('Enter');
  await page.locator('.lidview .cup.lost').waitFor();
  assert.equal((await state(tank)).cups[4].lost_to, 'pests');
  await page.locator('.toast').getByRole('button').click();
  await page.locator('.lidview .cup.lost').waitFor({ state: 'detached' });
  assert.equal((await state(tank)).cups[4].crop, 'lettuce-romaine');
});

test('planting into an occupied cup asks first', async () => {
  await page.locator('.lidview .cup').nth(0).click();
  await page.getByRole('button', { name: 'Replace it' }).click();
  await page.getByLabel('What do you plant?').selectOption('basil');
  await page.getByRole('button', { name: 'Log the planting' }).click();
  await page.getByText('Something hangs there').waitFor();
  assert.equal((await state(tank)).cups[0].crop, 'lettuce-romaine');
  await page.getByLabel('Yes: what hung in cup 1 was taken out.').check();
  await page.getByRole('button', { name: 'Log the planting' }).click();
  await page.locator('dialog').waitFor({ state: 'detached' });
  assert.equal((await state(tank)).cups[0].crop, 'basil');
  assert.ok(!(await state(tank)).flags.some((flag) => flag.flag === 'cup_taken'));
});

test('a plant moves to another tank and comes back with the move', async () => {
  const before_ = (await state(other)).cups[11];
  assert.equal(before_.state, 'free');
  await page.locator('.lidview .cup').nth(1).click();
  await page.getByRole('button', { name: 'Move plants' }).click();
  await page.getByLabel('Move to').selectOption(other);
  await page.locator('dialog label', { hasText: /^12$/ }).last().click();
  await page.getByRole('button', { name: 'Log the move' }).click();
  await page.locator('dialog').waitFor({ state: 'detached' });
  const moved = (await state(other)).cups[11];
  assert.equal(moved.crop, 'lettuce-romaine');
  assert.equal((await state(tank)).cups[1].state, 'free');
  await page.locator('#history li', { hasText: 'Move: cup 2, to another tank, cup 12' }).getByRole('button', { name: 'Take back' }).click();
  await page.locator('.lidview .cup.free').waitFor({ state: 'detached' });
  assert.equal((await state(other)).cups[11].state, 'free');
  assert.equal((await state(tank)).cups[1].crop, 'lettuce-romaine');
});

test('nothing was complained of', () => assert.deepEqual(page.complaints, []));
