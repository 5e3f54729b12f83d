// A round for two, with fingers that tap twice and a network that goes; walking order, duties, many readings. All of it invented.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { ask, firstLink, launch, openPhone, startDaemon } from './harness.mjs';

let browser, daemon, keeper, tavi;
const areas = {}, tanks = [];
const DAY_MS = 86400000;
const uuid = (n) => `01990000-0000-7000-8000-${String(n).padStart(12, '0')}`;
const daysAgo = (days) => new Date(Date.now() - days * DAY_MS).toISOString();

const VESSEL = { id: uuid(1), name: 'Tub', shape: { shape: 'round', floor_mm: 260, rim_mm: 300, height_mm: 360 }, start_mm: 320, low_mm: 40 };

async function made(page, path, body) {
  const { status, body: answer } = await ask(page, path, 'POST', body);
  assert.equal(status, 201, JSON.stringify(answer));
  return answer;
}

async function pairedAs(name, role) {
  const { link } = await made(keeper, 'invites', { member: null, name, role });
  const page = await openPhone(browser, daemon);
  await page.goto(`${daemon.base}/${link.split('/').slice(3).join('/')}`);
  await page.getByRole('button', { name: 'Pair it' }).click();
  await page.waitForURL(/index\.html$/);
  return page;
}

before(async () => {
  browser = await launch();
  daemon = await startDaemon();
  keeper = await openPhone(browser, daemon);
  await keeper.goto(await firstLink(daemon));
  await keeper.getByLabel('What do the others call you?').fill('Ilka');
  await keeper.getByRole('button', { name: 'Pair it' }).click();
  await keeper.waitForURL(/index\.html$/);
  areas.roof = (await made(keeper, 'areas', { name: 'Roof', walk_order: 1 })).id;
  areas.shed = (await made(keeper, 'areas', { name: 'Shed', walk_order: 2 })).id;
  await made(keeper, 'vessels', VESSEL);
  for (let i = 0; i < 6; i++) {
    const tank = await made(keeper, 'tanks', { name: `Tub ${i + 1}`, area: i < 3 ? areas.roof : areas.shed, vessel: VESSEL.id, walk_order: i + 1 });
    tanks.push(tank);
    await made(keeper, 'entries', { id: uuid(100 + i), tank: tank.id, kind: 'fill', at: daysAgo(9), waterline_mm: 320 });
  }
  tavi = await pairedAs('Tavi', 'grower');
});
after(async () => {
  await browser?.close();
  await daemon?.stop();
});

const heading = (page, name) => page.locator('#view').getByRole('heading', { name, exact: true });
const readings = async (tank) => (await ask(keeper, `tanks/${tank.id}/entries`)).body.items.filter((entry) => entry.kind === 'reading');
const log = (page) => page.getByRole('button', { name: 'Log it' });
async function type(page, mm) {
  await page.locator('#view input.big').fill(mm);
}

/* ---- the order ---- */

const orderOf = async (area) => (await ask(keeper, `walk/${area}`)).body.tanks.map((tank) => tank.name);
async function openOrder(name) {
  await keeper.goto(`${daemon.base}/garden.html`);
  await keeper.getByRole('button', { name: `Walking order of ${name}`, exact: true }).click();
  await keeper.locator('.order li').first().waitFor();
}

test('walking order is set by keyboard, by number and by dragging', async () => {
  await openOrder('Roof');
  await keeper.getByRole('button', { name: 'Tub 1 one later' }).focus();
  await keeper.keyboard.press('Enter');
  assert.equal(await keeper.evaluate(() => document.activeElement.getAttribute('aria-label')), 'Tub 1 one later', 'the key can be pressed again');
  await keeper.keyboard.press('Enter');
  await keeper.getByRole('button', { name: 'Save' }).last().click();
  await keeper.getByRole('dialog').waitFor({ state: 'detached' });
  assert.deepEqual(await orderOf(areas.roof), ['Tub 2', 'Tub 3', 'Tub 1']);
  await openOrder('Roof');
  await keeper.getByLabel('Place of Tub 1').fill('1');
  await keeper.keyboard.press('Tab');
  await keeper.getByRole('button', { name: 'Save' }).last().click();
  await keeper.getByRole('dialog').waitFor({ state: 'detached' });
  assert.deepEqual(await orderOf(areas.roof), ['Tub 1', 'Tub 2', 'Tub 3']);
  await openOrder('Roof');
  const from = await keeper.locator('.order .handle').nth(0).boundingBox(), to = await keeper.locator('.order .handle').nth(2).boundingBox();
  await keeper.mouse.move(from.x + 5, from.y + 10);
  await keeper.mouse.down();
  await keeper.mouse.move(to.x + 5, to.y + 10, { steps: 5 });
  await keeper.mouse.up();
  assert.deepEqual(await keeper.locator('.order .what').allInnerTexts(), ['Tub 2', 'Tub 3', 'Tub 1']);
  /* Meanwhile somebody else sets another order: nothing is lost without a word. */
  const { body: walk } = await ask(keeper, `walk/${areas.roof}`);
  const were = walk.tanks.map((tank) => tank.id);
  assert.equal((await ask(keeper, `walk/${areas.roof}`, 'PATCH', { tanks: [were[1], were[0], were[2]], tanks_were: were })).status, 200);
  await keeper.getByRole('button', { name: 'Save' }).last().click();
  await keeper.getByRole('alert').getByText(/somebody else changed the order/).waitFor();
  assert.deepEqual(await orderOf(areas.roof), ['Tub 2', 'Tub 1', 'Tub 3']);
  assert.equal((await ask(keeper, `walk/${areas.roof}`, 'PATCH', { tanks: were, tanks_were: [were[1], were[0], were[2]] })).status, 200);
  keeper.complaints.length = 0; // the refused PATCH is in the browser's console
});

/* ---- duties ---- */

test('a duty is given, and Today shows it first to whom it is', async () => {
  await keeper.goto(`${daemon.base}/garden.html`);
  await keeper.getByRole('button', { name: 'Give somebody a week' }).click();
  await keeper.getByLabel('What', { exact: true }).selectOption({ label: 'Shed' });
  await keeper.getByLabel('Whose', { exact: true }).selectOption({ label: 'Tavi' });
  await keeper.getByRole('button', { name: 'Save' }).last().dblclick();
  await keeper.getByText('Shed: Tavi').waitFor();
  assert.equal((await ask(keeper, 'duties')).body.items.length, 1, 'a double tap gives one');
  /* A tank of the roof is read today, one of the shed lies low: for Tavi the shed comes first, and what nobody read stays up. */
  const { body } = await ask(tavi, 'today');
  assert.ok(body.items.filter((item) => item.area === 'Shed').every((item) => item.whose_name === 'Tavi'));
  assert.ok(body.items.filter((item) => item.area === 'Roof').every((item) => item.whose === null));
  await tavi.goto(`${daemon.base}/index.html`);
  await tavi.getByText('everybody\'s').first().waitFor();
});

/* ---- duties at the tank itself ---- */

async function atTank(page, tank) {
  await page.goto(`${daemon.base}/tank.html?id=${tank.id}`);
  await page.waitForFunction(() => document.getElementById('status').textContent === '');
  await page.locator('#duty').scrollIntoViewIfNeeded();
  await page.locator('#duty p', { hasText: /[a-z]/ }).first().waitFor();
  return page.locator('#duty');
}
const whoseIs = async (tank) => (await ask(keeper, `duties?tank=${tank.id}`)).body.items[0]?.member_name ?? null;

test('at the tank a grower takes it for the week and gives it back, by keyboard, once', async () => {
  await tavi.setViewportSize({ width: 320, height: 640 });
  const duty = await atTank(tavi, tanks[0]);
  await duty.getByText('Nobody\'s this week', { exact: false }).waitFor();
  assert.equal(await duty.getByRole('button', { name: 'Give it to somebody' }).count(), 0, 'that is a keeper\'s');
  await duty.getByRole('button', { name: 'I take it this week' }).focus();
  await tavi.keyboard.press('Enter');
  await tavi.keyboard.press('Enter');
  await duty.getByText(/^Yours until/).waitFor();
  assert.equal((await ask(tavi, `duties?tank=${tanks[0].id}`)).body.items.length, 1, 'pressed twice it is taken once');
  await tavi.waitForFunction(() => document.activeElement.textContent === 'Give it back', null, { timeout: 3000 });
  const sizes = await duty.getByRole('button').evaluateAll((all) => all.map((one) => one.getBoundingClientRect()).map(({ width, height }) => Math.min(width, height)));
  assert.ok(sizes.length && sizes.every((size) => size >= 44), `${sizes}`);
  assert.ok(await tavi.evaluate(() => document.documentElement.scrollWidth <= 320));
  await tavi.waitForTimeout(700); // a second tap that was meant for the button before does nothing
  await tavi.keyboard.press('Enter');
  await duty.getByText('Nobody\'s this week', { exact: false }).waitFor();
  assert.equal(await whoseIs(tanks[0]), null);
  await tavi.locator('#toast').getByRole('button', { name: 'Undo' }).click();
  await duty.getByText(/^Yours until/).waitFor();
  assert.equal(await whoseIs(tanks[0]), 'Tavi');
  await tavi.setViewportSize({ width: 390, height: 844 });
});

test('a keeper gives it to somebody else, takes it over, and takes it off', async () => {
  const duty = await atTank(keeper, tanks[0]);
  await duty.getByText(/^Tavi looks after it until/).waitFor();
  await duty.getByRole('button', { name: 'Duty: Tub 1' }).click();
  const dialog = keeper.getByRole('dialog');
  await dialog.getByLabel('Whose', { exact: true }).selectOption({ label: 'Ilka' });
  await dialog.getByRole('button', { name: 'Save' }).click();
  await duty.getByText(/^Yours until/).waitFor();
  assert.equal(await whoseIs(tanks[0]), 'Ilka');
  const other = await atTank(tavi, tanks[0]);
  await other.getByText(/^Ilka looks after it until/).waitFor();
  assert.equal(await other.getByRole('button').count(), 0, 'a grower takes nothing from another');
  await keeper.waitForTimeout(700);
  await duty.getByRole('button', { name: 'Give it back' }).click();
  await duty.getByText('Nobody\'s this week', { exact: false }).waitFor();
  await keeper.waitForTimeout(700);
  await duty.getByRole('button', { name: 'Give it to somebody' }).click();
  await keeper.getByRole('heading', { name: 'Whose is Tub 1?' }).waitFor();
  assert.equal(await dialog.getByLabel('What', { exact: true }).count(), 0, 'this tank is meant');
  await dialog.getByLabel('Whose', { exact: true }).selectOption({ label: 'Tavi' });
  await dialog.getByRole('button', { name: 'Next week' }).click();
  await dialog.getByRole('button', { name: 'Save' }).dblclick();
  await duty.getByText(/^Tavi: .+ to /).waitFor(); // told ahead
  await duty.getByText('Nobody\'s this week', { exact: false }).waitFor();
  assert.equal((await ask(keeper, `duties?tank=${tanks[0].id}`)).body.items.length, 1);
  await keeper.waitForTimeout(700);
  await duty.getByRole('button', { name: 'I take it this week' }).click();
  await duty.getByText(/^Yours until/).waitFor();
  for (const one of (await ask(keeper, `duties?tank=${tanks[0].id}`)).body.items) assert.equal((await ask(keeper, `duties/${one.id}`, 'DELETE', {})).status, 204);
});

test('a tank of somebody\'s area says so, and can be taken for itself', async () => {
  const duty = await atTank(tavi, tanks[4]); // the shed is Tavi's
  await duty.getByText(/^Yours until .+, with all of Shed/).waitFor();
  assert.equal(await duty.getByRole('button').count(), 0, 'the area is changed where areas are');
  const other = await atTank(keeper, tanks[4]);
  await other.getByText(/^Tavi looks after it until .+, with all of Shed/).waitFor();
  await other.getByRole('button', { name: 'I take it this week' }).click();
  await other.getByText(/^Yours until/).waitFor();
  assert.equal(await whoseIs(tanks[4]), 'Ilka');
  await keeper.waitForTimeout(700);
  await other.getByRole('button', { name: 'Give it back' }).click();
  await other.getByText(/with all of Shed/).waitFor();
  await ask(keeper, 'garden', 'PATCH', { language: 'de' });
  await (await atTank(keeper, tanks[4])).getByText(/^Tavi hat Dienst bis .+, mit allem in Shed/).waitFor();
  await ask(keeper, 'garden', 'PATCH', { language: 'en' });
});

/* ---- a round for two ---- */

test('two people split a round, and each sees the other', async () => {
  await tavi.goto(`${daemon.base}/index.html`);
  await tavi.getByRole('link', { name: 'Walk the round' }).click();
  await tavi.getByRole('button', { name: 'Make a round' }).dblclick();
  await tavi.getByRole('button', { name: 'Start walking' }).click();
  await heading(tavi, 'Tub 1').waitFor();
  await keeper.goto(`${daemon.base}/round.html`);
  await keeper.getByRole('link', { name: /Go along/ }).click();
  await keeper.getByText('Tavi is at Tub 1.').waitFor();
  await keeper.getByRole('button', { name: 'Start walking' }).click();
  await heading(keeper, 'Tub 2').waitFor();
  await tavi.getByText('Ilka is at Tub 2.').waitFor(); // by asking again, with nothing touched
  assert.equal((await ask(keeper, 'rounds')).body.items.length, 1, 'a double tap makes one round');
});

test('a double tap logs once, and does not touch the next tank', async () => {
  await type(tavi, '300');
  await log(tavi).dblclick();
  await heading(tavi, 'Tub 3').waitFor();
  await tavi.waitForTimeout(900);
  assert.equal(await heading(tavi, 'Tub 3').count(), 1);
  assert.equal((await readings(tanks[0])).length, 1);
  assert.equal((await readings(tanks[2])).length, 0);
  await keeper.getByText(/1 of 6 done · Tavi 1/).waitFor();
});

test('an entry from any page closes a stop', async () => {
  await made(keeper, 'entries', { id: uuid(200), tank: tanks[1].id, kind: 'reading', at: new Date().toISOString(), waterline_mm: 299 });
  await tavi.getByText(/2 of 6 done/).waitFor();
  await keeper.getByText(/2 of 6 done/).waitFor();
  await keeper.reload();
  await keeper.getByRole('button', { name: 'Start walking' }).click();
  await heading(keeper, 'Tub 4').waitFor();
});

test('skipped tanks come back at the end', async () => {
  await tavi.waitForTimeout(700);
  await tavi.getByRole('button', { name: 'Skip' }).dblclick();
  await heading(tavi, 'Tub 5').waitFor();
  await tavi.waitForTimeout(900);
  assert.equal(await heading(tavi, 'Tub 5').count(), 1, 'a second tap skips no second tank');
  const { body } = await ask(keeper, 'rounds');
  const round = (await ask(keeper, `rounds/${body.items[0].id}`)).body;
  assert.equal(round.stops[2].skips, 1);
  await type(tavi, '298');
  await log(tavi).click();
  await heading(tavi, 'Tub 6').waitFor();
});

test('without a network the round goes on, and nothing is lost or doubled', async () => {
  await tavi.waitForTimeout(1200); // the forms ahead are kept by now
  await tavi.context().setOffline(true);
  await type(tavi, '297');
  await log(tavi).click();
  await heading(tavi, 'Tub 3').waitFor(); // the skipped one is back
  await tavi.waitForTimeout(700);
  await type(tavi, '296');
  await log(tavi).dblclick();
  await tavi.getByRole('heading', { name: 'Nothing is left for you' }).waitFor();
  await tavi.getByText(/2 entries wait/).waitFor();
  assert.equal((await readings(tanks[5])).length + (await readings(tanks[2])).length, 0);
  await tavi.context().setOffline(false);
  await tavi.waitForFunction(() => !document.getElementById('waits'), null, { timeout: 30000 });
  assert.deepEqual([(await readings(tanks[5])).length, (await readings(tanks[2])).length], [1, 1]);
  await keeper.getByText(/5 of 6 done · Tavi 4, Ilka 1|5 of 6 done · .*Tavi 4/).waitFor();
  tavi.complaints.length = 0; // failed requests are in the browser's console
});

test('the last one ends it, and who did what when stays', async () => {
  await keeper.waitForTimeout(700);
  await keeper.getByRole('button', { name: 'Nothing to do here' }).dblclick();
  await keeper.getByRole('heading', { name: /Over since/ }).waitFor();
  await tavi.getByRole('heading', { name: /Over since/ }).waitFor();
  const row = keeper.locator('tr', { hasText: 'Tub 5' });
  assert.match(await row.innerText(), /Tavi/);
  await keeper.getByRole('link', { name: 'All rounds' }).click();
  await keeper.locator('#past li').first().waitFor();
  assert.match(await keeper.locator('#past li').first().innerText(), /the whole garden · 6 of 6 done · .*Tavi 4/);
});

/* ---- many readings ---- */

test('many readings are typed down a column, one entry a row', async () => {
  const asked = [];
  const note = (request) => asked.push(new URL(request.url()).pathname);
  keeper.on('request', note);
  await keeper.goto(`${daemon.base}/batch.html`);
  await keeper.locator('tbody tr').first().waitFor();
  keeper.off('request', note);
  assert.deepEqual(asked.filter((path) => path.startsWith('/api/v1/tanks/')), [], 'one answer tells the last values of all');
  await keeper.getByLabel('EC', { exact: true }).check();
  await keeper.getByText('Last: 300 mm, today').waitFor();
  const cell = (name, what = 'Waterline') => keeper.getByLabel(`${what}, ${name}`, { exact: true });
  await cell('Tub 1').focus();
  for (const mm of ['290', '289', '900']) {
    await keeper.keyboard.type(mm);
    await keeper.keyboard.press('Enter');
  }
  assert.equal(await keeper.evaluate(() => document.activeElement.getAttribute('id')), await cell('Tub 4').getAttribute('id'), 'Enter goes down');
  await keeper.keyboard.press('Tab');
  assert.equal(await keeper.evaluate(() => document.activeElement.getAttribute('id')), await cell('Tub 4', 'EC').getAttribute('id'), 'Tab goes across');
  await keeper.locator('tr', { hasText: 'Tub 1' }).getByText(/290\smm = [\d.]+\sL, [\d.]+\sL less than today/).waitFor();
  await keeper.getByRole('button', { name: 'Log them' }).click();
  await keeper.locator('tr', { hasText: 'Tub 3' }).locator('.fault:visible').first().waitFor(); // higher than the vessel: nothing is sent yet
  assert.equal((await readings(tanks[0])).length, 1);
  await cell('Tub 3').fill('288');
  await keeper.getByRole('button', { name: 'Log them' }).dblclick();
  await keeper.getByText('3 readings logged.').waitFor();
  assert.deepEqual(await Promise.all(tanks.slice(0, 4).map(async (tank) => (await readings(tank)).length)), [2, 2, 2, 0]);
});

test('what the daemon refuses is told at its row, and the rest is kept once', async () => {
  await keeper.goto(`${daemon.base}/batch.html`);
  await keeper.locator('tbody tr').first().waitFor();
  let lost = 0;
  await keeper.route('**/api/v1/entries', async (route) => {
    if (route.request().method() !== 'POST') return route.continue();
    const body = route.request().postDataJSON();
    if (body.tank === tanks[1].id) return route.continue({ postData: JSON.stringify({ ...body, waterline_mm: 9999 }) });
    if (body.tank === tanks[2].id && lost++ === 0) { // kept, but nobody here hears so
      await route.fetch();
      return route.abort();
    }
    return route.continue();
  });
  for (const [i, mm] of ['280', '279', '278', '277'].entries()) await keeper.getByLabel(`Waterline, Tub ${i + 1}`, { exact: true }).fill(mm);
  await keeper.getByRole('button', { name: 'Log them' }).click();
  await keeper.locator('tr', { hasText: 'Tub 2' }).locator('.fault:visible').first().waitFor();
  await keeper.locator('tr', { hasText: 'Tub 3' }).getByText(/waits on this phone|logged/).waitFor(); // sent again as soon as anything is answered
  await keeper.unroute('**/api/v1/entries');
  await keeper.getByLabel('Waterline, Tub 2', { exact: true }).fill('276');
  await keeper.getByRole('button', { name: 'Log them' }).click();
  await keeper.getByText('1 reading logged.').waitFor();
  await keeper.waitForFunction(() => !document.getElementById('waits'));
  assert.deepEqual(await Promise.all(tanks.slice(0, 4).map(async (tank) => (await readings(tank)).length)), [3, 3, 3, 1]);
  assert.deepEqual((await readings(tanks[1])).map((entry) => entry.waterline_mm).sort(), [276, 289, 299]);
  keeper.complaints.length = 0;
});

test('many readings are taken back at one touch', async () => {
  await keeper.goto(`${daemon.base}/batch.html`);
  await keeper.locator('tbody tr').first().waitFor();
  await keeper.getByLabel('Waterline, Tub 5', { exact: true }).fill('200');
  await keeper.getByLabel('Waterline, Tub 6', { exact: true }).fill('201');
  await keeper.getByRole('button', { name: 'Log them' }).click();
  await keeper.getByText('2 readings logged.').waitFor();
  await keeper.getByRole('button', { name: 'Undo' }).click();
  await keeper.locator('tr', { hasText: 'Tub 6' }).getByText('Taken back').waitFor().catch(() => {});
  await keeper.waitForFunction(() => !document.getElementById('waits'));
  for (const tank of tanks.slice(4)) assert.ok((await readings(tank)).some((entry) => entry.waterline_mm <= 201 && entry.withdrawn_by));
});

test('the pages fit a narrow phone and complain of nothing', async () => {
  await keeper.setViewportSize({ width: 320, height: 640 });
  for (const name of ['round.html', 'batch.html', 'garden.html', 'index.html']) {
    await keeper.goto(`${daemon.base}/${name}`);
    await keeper.waitForFunction(() => document.getElementById('status').textContent === '');
    assert.ok(await keeper.evaluate(() => document.documentElement.scrollWidth <= 320), name);
  }
  assert.deepEqual(keeper.complaints, []);
  assert.deepEqual(tavi.complaints, []);
});
