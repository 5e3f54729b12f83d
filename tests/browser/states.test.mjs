// What each page shows while it has nothing to show: waiting, refused, cut off, empty. Nothing is invented here but a tank's name.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { ask, launch, openPhone, startDaemon } from './harness.mjs';

let browser, demo, empty, address;

before(async () => {
  browser = await launch();
  [demo, empty] = [await startDaemon(['--demo']), await startDaemon()];
  const page = await openPhone(browser, demo);
  await page.goto(`${demo.base}/index.html`);
  const [tank] = (await ask(page, 'tanks')).body.items;
  address = { index: 'index.html', tank: `tank.html?id=${tank.id}`, mix: 'mix.html', plan: 'plan.html', lid: `lid.html?vessel=${tank.vessel}`, shelf: 'shelf.html', harvests: 'harvests.html', garden: 'garden.html', labels: 'labels.html', round: 'round.html', batch: 'batch.html', import: 'import.html', season: 'season.html' };
  await page.context().close();
});
after(async () => {
  await browser?.close();
  await demo?.stop();
  await empty?.stop();
});

const NAMES = ['index', 'tank', 'mix', 'plan', 'lid', 'shelf', 'harvests', 'garden', 'labels', 'round', 'batch', 'import', 'season'];
const is = (page, kind) => page.waitForFunction((wanted) => { const node = document.getElementById('status'); return node?.className === `status ${wanted}` && node.textContent.trim() !== ''; }, kind);

/* What the page says and whether its picture stands beside the words. */
const picture = (page) => page.waitForFunction(() => getComputedStyle(document.getElementById('status'), '::before').maskImage.startsWith('url('));

for (const name of NAMES)
  test(`${name}: waiting, then refused, then whole again by its own button`, async () => {
    const page = await openPhone(browser, demo);
    let go;
    const held = new Promise((resolve) => { go = resolve; });
    let mode = 'hold';
    await page.route('**/api/v1/**', async (route) => {
      if (mode === 'hold') await held;
      if (mode === 'whole') await route.continue();
      else await route.fulfill({ status: 500, contentType: 'application/problem+json', body: JSON.stringify({ type: '/problems/store', title: 'x', status: 500, detail: 'the garden file could not be read (invented)', errors: [] }) }).catch(() => {});
    });
    await page.goto(`${demo.base}/${address[name]}`, { waitUntil: 'commit' });
    await is(page, 'loading');
    await picture(page);
    mode = 'refuse';
    go();
    await is(page, 'failed');
    assert.match(await page.locator('#status').innerText(), /could not be read/);
    await picture(page);
    mode = 'whole';
    await page.locator('#status button').tap();
    await page.waitForFunction(() => document.getElementById('status')?.textContent === '');
    await page.context().close();
  });

/* The garden answered, then what the page is about does not: the likelier half of bad luck. */
for (const [how, kind] of [['refused', 'failed'], ['cut off', 'offline']])
  for (const name of NAMES.filter((one) => one !== 'plan')) // Plan works by itself until something is to be reckoned
    test(`${name}: its own answer ${how}, then whole again by its own button`, async () => {
      const page = await openPhone(browser, demo);
      let whole = false;
      await page.route('**/api/v1/**', (route) => {
        if (whole || /\/api\/v1\/garden$/.test(route.request().url())) return route.continue();
        if (kind === 'offline') return route.abort();
        return route.fulfill({ status: 500, contentType: 'application/problem+json', body: JSON.stringify({ type: '/problems/store', title: 'x', status: 500, detail: 'the garden file could not be read (invented)', errors: [] }) });
      });
      await page.goto(`${demo.base}/${address[name]}`, { waitUntil: 'commit' });
      await is(page, kind);
      assert.match(await page.locator('#status').innerText(), kind === 'failed' ? /could not be read/ : /Nobody answers/);
      await picture(page);
      whole = true;
      await page.locator('#status button').tap();
      await page.waitForFunction(() => document.getElementById('status')?.textContent === '');
      assert.doesNotMatch(await page.locator('main').innerText(), /NaN|undefined|could not be read/);
      await page.context().close();
    });

test('pair: refused, spent and cut off, with the way out', async () => {
  const page = await openPhone(browser, demo);
  let how = 500;
  await page.route('**/api/v1/pair', (route) => (how ? route.fulfill({ status: how, contentType: 'application/problem+json', body: JSON.stringify({ type: 'x', title: 'x', status: how, detail: 'the garden file could not be read (invented)', errors: [] }) }) : route.abort()));
  await page.goto(`${demo.base}/pair.html#invented`);
  for (const [next, kind, says] of [[500, 'failed', /could not be read/], [404, 'failed', /used|spent|new one/i], [0, 'offline', /Nobody answers/]]) {
    how = next;
    await page.getByRole('button', { name: 'Pair it' }).tap();
    await page.waitForFunction((text) => new RegExp(text, 'i').test(document.getElementById('status').textContent), says.source);
    await is(page, kind);
    await picture(page);
    await page.waitForFunction(() => !document.getElementById('pair-now').disabled);
  }
  await page.goto('about:blank');
  await page.goto(`${demo.base}/pair.html`);
  await is(page, 'failed');
  await page.context().close();
});

for (const name of NAMES)
  test(`${name}: cut off`, async () => {
    const page = await openPhone(browser, demo);
    await page.route('**/api/v1/**', (route) => route.abort());
    await page.goto(`${demo.base}/${address[name]}`, { waitUntil: 'commit' });
    await is(page, 'offline');
    await picture(page);
    assert.ok(await page.locator('#status button').isVisible(), 'a way to try again');
    assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth));
    await page.context().close();
  });

for (const [name, says, way] of [['index', 'Your first tank', 'Measure a vessel'], ['shelf', 'Nothing on hand yet', 'Add a bag'], ['harvests', 'Nothing harvested yet', null], ['garden', 'No tank yet', 'Measure a vessel'],
  ['labels', 'No tank yet', 'Measure a vessel'], ['tank', 'does not say which tank', 'Today'], ['mix', 'no tank, just a volume', 'Work out the grams'], ['plan', 'An example, until you have measured', 'Next'],
  ['batch', 'No tank yet', 'Measure a vessel'], ['round', 'No tank yet', 'Measure a vessel'], ['import', 'a reading belongs to one', 'Measure a vessel'], ['lid', 'No lid to draw', 'Measure a vessel'], ['season', 'No tank yet', 'Measure a vessel']])
  test(`${name}: an empty garden says what comes first`, async () => {
    const page = await openPhone(browser, empty);
    await page.goto(`${empty.base}/${name}.html`);
    await page.waitForFunction(() => !document.getElementById('status').classList.contains('loading') || document.getElementById('status').textContent === '');
    await page.waitForFunction((text) => document.querySelector('main').innerText.includes(text) || [...document.querySelectorAll('option')].some((one) => one.textContent.includes(text)), says);
    if (way) assert.ok(await page.locator('main, .daily').locator('a, button').filter({ hasText: way }).first().isVisible(), way);
    assert.deepEqual(page.complaints, []);
    await page.context().close();
  });

test('a garden with tanks of which none is filled leads to them', async () => {
  const page = await openPhone(browser, empty);
  await page.goto(`${empty.base}/index.html`);
  const id = '01990000-0000-7000-8000-00000000000a';
  await ask(page, 'vessels', 'POST', { id, name: 'Bucket', shape: { shape: 'round', floor_mm: 240, rim_mm: 290, height_mm: 350 },
    lid: { lid_mm: [290, 290], corner_mm: 145, hole_mm: 76, edge_mm: 40, spacing_mm: 150, pattern: 'best' }, cups: [{ x_mm: 145, y_mm: 145 }], cup: { height_mm: 76, top_mm: 76, bottom_mm: 51, medium_fraction: 0.5 }, start_mm: 312 });
  assert.equal((await ask(page, 'tanks', 'POST', { name: 'Bucket 1', area: null, vessel: id })).status, 201);
  await page.goto(`${empty.base}/batch.html`);
  await page.getByRole('link', { name: 'See which are empty' }).click();
  await page.getByText('Bucket 1').first().waitFor();
  await page.goto(`${empty.base}/import.html`);
  await page.locator('#table-form').waitFor();
  await page.goto(`${empty.base}/round.html`);
  await page.getByRole('button', { name: 'Make a round' }).waitFor();
  await page.goto(`${empty.base}/lid.html`); // named by nobody, it asks which
  await page.getByRole('link', { name: 'Bucket' }).click();
  await page.getByRole('button', { name: 'Print the template' }).waitFor();
  assert.deepEqual(page.complaints, []);
  await page.context().close();
});
