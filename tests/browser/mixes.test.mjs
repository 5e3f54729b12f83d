// One mix, two phones: the second carries on where the first stopped, and both at once lose nothing. All of it is invented.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { ask, firstLink, launch, openPhone, startDaemon } from './harness.mjs';

let browser, daemon, first, second, tank;

const VESSEL = { id: '01990000-0000-7000-8000-00000000000a', name: 'Bucket', shape: { shape: 'round', floor_mm: 240, rim_mm: 290, height_mm: 350 },
  cups: [{ x_mm: 145, y_mm: 145 }], cup: { height_mm: 76, top_mm: 76, bottom_mm: 51, medium_fraction: 0.5 }, start_mm: 312 };

before(async () => {
  browser = await launch();
  daemon = await startDaemon();
  first = await openPhone(browser, daemon);
  await first.goto(await firstLink(daemon));
  await first.getByRole('button', { name: 'Pair it' }).click();
  await first.waitForURL(/index\.html$/);
  await ask(first, 'vessels', 'POST', VESSEL);
  tank = (await ask(first, 'tanks', 'POST', { name: 'Bucket 1', area: null, vessel: VESSEL.id })).body;
  const invite = (await ask(first, 'invites', 'POST', { name: 'Odo', role: 'grower' })).body;
  second = await openPhone(browser, daemon);
  await second.goto(`${daemon.base}/${invite.link.split('/').slice(3).join('/')}`);
  await second.getByRole('button', { name: 'Pair it' }).click();
  await second.waitForURL(/index\.html$/);
});
after(async () => {
  await browser?.close();
  await daemon?.stop();
});

const button = (page, name) => page.getByRole('button', { name, exact: true });
const title = (page) => page.locator('#sheet-title').textContent();
const openMix = (page) => page.goto(`${daemon.base}/mix.html?tank=${tank.id}`);
const mixes = async () => (await ask(first, 'mixes')).body.items;
const mix = async (id) => (await ask(first, `mixes/${id}`)).body;
const forward = (page) => page.locator('#sheet-next').click();

async function until(what, holds) {
  for (let turn = 0; turn < 100; turn++) {
    if (await holds()) return;
    await new Promise((resolve) => setTimeout(resolve, 100));
  }
  assert.fail(`never came: ${what}`);
}

async function begin(page) {
  await openMix(page);
  await button(page, 'Work out the grams').click();
  await page.getByText('Weigh in this order').waitFor();
  await button(page, 'Begin at the scale').click();
  await page.locator('.grams').waitFor();
}

test('another member carries on where the first stopped', async () => {
  await begin(first);
  await first.locator('#sheet-body input').fill('12.34');
  await forward(first);
  await first.waitForFunction(() => /2/.test(document.getElementById('sheet-title').textContent));
  await forward(first);
  await until('two steps are told', async () => (await mixes())[0]?.done === 2);

  await openMix(second);
  await second.getByText(/^2 of \d+ done · Keeper/).waitFor();
  await button(second, 'Carry on').click();
  await second.locator('.grams').waitFor();
  assert.match(await title(second), /3/);
  await button(second, 'Back').click();
  await button(second, 'Back').click();
  await second.getByText(/Keeper weighed this in: 12.34/).waitFor();
  assert.equal(await second.locator('#sheet-body input').inputValue(), '12.34');
  await forward(second); // looked at, and not said again
  await until('the next that nobody did', async () => /3/.test(await title(second)));
  const [{ id }] = await mixes();
  assert.equal((await mix(id)).ticks[0].member_name, 'Keeper');
});

test('two at once see each other and lose nothing', async () => {
  const [{ id, steps }] = await mixes();
  assert.ok(steps >= 5);
  assert.equal(await title(first), await title(second)); // both stand at the third
  await second.locator('#sheet-body input').fill('7.77');
  await forward(second);
  await first.getByText(/Odo weighed this in: 7.77/).waitFor();
  await first.getByText('Do not put it in twice.').waitFor();
  assert.equal(await first.locator('#sheet-body input').inputValue(), '7.77');
  await forward(first); // goes on without a word of its own, past what Odo does next
  await forward(first);
  await until('both are told', async () => (await mix(id)).done === 4);
  const { ticks } = await mix(id);
  assert.deepEqual(ticks.map((tick) => tick.member_name), ['Keeper', 'Keeper', 'Odo', 'Keeper']);
  assert.equal(ticks[2].grams, 7.77);
});

test('with nobody answering one goes on, and what both did meanwhile is there', async () => {
  const [{ id, steps }] = await mixes();
  await second.waitForFunction(() => document.querySelectorAll('#sheet-steps .done').length === 4);
  await second.context().setOffline(true);
  await forward(second); // the fourth, done by the other meanwhile
  await until('the fifth', async () => /5/.test(/\d+/.exec(await title(second))[0]));
  await second.locator('#sheet-body input').fill('5.5');
  await forward(second);
  await second.getByRole('button', { name: /1 entry waits/ }).waitFor();
  assert.equal((await mix(id)).done, 4);
  await second.context().setOffline(false);
  await until('the fifth is told', async () => (await mix(id)).done === 5);
  assert.equal((await mix(id)).ticks[4].grams, 5.5);
  assert.equal((await mix(id)).ticks[4].member_name, 'Odo');
  assert.ok(steps >= 5);
});

test('logged by one it is over for the other, and in the log once', async () => {
  const [{ id, steps }] = await mixes();
  await first.waitForFunction(() => document.querySelectorAll('#sheet-steps .done').length === 5);
  for (let turn = 0; turn < steps && await first.locator('#sheet').isVisible(); turn++) {
    const before = await title(first);
    await forward(first);
    await first.waitForFunction((said) => document.getElementById('sheet').hidden || document.getElementById('sheet-title').textContent !== said, before);
  }
  await first.getByText('What went in').waitFor();
  await first.getByLabel('EC at 25 °C').fill('1.5');
  await first.getByText(/expected/).first().waitFor();
  await until('all steps are told', async () => (await mix(id)).done === steps);
  await second.route(`**/api/v1/mixes/${id}`, (route) => route.abort()); // it does not hear of it
  await button(first, 'Log the fill').click();
  await first.waitForURL(/tank\.html/);
  assert.equal((await mix(id)).state, 'logged');
  assert.equal((await mixes()).length, 0);
  const { body } = await ask(first, `tanks/${tank.id}/entries`);
  assert.equal(body.items.length, 1);
  assert.equal(body.items[0].id, id);
  const { ticks } = await mix(id);
  assert.ok(ticks.some((tick) => tick.member_name === 'Odo'));
  const sum = (rows) => Math.round(rows.reduce((all, row) => all + row.grams, 0) * 1000);
  assert.equal(sum(body.items[0].weighed), sum(ticks)); // a salt in two portions is one row
  await second.unroute(`**/api/v1/mixes/${id}`);
  await second.waitForURL(/tank\.html/, { timeout: 30000 }); // led to what was logged
  await openMix(second);
  await second.locator('#ask-form').waitFor();
  assert.ok(await second.locator('#open-sheets').isHidden());
});

test('given up it leaves the list of all, and can be taken up again', async () => {
  await begin(first);
  await until('it is told', async () => (await mixes()).length === 1);
  await openMix(first);
  await button(first, 'Give up').click();
  await until('it is gone', async () => (await mixes()).length === 0);
  assert.ok(await first.locator('#open-sheets').isHidden());
  await button(first, 'Undo').click();
  await until('it is back', async () => (await mixes()).length === 1);
  await button(first, 'Carry on').waitFor();
});

test('one that was left shows on Today and on its tank, and is carried on from there', async () => {
  await second.goto(`${daemon.base}/index.html`);
  const line = second.locator('#mixes li');
  await line.getByText(/for Bucket 1 is being weighed in: 0 of \d+ done/).waitFor();
  assert.match(await line.innerText(), /begun by Keeper, /);
  assert.match(await second.locator('#ask').textContent(), /1 tank needs a hand|0 tanks need a hand|Nothing/, 'it is no alarm');
  await second.goto(`${daemon.base}/tank.html?id=${tank.id}`);
  await line.getByText(/is being weighed in/).waitFor();
  assert.equal(await line.getByRole('button', { name: /^Not today/ }).count(), 0);
  await line.getByRole('link', { name: /^Carry on/ }).press('Enter');
  await second.waitForURL(/mix\.html/);
  await second.locator('.grams').waitFor();
  await second.locator('#sheet-body input').fill('3.21');
  await forward(second);
  await until('the step is told', async () => (await mixes())[0]?.done === 1);
});

test('it is put off for everybody, and shown again', async () => {
  await first.goto(`${daemon.base}/index.html`);
  await second.goto(`${daemon.base}/index.html`);
  await second.locator('#mixes').getByText(/1 of \d+ done/).waitFor();
  await first.locator('#mixes').getByRole('button', { name: /^Not today/ }).dblclick();
  await first.locator('#put-off').getByText(/put off until tomorrow/).waitFor();
  assert.ok(await first.locator('#mixes').isHidden());
  await second.locator('#put-off').getByText(/put off until tomorrow/).waitFor({ timeout: 5000 });
  assert.ok(await second.locator('#mixes').isHidden());
  await second.locator('#put-off').getByRole('button', { name: /^Show it again/ }).click();
  await second.locator('#mixes li').waitFor();
  await first.locator('#mixes li').waitFor({ timeout: 5000 });
  await first.locator('#mixes').getByRole('button', { name: /^Not today/ }).click();
  await button(first, 'Undo').click();
  await first.locator('#mixes li').waitFor();
});

test('it is given up after a question, with a way back', async () => {
  const asks = first.getByRole('dialog').getByText(/Nothing of it is logged/);
  const giveUp = first.locator('#mixes').getByRole('button', { name: /^Give up/ });
  await giveUp.press('Enter');
  await asks.waitFor();
  await first.getByRole('button', { name: 'Leave it' }).press('Enter');
  assert.equal((await mixes()).length, 1);
  await giveUp.click();
  await asks.waitFor();
  await button(first, 'Give it up').click();
  await first.waitForFunction(() => document.getElementById('mixes').hidden);
  assert.equal((await mixes()).length, 0);
  await second.waitForFunction(() => document.getElementById('mixes').hidden, null, { timeout: 5000 });
  await button(first, 'Undo').click();
  await first.locator('#mixes li').waitFor();
  assert.equal((await mixes()).length, 1);
  assert.deepEqual([...first.complaints, ...second.complaints.filter((text) => !/ERR_FAILED|ERR_INTERNET_DISCONNECTED|404/.test(text))], []);
});
