// The whole first day of a tank on a phone: paired by the printed link, measured, mixed, filled,
// planted, read, topped up, harvested. All measures and names are invented.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { ask, firstLink, launch, openPhone, startDaemon } from './harness.mjs';

let browser, daemon, page;

before(async () => {
  browser = await launch();
  daemon = await startDaemon();
  page = await openPhone(browser, daemon);
});
after(async () => {
  await browser?.close();
  await daemon?.stop();
});

const open = async (address) => {
  await page.goto(`${daemon.base}/${address}`);
  await page.waitForFunction(() => document.getElementById('status')?.textContent.trim() !== 'Loading …');
};
const field = (label) => page.getByLabel(label, { exact: true });
const button = (name) => page.getByRole('button', { name, exact: true });
const tank = async () => (await ask(page, `tanks/${new URL(page.url()).searchParams.get('id')}`)).body;
const pressed = async (name) => {
  await button(name).click();
  await page.waitForTimeout(50);
};

test('the printed link makes this phone a keeper, once', async () => {
  const link = await firstLink(daemon);
  await page.goto(link);
  await field('What do you call this device?').fill('Test phone');
  await button('Pair it').click();
  await page.waitForURL(/index\.html$/);
  await page.getByText('Your first tank').waitFor();
  const { body } = await ask(page, 'garden');
  assert.equal(body.me.role, 'keeper');

  const stranger = await openPhone(browser, daemon);
  await stranger.goto(link);
  await stranger.getByLabel('What do you call this device?').fill('Second phone');
  await stranger.getByRole('button', { name: 'Pair it' }).click();
  await stranger.getByText('was used already').waitFor();
  await stranger.context().close();
});

test('the garden learns its place', async () => {
  await open('garden.html');
  await field('Name of the garden').fill('Heron Yard (invented)');
  await field('Latitude, degrees').fill('47,5');
  await field('Height above the sea, m').fill('300');
  await field('Time zone').fill('Europe/Berlin');
  await Promise.all([page.waitForEvent('load'), button('Save').click()]);
  await page.waitForFunction(() => document.getElementById('status')?.textContent === '');
  const { body } = await ask(page, 'garden');
  assert.equal(body.latitude_deg, 47.5);
  assert.equal(body.time_zone, 'Europe/Berlin');
});

test('a tank is made from its measures', async () => {
  await open('plan.html');
  await field('What do you call this kind of vessel?').fill('Grey tote');
  await pressed('Next');
  const measures = { 'Length at the rim': '720', 'Width at the rim': '480', 'Length at the floor': '640', 'Width at the floor': '400', 'Radius of the corners': '60', 'Height, floor to underside of the lid': '330,0' };
  for (const [label, value] of Object.entries(measures)) await field(label).fill(value);
  await page.getByText(/Full to the brim it would hold/).waitFor();
  await pressed('Next');
  await page.getByText(/holes, at least/).waitFor();
  await pressed('Next');
  await page.getByText(/Never stack, carry or tilt it/).waitFor();
  await pressed('Next');
  await page.locator('#carries').locator('svg').waitFor(); // how long one fill lasts
  await pressed('Next');
  await field('Name of the tank').fill('By the door');
  await button('Make the tank').dblclick();
  await page.getByText('By the door is there').waitFor();
  const { body } = await ask(page, 'tanks');
  assert.equal(body.items.length, 1, 'a double tap makes one tank');
});

test('its lid is printed at true size', async () => {
  await page.getByRole('link', { name: '1. Drill the lid' }).click();
  await page.getByText('Hole centres, measured from two edges').waitFor();
  for (const [paper, width] of [['A4', 190], ['Letter', 195.9]]) {
    await page.getByLabel(paper, { exact: true }).check();
    const sheets = page.locator('.tile');
    assert.ok(await sheets.count() > 1);
    assert.equal(await sheets.first().getAttribute('width'), `${width}mm`);
    await page.emulateMedia({ media: 'print' });
    const { bar, sheet } = await page.evaluate(() => {
      const path = document.querySelector('.tile .check');
      return { bar: path.getBoundingClientRect().width, sheet: document.documentElement.scrollWidth };
    });
    await page.emulateMedia({ media: 'screen' });
    assert.ok(Math.abs(bar - 100 * 96 / 25.4) < 1, `the check bar is ${bar} px of 1/96 in`); // 96 px an inch: CSS Values and Units Level 3
    assert.ok(sheet > 0);
  }
  await page.goBack();
});

test('its first fill is weighed salt by salt and logged', async () => {
  const { body: tanks } = await ask(page, 'tanks');
  await open(`mix.html?tank=${tanks.items[0].id}`);
  await button('Work out the grams').click();
  await page.getByText('Weigh in this order').waitFor();
  await button('Begin at the scale').click();
  await page.locator('.grams').waitFor();

  await button('Hand over to another phone').click();
  const link = await page.locator('#hand-link').inputValue();
  const other = await page.context().newPage();
  await other.goto(link);
  await other.locator('.grams').waitFor();
  assert.equal(await other.locator('.grams').innerText(), await page.locator('.grams').innerText());
  assert.equal(new URL(other.url()).hash, '', 'the sheet leaves the address bar');
  await other.close();

  await page.reload(); // a closed phone
  await button('Carry on').click();
  await page.locator('.grams').waitFor(); // with what others did since
  for (let turn = 0; turn < 20 && await page.locator('#sheet').isVisible(); turn++) await pressed(await page.locator('#sheet-next').textContent());
  await page.getByText('What went in').waitFor();
  await field('EC at 25 °C').fill('1,52');
  await field('pH').fill('6.4');
  await page.locator('#compare').getByText(/expected/).first().waitFor(); // as computed, or what would explain it
  await button('Log the fill').click();
  await page.waitForURL(/tank\.html\?id=/);
  const { state, recent } = await tank();
  assert.equal(state.phase, 'filled');
  assert.equal(state.ec_ms_cm, 1.52);
  assert.ok(recent[0].weighed.length >= 2);
});

test('plants are hung in', async () => {
  await open(page.url().replace(`${daemon.base}/`, ''));
  await page.locator('summary', { hasText: 'More' }).last().click();
  await page.locator('#daily').getByRole('button', { name: 'Plant', exact: true }).click();
  await button('Log the planting').click();
  await page.getByText('Planting logged.').waitFor();
  const { state } = await tank();
  assert.ok(state.cups.length > 0 && state.cups.every((cup) => cup.crop));
});

test('a reading takes three taps and one number, is echoed with its meaning, and can be taken back', async () => {
  const before_ = (await tank()).state.waterline_mm;
  await button('Reading').tap(); // 1
  const number = page.locator('dialog input.big');
  await number.fill('280,5');
  await page.getByText(/^280\.5.mm = \d+(\.\d)?.L, \d+(\.\d)?.L less than today$/).waitFor();
  await button('Log it').tap(); // 2
  await page.getByText('Reading logged.').waitFor();
  assert.equal((await tank()).state.waterline_mm, 280.5);
  await button('Undo').tap();
  await page.getByText('Taken back.').waitFor();
  assert.equal((await tank()).state.waterline_mm, before_);
});

test('a number that could mean two things is refused', async () => {
  await button('Reading').tap();
  await page.locator('dialog input.big').fill('1,234.5');
  await page.getByText(/can mean two things/).waitFor();
  await button('Log it').tap();
  assert.ok(await page.locator('dialog').isVisible());
  await button('Cancel').tap();
});

test('the gap under the lid is a reading, too', async () => {
  await button('Reading').tap();
  await page.getByLabel('gap, down from the lid').check();
  await page.locator('dialog input.big').fill('60');
  await button('Log it').tap();
  await page.getByText('Reading logged.').waitFor();
  assert.equal((await tank()).state.waterline_mm, 270);
});

test('the page says when it runs low', async () => {
  await page.getByText('Runs low', { exact: true }).waitFor();
  assert.ok((await tank()).outlook.low_on);
  await page.locator('#charts').scrollIntoViewIfNeeded();
  await page.locator('#chart-water svg').click();
  await page.locator('#chart-water output').getByText(/: \d+.mm$/).waitFor(); // a touch tells the nearest reading
});

test('a top-up is logged', async () => {
  const { state } = await tank();
  await button('Top up').tap();
  await field('How much went in?').fill('2,5');
  await button('Log the top-up').tap();
  await page.getByText('Top-up logged.').waitFor();
  const { state: now } = await tank();
  assert.ok(Math.abs(now.volume_l - state.volume_l - 2.5) < 0.3, `${state.volume_l} became ${now.volume_l}`);
});

test('a mistake is corrected, and the old entry stays struck through', async () => {
  await page.locator('#history li').first().getByRole('button').press('Enter'); // by keyboard alone
  await field('How much went in?').fill('3');
  await page.keyboard.press('Enter');
  await page.locator('#history .gone').first().waitFor();
});

test('the harvest is weighed and stands in the record', async () => {
  await page.locator('summary', { hasText: 'More' }).last().click();
  await page.locator('#daily').getByRole('button', { name: 'Harvest', exact: true }).click();
  await field('Weight').fill('412');
  await button('Log the harvest').click();
  await page.getByText('Harvest logged.').waitFor();
  await open('harvests.html');
  await page.getByText(/412.g/).first().waitFor();
});

test('nothing complained on the way', () => {
  // The second use of the link is refused on purpose, on another page.
  assert.deepEqual(page.complaints, []);
});
