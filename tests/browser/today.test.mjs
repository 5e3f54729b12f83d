// The invented garden on its day: what needs a hand, the form behind each button, a scanned label.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { ask, launch, openPhone, startDaemon } from './harness.mjs';

let browser, daemon, page, today;

before(async () => {
  browser = await launch();
  daemon = await startDaemon(['--demo']);
  page = await openPhone(browser, daemon);
  await page.goto(`${daemon.base}/index.html`);
  await page.locator('#due > li').first().waitFor();
  today = (await ask(page, 'today')).body;
});
after(async () => {
  await browser?.close();
  await daemon?.stop();
});

test('tanks come once each, most urgent first, calm ones after', async () => {
  const wanted = [...new Map([...today.items].sort((a, b) => a.rank - b.rank).map((item) => [item.tank, item.name])).values()];
  assert.deepEqual(await page.locator('#due h2').allInnerTexts(), wanted);
  assert.equal(await page.locator('#calm > li').count(), today.calm.length);
});

test('each reason is a whole sentence', async () => {
  for (const text of await page.locator('#due .why').allInnerTexts()) {
    assert.match(text, /^[A-Z0-9].*[.?]$/, text);
    assert.doesNotMatch(text, /[{}]|reason\.|undefined|NaN/, text);
  }
});

test('small drawings keep the vessel\'s proportion', async () => {
  // The path of the walls runs left rim, floor, right rim; its box has the measures that the daemon tells.
  const boxes = await page.locator('#due .section .wall').evaluateAll((walls) => walls.map((wall) => { const box = wall.getBBox(); return box.width / box.height; }));
  const first = [...new Map([...today.items].sort((a, b) => a.rank - b.rank).map((item) => [item.tank, item.drawing])).values()];
  boxes.forEach((ratio, i) => assert.ok(Math.abs(ratio - Math.max(first[i].rim_mm, first[i].floor_mm) / first[i].height_mm) < 0.02, `${i}: ${ratio}`));
});

test('the button of a tank opens the right form, filled in', async () => {
  const empty = today.items.find((item) => item.reason === 'empty');
  await page.locator('#due > li', { hasText: empty.name }).getByRole('link', { name: 'Fill it' }).click();
  await page.getByRole('heading', { name: 'Fill it' }).waitFor();
  assert.equal(Number(await page.locator('dialog input.big').inputValue()), empty.drawing.start_mm);
  await page.goBack();
});

test('what is put off stays away for everybody until tomorrow, can be taken back for ten seconds and shown again', async () => {
  await page.goto(`${daemon.base}/index.html`);
  const rows = page.locator('#due > li');
  await rows.first().waitFor();
  const count = await rows.count();
  const { tank, reason, name } = [...today.items].sort((a, b) => a.rank - b.rank)[0];
  const isOff = async () => (await ask(page, 'today')).body.put_off.some((item) => item.tank === tank && item.reason === reason);
  const putOff = async () => {
    await page.getByRole('button', { name: `Not today: ${name}`, exact: true }).click();
    await page.locator('#off-list li', { hasText: name }).waitFor();
  };
  await putOff();
  assert.ok(await isOff());
  await page.locator('#toast').getByRole('button', { name: 'Undo' }).click();
  await page.locator('#put-off').waitFor({ state: 'hidden' });
  assert.ok(!await isOff());
  await putOff();
  const other = await openPhone(browser, daemon); // another phone sees the same, with who put it off until when
  await other.goto(`${daemon.base}/index.html`);
  await other.locator('#off-list li', { hasText: name }).getByText('until it becomes worse').waitFor();
  await other.getByRole('button', { name: `For a week: ${name}`, exact: true }).click();
  await other.locator('#toast').waitFor();
  assert.equal((await ask(page, 'today')).body.put_off.length, 1);
  await other.getByRole('button', { name: `Show it again: ${name}`, exact: true }).click();
  await other.locator('#put-off').waitFor({ state: 'hidden' });
  assert.deepEqual(other.complaints, []);
  await other.context().close();
  await page.reload();
  await page.waitForFunction((n) => document.querySelectorAll('#due > li').length === n, count);
});

test('in walking order they come by area and place', async () => {
  const tanks = (await ask(page, 'tanks')).body.items, areas = (await ask(page, 'areas')).body.items;
  const place = (name) => {
    const tank = tanks.find((one) => one.name === name);
    return (areas.find((area) => area.id === tank.area)?.walk_order ?? -1) * 1000 + tank.walk_order; // the demo's areas lie side by side
  };
  await page.getByRole('button', { name: 'Show in walking order' }).click();
  await page.getByRole('button', { name: 'Show the most urgent first' }).waitFor();
  const names = await page.locator('#due h2').allInnerTexts();
  assert.deepEqual(names, [...names].sort((a, b) => place(a) - place(b)));
  await page.reload();
  await page.locator('#due > li').first().waitFor();
  assert.deepEqual(await page.locator('#due h2').allInnerTexts(), names, 'the choice stays');
  await page.getByRole('button', { name: 'Show the most urgent first' }).click();
});

test('a scanned label leads to its tank; a touch on the drawing is a reading', async () => {
  const { items } = (await ask(page, 'tanks')).body;
  const tank = items.find((one) => one.drawing.waterline_mm > 150);
  await page.goto(`${daemon.base}/t/${tank.code}`);
  await page.getByRole('heading', { name: tank.name }).waitFor();
  const drawing = page.locator('#stage svg');
  const box = await drawing.boundingBox();
  const surface = await page.locator('#stage path.mark.now').boundingBox();
  await drawing.click({ position: { x: 40, y: surface.y - box.y + surface.height / 2 } });
  const typed = Number(await page.locator('dialog input.big').inputValue());
  const { state } = (await ask(page, `tanks/${tank.id}`)).body;
  assert.ok(Math.abs(typed - state.waterline_mm) < 0.03 * state.height_mm, `${typed} for ${state.waterline_mm}`);
});

test('a tank goes to paper whole: charts that nobody scrolled to, tables opened', async () => {
  const { items } = (await ask(page, 'tanks')).body;
  await page.goto(`${daemon.base}/tank.html?id=${items.find((one) => one.drawing.waterline_mm > 150).id}`);
  await page.locator('#chart-ph svg').waitFor();
  await page.emulateMedia({ media: 'print' });
  await page.evaluate(() => dispatchEvent(new Event('beforeprint')));
  assert.ok(await page.locator('#section-table table').isVisible());
  assert.ok(await page.locator('#chart-water table').first().isVisible());
  assert.ok(!await page.locator('#daily').isVisible());
  assert.ok(await page.locator('#chart-ec svg').evaluate((chart) => chart.getBoundingClientRect().width <= innerWidth));
  await page.evaluate(() => dispatchEvent(new Event('afterprint')));
  await page.emulateMedia({ media: 'screen' });
  assert.ok(!await page.locator('#section-table table').isVisible());
});

test('nothing complained on the way', () => assert.deepEqual(page.complaints, []));
