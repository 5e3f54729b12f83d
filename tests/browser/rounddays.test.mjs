// Planned rounds by the pages: a keeper sets the weekdays, Today says that one is due until it was walked. The garden is invented.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { ask, launch, openPhone, startDaemon } from './harness.mjs';

let browser, daemon, page, area, weekday;
const DAYS = ['Monday', 'Tuesday', 'Wednesday', 'Thursday', 'Friday', 'Saturday', 'Sunday'];

before(async () => {
  browser = await launch();
  daemon = await startDaemon(['--demo']);
  page = await openPhone(browser, daemon);
  await page.goto(`${daemon.base}/index.html`);
  const { items, date } = (await ask(page, 'today')).body;
  const name = items.find((item) => item.area && item.reason !== 'empty').area;
  area = (await ask(page, 'areas')).body.items.find((one) => one.name === name);
  weekday = (new Date(`${date}T12:00:00Z`).getUTCDay() + 6) % 7;
});
after(async () => {
  await browser?.close();
  await daemon?.stop();
});

const open = async (address) => {
  await page.goto(`${daemon.base}/${address}`);
  await page.waitForFunction(() => document.getElementById('status').textContent === '');
};
const button = (name) => page.getByRole('button', { name, exact: true });
const due = () => page.locator('#rounds-due li');

test('a keeper sets the days of an area, by keyboard alone', async () => {
  await open('garden.html');
  await button(`Round days: ${area.name}`).focus();
  await page.keyboard.press('Enter');
  const dialog = page.getByRole('dialog');
  await dialog.getByRole('checkbox', { name: DAYS[weekday], exact: true }).focus();
  await page.keyboard.press('Space');
  await dialog.getByRole('checkbox', { name: DAYS[(weekday + 3) % 7], exact: true }).focus();
  await page.keyboard.press('Space');
  await page.keyboard.press('Enter');
  await dialog.waitFor({ state: 'detached' });
  const short = [weekday, (weekday + 3) % 7].sort().map((one) => DAYS[one].slice(0, 3)).join(', ');
  await page.locator('#areas li', { hasText: area.name }).getByText(`Round days: ${short}`).waitFor();
  await page.waitForTimeout(700);
  assert.equal(await page.evaluate(() => document.activeElement.getAttribute('aria-label')), `Round days: ${area.name}`);
});

test('Today says that it is due, puts it off for everybody, and takes that back', async () => {
  await open('index.html');
  const { rounds } = (await ask(page, 'today')).body;
  assert.equal(rounds.length, 1);
  assert.ok(rounds[0].tanks > 0);
  await due().getByText(new RegExp(`Round day: ${area.name}\\. ${rounds[0].tanks} tanks? there wants? a hand\\.`)).waitFor();
  await due().getByRole('button', { name: `Not today: Round: ${area.name}` }).dblclick();
  await page.locator('#off-list').getByText(/until tomorrow\./).waitFor();
  assert.equal(await due().count(), 0);
  await page.locator('#toast').getByRole('button', { name: 'Undo' }).click();
  await due().first().waitFor();
  assert.equal((await ask(page, 'today')).body.rounds_put_off.length, 0);
  await due().getByRole('button', { name: `Not today: Round: ${area.name}` }).click();
  const before_ = (await ask(page, 'today')).body.rounds_put_off[0];
  await page.locator('#off-list').getByRole('button', { name: `For a week: Round: ${area.name}` }).click();
  await page.waitForFunction(() => !/tomorrow/.test(document.getElementById('off-list').textContent));
  const week = (await ask(page, 'today')).body.rounds_put_off;
  assert.deepEqual([week.length, week[0].day, Date.parse(week[0].until) - Date.parse(before_.until)], [1, before_.day, 6 * 86400000]);
  await page.locator('#off-list').getByRole('button', { name: `Show it again: Round: ${area.name}` }).click();
  await due().first().waitFor();
  assert.equal((await ask(page, 'today')).body.rounds_put_off.length, 0);
});

test('its button leads to the round of that area, which ends the reminder once it was walked', async () => {
  await open('index.html');
  await due().getByRole('link', { name: 'Walk it' }).click();
  await page.waitForURL(/round\.html\?area=/);
  assert.equal(await page.getByLabel('Where', { exact: false }).first().inputValue(), area.id);
  await button('Make a round').click();
  await page.waitForURL(/round\.html\?id=/);
  const round = new URL(page.url()).searchParams.get('id');
  assert.equal((await ask(page, `rounds/${round}`)).body.area, area.id);
  await open('index.html');
  await due().getByText(/It is under way\./).waitFor();
  assert.equal(new URL(await due().getByRole('link', { name: 'Go along' }).evaluate((link) => link.href)).searchParams.get('id'), round);
  for (const { stop } of (await ask(page, `rounds/${round}`)).body.stops)
    assert.equal((await ask(page, `rounds/${round}/acts`, 'POST', { id: `01990000-0000-7000-8000-${String(stop).padStart(12, '0')}`, what: 'done', stop })).status, 200);
  await page.waitForFunction(() => document.getElementById('rounds-due').hidden, null, { timeout: 10000 }); // by asking again, with nothing touched
  assert.deepEqual((await ask(page, 'today')).body.rounds, []);
});

test('the whole garden has days of its own; no day is none', async () => {
  await open('garden.html');
  await button('Round days of the whole garden').click();
  await page.getByRole('dialog').getByRole('checkbox', { name: DAYS[weekday], exact: true }).check();
  await page.getByRole('dialog').getByRole('button', { name: 'Save' }).dblclick();
  await page.getByText(`Round days of the whole garden: ${DAYS[weekday].slice(0, 3)}`).waitFor();
  await open('index.html');
  await due().getByText(/Round day: the whole garden\./).waitFor();
  await open('garden.html');
  await button('Round days of the whole garden').click();
  await page.getByRole('dialog').getByRole('checkbox', { name: DAYS[weekday], exact: true }).uncheck();
  await page.getByRole('dialog').getByRole('button', { name: 'Save' }).click();
  await page.waitForFunction(() => document.getElementById('round-days').textContent === '');
  assert.equal((await ask(page, 'round-days')).body.items.filter((one) => one.area === null).length, 0);
});

test('it fits a narrow phone, speaks German, and what is touched is large enough', async () => {
  assert.equal((await ask(page, 'round-days/garden', 'PATCH', { weekdays: DAYS.map((day) => day.toLowerCase()) })).status, 200);
  await ask(page, 'garden', 'PATCH', { language: 'de' });
  await page.setViewportSize({ width: 320, height: 640 });
  await open('index.html');
  await due().getByText(/Tag des Rundgangs: der ganze Garten\./).waitFor();
  const sizes = await due().locator('button, a').evaluateAll((all) => all.map((one) => one.getBoundingClientRect()).map(({ width, height }) => Math.min(width, height)));
  assert.ok(sizes.length > 1 && sizes.every((size) => size >= 44), `${sizes}`);
  assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= 320));
  await open('garden.html');
  await page.getByText(/Rundgangstage des ganzen Gartens: Mo, Di/).waitFor();
  assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= 320));
  await page.getByRole('button', { name: 'Rundgangstage des ganzen Gartens' }).click();
  await page.getByRole('checkbox', { name: 'Donnerstag' }).waitFor();
  assert.ok(await page.getByRole('dialog').evaluate((dialog) => dialog.scrollWidth <= dialog.clientWidth));
  assert.deepEqual(page.complaints, []);
});
