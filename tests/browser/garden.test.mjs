// People, devices, areas, sensors and calendar addresses, by the page alone. Names are invented.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { ask, launch, openPhone, startDaemon } from './harness.mjs';

let browser, daemon, page;

before(async () => {
  browser = await launch();
  daemon = await startDaemon(['--demo']);
  page = await openPhone(browser, daemon);
  await page.goto(`${daemon.base}/garden.html`);
  await page.locator('#garden').waitFor();
});
after(async () => {
  await browser?.close();
  await daemon?.stop();
});

const button = (name) => page.getByRole('button', { name, exact: true });
const field = (label) => page.getByLabel(label, { exact: true });

test('an invitation lets a grower in, who may log but not keep', async () => {
  await button('Invite somebody').click();
  await field('Their name').fill('Wren');
  await button('Make the invitation').click();
  const link = await page.locator('#invite textarea').inputValue();
  assert.ok(await page.locator('#invite img').evaluate((image) => image.complete && image.naturalWidth > 0), 'the QR code is drawn');
  assert.equal(new URL(link).pathname, '/pair.html');
  assert.ok(new URL(link).hash.length > 16);
  const { body } = await ask(page, 'invites');
  assert.equal(body.items.filter((invite) => JSON.stringify(invite).includes(new URL(link).hash.slice(1))).length, 0, 'the list keeps the secret');
});

test('an area is added, changed and deleted', async () => {
  await button('Add an area').click();
  await field('Name of the area').fill('Bay 3');
  await page.getByRole('dialog').getByRole('button', { name: 'Save' }).click();
  await page.locator('#areas li', { hasText: 'Bay 3' }).getByRole('button', { name: 'Change: Bay 3' }).click();
  await field('Name of the area').fill('Bay 4');
  await page.getByRole('dialog').getByRole('button', { name: 'Save' }).click();
  await page.locator('#areas li', { hasText: 'Bay 4' }).getByRole('button', { name: 'Change: Bay 4' }).click();
  await button('Delete it').click();
  await page.locator('#areas li', { hasText: 'Bay 4' }).waitFor({ state: 'detached' });
  assert.ok(!(await ask(page, 'areas')).body.items.some((area) => /Bay/.test(area.name)));
});

test('the last keepers cannot all be removed, and the page says why', async () => {
  const { items } = (await ask(page, 'members')).body;
  const keepers = items.filter((member) => member.role === 'keeper' && !member.removed);
  for (const keeper of keepers) {
    await page.locator('#members li', { hasText: keeper.name }).getByRole('button').click();
    await field('Role').selectOption('visitor');
    await page.getByRole('dialog').getByRole('button', { name: 'Save' }).click();
    if (keeper === keepers.at(-1)) {
      await page.locator('dialog .fault:visible').first().waitFor();
      await button('Cancel').click();
    } else {
      await page.getByRole('dialog').waitFor({ state: 'detached' });
    }
  }
  const left = (await ask(page, 'members')).body.items.filter((member) => member.role === 'keeper' && !member.removed);
  assert.deepEqual(left.map((member) => member.name), [keepers.at(-1).name]);
});

test('a sensor gets a key that posts readings to its tank alone', async () => {
  const { items } = (await ask(page, 'tanks')).body;
  const [mine, other] = items.filter((tank) => tank.drawing.waterline_mm > 100);
  await button('Add a sensor').click();
  await field('What do you call it?').fill('Float');
  await page.getByRole('dialog').getByLabel(mine.name, { exact: true }).check();
  await button('Make its key').click();
  const key = await page.locator('#sensor-key textarea').inputValue();
  const post = (tank, id) => fetch(`${daemon.base}/api/v1/entries`, { method: 'POST', headers: { Authorization: `Bearer ${key}`, 'Content-Type': 'application/json' },
    body: JSON.stringify({ id, tank, kind: 'reading', at: new Date().toISOString(), waterline_mm: 100, method: 'sensor' }) });
  assert.equal((await post(mine.id, '01990000-0000-7000-8000-0000000000f1')).status, 201);
  assert.equal((await post(other.id, '01990000-0000-7000-8000-0000000000f2')).status, 403);
});

test('a sensor gets another key, shown once, and the old one is void', async () => {
  const tank = (await ask(page, 'sensors')).body.items.find((sensor) => sensor.name === 'Float').tanks[0];
  const before_ = await page.locator('#sensor-key textarea').inputValue();
  const post = (key, id) => fetch(`${daemon.base}/api/v1/entries`, { method: 'POST', headers: { Authorization: `Bearer ${key}`, 'Content-Type': 'application/json' },
    body: JSON.stringify({ id, tank, kind: 'reading', at: new Date().toISOString(), waterline_mm: 100, method: 'sensor' }) });
  await button('New key: Float').focus();
  await page.keyboard.press('Enter');
  await page.getByRole('dialog').getByText(/void at once/).waitFor();
  await button('Cancel').click();
  assert.equal((await post(before_, '01990000-0000-7000-8000-0000000000f3')).status, 201, 'asked first');
  await button('New key: Float').click();
  await button('Make its key').dblclick(); // wet fingers: one key is made, and it is the one that is shown
  await page.getByRole('heading', { name: 'New key of Float' }).waitFor();
  const key = await page.locator('#sensor-key textarea').inputValue();
  assert.notEqual(key, before_);
  assert.equal((await post(before_, '01990000-0000-7000-8000-0000000000f4')).status, 401);
  assert.equal((await post(key, '01990000-0000-7000-8000-0000000000f4')).status, 201);
  assert.equal((await ask(page, 'sensors')).body.items.filter((sensor) => sensor.name === 'Float' && !sensor.key).length, 1, 'the list keeps the secret');
});

test('the climate is guessed until somebody tells its months', async () => {
  const from = async () => (await ask(page, 'garden')).body.climate_from;
  const part = page.locator('#climate');
  await button('Forget them').click();
  await part.getByText(/Guessed from the latitude/).waitFor();
  assert.equal(await from(), 'latitude');
  await part.locator('summary').click();
  assert.equal(await part.locator('tbody tr').count(), 12);
  await button('Tell the normals').click();
  const table = field('Twelve months as a table, January first');
  const guessed = await table.inputValue(); // what is guessed stands there to be changed
  await table.fill(guessed.replace(/\n[^\n]*$/, ''));
  await page.getByRole('dialog').getByRole('button', { name: 'Save' }).click();
  await page.getByText(/Row 12, column tmin_c: twelve rows are needed/).waitFor();
  await table.fill(guessed.split('\n').map((row, i) => (i ? '9;17,5;70;2;' : row)).join('\n'));
  await page.getByRole('dialog').getByRole('button', { name: 'Save' }).click();
  await part.getByText(/The monthly normals that this garden was told/).waitFor();
  assert.deepEqual((await ask(page, 'garden')).body.climate.monthly[11], { tmin_c: 9, tmax_c: 17.5, rh_percent: 70, wind_m_s: 2, sunshine_h: null });
});

test('a calendar address is made, read and revoked', async () => {
  await button('Make an address').click();
  await field('For which calendar?').fill('Kitchen');
  await button('Make it').click();
  const link = await page.locator('#feed textarea').inputValue();
  const address = `${daemon.base}${new URL(link).pathname}`;
  assert.match(await (await fetch(address)).text(), /^BEGIN:VCALENDAR\r\n/); // RFC 5545, section 3.4
  await page.locator('#feeds li', { hasText: 'Kitchen' }).getByRole('button').click();
  await page.locator('#feeds li', { hasText: 'Kitchen' }).waitFor({ state: 'detached' });
  assert.ok((await fetch(address)).status >= 400);
});

test('labels lead to their tanks', async () => {
  await page.goto(`${daemon.base}/labels.html`);
  await page.locator('.tag').first().waitFor();
  const { items } = (await ask(page, 'labels')).body;
  assert.equal(await page.locator('.tag').count(), items.length);
  assert.ok(await page.locator('.tag img').first().evaluate((image) => image.complete && image.naturalWidth > 0));
  assert.equal((await fetch(items[0].link.replace(/^https?:\/\/[^/]+/, daemon.base), { redirect: 'manual' })).status, 302);
});

test('nothing complained but the refusal asked for', () => assert.deepEqual(page.complaints.filter((text) => !/409/.test(text)), []));
