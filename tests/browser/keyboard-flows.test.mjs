// By a keyboard alone: plants that move and are lost, a round, many readings, a table brought in, crops, a clean-out, a kept plan.
// What has the focus is seen all the way, and after a form or a redrawn list the focus is where one goes on. WCAG 2.2 (2023), 2.1.1,
// 2.4.3, 2.4.7 and 2.4.11. The garden is the invented one.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { ask, launch, openPhone, startDaemon } from './harness.mjs';
import { hands } from './keys.mjs';

let browser, daemon, page, tanks;
let reach, press, type, choose, isOn, isSeen, inside, button, field;

before(async () => {
  browser = await launch();
  daemon = await startDaemon(['--demo']);
  page = await openPhone(browser, daemon, { hasTouch: false, isMobile: false, reducedMotion: 'reduce', viewport: { width: 900, height: 700 } });
  ({ reach, press, type, choose, isOn, isSeen, inside, button, field } = hands(page));
  await page.goto(`${daemon.base}/index.html`);
  tanks = (await ask(page, 'tanks')).body.items;
});
after(async () => {
  await browser?.close();
  await daemon?.stop();
});

const open = async (address) => {
  await page.goto(`${daemon.base}/${address}`);
  await page.waitForFunction(() => document.getElementById('status')?.textContent === '');
};
const idOf = (name) => tanks.find((one) => one.name === name).id;
const cups = async (name) => (await ask(page, `tanks/${idOf(name)}`)).body.state.cups;
const latest = async (name) => (await ask(page, `tanks/${idOf(name)}/entries?limit=1`)).body.items[0];
const closed = () => inside().waitFor({ state: 'detached' });
const cup = (number) => page.locator('.lidview .cup').nth(number - 1);

test('a plant is lost, and the focus is on its cup again', async () => {
  await open(`tank.html?id=${idOf('North 2')}`);
  await press(cup(5));
  await inside().getByText('What happened to this cup').waitFor();
  await press(button('Lost plants', inside()));
  await inside().getByLabel('Lost to').waitFor();
  await choose(field('Lost to', inside()), 'pests');
  await press(button('Log the loss', inside()));
  await closed();
  assert.equal((await cups('North 2'))[4].lost_to, 'pests');
  await isOn(/^Cup 5: /, 'after the form');
  await page.locator('#toast button').waitFor();
  await page.keyboard.press('Control+Z');
  await page.getByText('Taken back.').waitFor();
  await isOn(/^Cup 5: Romaine/, 'after it was taken back');
});

test('Escape from a cup leads back to the cup', async () => {
  await reach(cup(4));
  await page.keyboard.press('Enter');
  await inside().waitFor();
  await page.keyboard.press('Escape');
  await closed();
  await isOn(/^Cup 4: /);
});

test('a plant moves to another cup', async () => {
  await open(`tank.html?id=${idOf('North 5')}`);
  const before_ = await cups('North 5');
  const from = before_.find((one) => one.crop).cup, to = before_.find((one) => !one.crop).cup;
  await press(cup(from), 'Space');
  await press(button('Move plants', inside()));
  await inside().getByText('To which cups').waitFor();
  assert.ok(await inside().getByRole('group', { name: 'Plants to move, by cup' }).getByLabel(String(from), { exact: true }).isChecked());
  await press(inside().getByRole('group', { name: 'To which cups' }).getByLabel(String(to), { exact: true }), 'Space');
  await press(button('Log the move', inside()));
  await closed();
  const moved = await cups('North 5');
  assert.deepEqual([moved[from - 1].crop, moved[to - 1].crop], [null, before_[from - 1].crop]);
  await isOn(new RegExp(`^Cup ${from}: `));
});

test('the acts behind More lead back to More', async () => {
  await press(page.locator('#daily summary'));
  await press(button('Write a note', page.locator('#daily')));
  await page.keyboard.type('roots are white');
  await press(button('Keep the note', inside()));
  await closed();
  await isOn('More');
  await page.keyboard.press('Enter');
  await page.keyboard.press('Escape');
  assert.ok(await page.locator('#daily .up').evaluate((node) => !node.open), 'Escape shuts the menu');
  await isOn('More');
});

test('an entry of the history is changed, and the focus stays in its row', async () => {
  const row = page.locator('#history li:not(.gone) button').first();
  await reach(row);
  const says = await row.getAttribute('aria-label');
  await page.keyboard.press('Enter');
  await inside().waitFor();
  await page.keyboard.press('Escape');
  await closed();
  await isOn(says);
});

test('a matter put off gives its place to the next', async () => {
  await open('index.html');
  const off = page.locator('#due .quiet');
  const names = await off.evaluateAll((nodes) => nodes.map((node) => node.getAttribute('aria-label')));
  await press(off.first());
  await page.locator('#off-list li').first().waitFor();
  await isOn(names[1]);
  await press(page.locator('#off-list button').last());
  await page.locator('#put-off').waitFor({ state: 'hidden' });
  await isSeen('after the last row of a list is gone');
});

test('a round is made, walked, left and taken up again', async () => {
  await open('round.html');
  const made = page.waitForURL(/round\.html\?id=/);
  await press(button('Make a round'));
  await made;
  await button('Start walking').waitFor();
  const address = page.url();
  await press(button('Start walking'));
  const head = () => page.evaluate(() => (document.activeElement.localName === 'h2' ? document.activeElement.textContent : ''));
  const isAt = (name) => page.waitForFunction((other) => document.activeElement.localName === 'h2' && document.activeElement.textContent !== other && document.querySelector('#view .daily'), name);
  await isAt('');
  const first = await head();
  await isSeen('the first stop');
  await press(button('Skip'));
  await isAt(first);
  const second = await head();
  await reach(page.getByRole('link', { name: 'Today', exact: true }), { back: true });
  await page.goto(address); // come back later
  await isAt('');
  assert.equal(await head(), second, 'goes on where one was');
  await press(button('Nothing to do here'));
  await isAt(second);
  await press(button('Leave it to others'));
  await button('End the round').waitFor();
  await isSeen('what is left');
  await press(button('End the round'));
  await page.getByRole('heading', { name: /^Over since/ }).waitFor();
  await isSeen('the end');
});

test('many readings are typed down a column and across', async () => {
  await open('batch.html');
  const cells = page.locator('#rows input');
  await cells.first().waitFor();
  await press(field('EC'), 'Space');
  await isOn('EC');
  await reach(cells.first());
  await page.keyboard.type('201');
  await page.keyboard.press('Enter');
  await isSeen('the second row');
  await page.keyboard.type('202');
  await page.keyboard.press('Tab');
  await page.keyboard.type('1,5');
  await isSeen('across');
  await page.keyboard.press('ArrowUp');
  await page.keyboard.type('1,4');
  await press(button('Log them'));
  await page.getByText('2 readings logged.').waitFor();
  await isOn('Log them');
  await press(button('Undo', page.locator('#toast')));
  await page.locator('#rows tr', { hasText: 'Taken back' }).nth(1).waitFor();
  await isSeen('after they were taken back');
});

test('a table is looked at and brought in', async () => {
  await open('import.html');
  const rows = 'Datum;Wasserstand\r\n23.04.2025 07:30;21,5\r\n24.04.2025 07:30;21,0\r\n';
  const file = field('Table (CSV)');
  const chooser = page.waitForEvent('filechooser'); // the system's own window, which has keys of its own
  await reach(file);
  await page.keyboard.press('Enter');
  await (await chooser).setFiles({ name: 'old.csv', mimeType: 'text/csv', buffer: Buffer.from(rows) });
  await field('Wasserstand').waitFor();
  await isOn('Table (CSV)');
  await choose(field('Lengths are in'), 'cm');
  await choose(field('Tank of the whole table'), 'North 2');
  await press(button('Look at all rows'));
  await page.getByText('2 rows can be brought in.').waitFor();
  await isOn('Bring in');
  await page.keyboard.press('Enter');
  await page.locator('#table-said', { hasText: 'Brought in: 2 of 2' }).waitFor();
  await isSeen('after it was brought in');
});

test('a crop\'s figure is changed, and an own cultivar added', async () => {
  await open('shelf.html');
  await press(page.locator('#crop-tool > summary'));
  const row = (name) => page.locator('#crop-list > li').filter({ has: page.locator('summary', { hasText: new RegExp(`^${name}$`) }) });
  await press(row('Rocket').locator('summary'));
  await press(row('Rocket').getByRole('button'));
  await type(field('Weight of a plant at the first harvest, from', inside()), '35');
  await page.keyboard.press('Enter');
  await closed();
  await row('Rocket').locator('small', { hasText: 'with figures of your own' }).waitFor();
  await isOn('Change: Rocket');
  await press(button('Add a crop or a cultivar'));
  await page.keyboard.type('Windowsill mint'); // the first field has the focus
  await choose(field('Most like', inside()), 'Mint');
  await press(button('Save', inside()));
  await closed();
  await row('Windowsill mint').waitFor();
  await isOn('Add a crop or a cultivar');
});

test('the walking order is changed by arrows of its own', async () => {
  await open('garden.html');
  const order = page.getByRole('button', { name: /^Walking order of/ }).first();
  const says = await order.getAttribute('aria-label');
  await press(order);
  await inside().locator('.order li').first().waitFor();
  const later = inside().getByRole('button', { name: /one later$/ }).first();
  const name = await later.getAttribute('aria-label');
  await press(later);
  await isOn(name);
  await press(button('Save', inside()));
  await closed();
  await isOn(says);
});

test('a tank is cleaned out', async () => {
  const tank = tanks.find((one) => one.drawing?.waterline_mm && one.name !== 'North 2' && one.name !== 'North 5');
  await open(`tank.html?id=${tank.id}`);
  await press(page.locator('#daily summary'));
  await press(button('Clean out', page.locator('#daily')));
  await press(field('emptied', inside()), 'Space');
  await choose(field('Where the solution went', inside()), 'thinly onto planted soil');
  await press(button('It is empty now', inside()));
  await closed();
  assert.deepEqual([(await latest(tank.name)).kind, (await latest(tank.name)).went_to], ['clean-out', 'planted_soil']);
  await isSeen('after the clean-out');
});

test('a season is worked out, kept, ended and taken up again', async () => {
  await open('season.html');
  await press(button('Work it out'));
  await page.locator('#found svg').waitFor({ timeout: 60000 });
  await isOn('Work it out');
  await press(button('Keep this plan'));
  await page.keyboard.type('Salads');
  await page.keyboard.press('Enter');
  await closed();
  await page.locator('#shown svg').waitFor();
  await isSeen('after it was kept');
  await press(button('End this plan'));
  await button('Take it up again').waitFor();
  await isOn('Take it up again');
  await page.keyboard.press('Enter');
  await isOn('End this plan');
  await press(page.locator('#kept li', { hasText: 'Salads' }).getByRole('button').first());
  await isOn('Salads');
});

test('nothing complained on the way', () => assert.deepEqual(page.complaints, []));
