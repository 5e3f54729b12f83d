// What a phone has to load on a first visit, headers included, in each language. Bounds: the budgets of the project (ours).
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { ask, launch, openPhone, startDaemon } from './harness.mjs';

let browser, daemon, tank;

before(async () => {
  browser = await launch();
  daemon = await startDaemon(['--demo']);
  const page = await openPhone(browser, daemon);
  await page.goto(`${daemon.base}/index.html`);
  [tank] = (await ask(page, 'tanks')).body.items;
  await page.context().close();
});
after(async () => {
  await browser?.close();
  await daemon?.stop();
});

async function weigh(address, { of = daemon, language = 'en' } = {}) {
  const page = await openPhone(browser, of, { locale: language });
  if (language !== 'en') await page.addInitScript((chosen) => localStorage.setItem('tidemark.language', chosen), language); // the garden's own is English
  const wire = await page.context().newCDPSession(page);
  let bytes = 0;
  await wire.send('Network.enable');
  wire.on('Network.loadingFinished', (event) => { bytes += event.encodedDataLength; });
  await page.goto(`${of.base}/${address}`);
  await page.waitForFunction(() => document.getElementById('status').textContent === '');
  await page.waitForLoadState('load');
  const found = bytes;
  await page.context().close();
  return found;
}

const ADDRESS = { tank: () => `tank.html?id=${tank.id}`, lid: () => `lid.html?vessel=${tank.vessel}`, pair: () => 'pair.html#invented' };
const BOUNDS_KB = [['index', 60], ...['tank', 'mix', 'plan', 'lid', 'shelf', 'harvests', 'garden', 'labels', 'pair', 'import', 'round', 'batch', 'season'].map((name) => [name, 100])];

for (const [name, most_kb] of BOUNDS_KB)
  for (const language of ['en', 'de'])
    test(`${name}.html within ${most_kb} kB, ${language}`, async (t) => {
      const bytes = await weigh(ADDRESS[name]?.() ?? `${name}.html`, { language });
      t.diagnostic(`${(bytes / 1000).toFixed(1)} kB`);
      assert.ok(bytes > 10000, 'something was loaded');
      assert.ok(bytes <= most_kb * 1000, `${bytes} bytes`);
    });

test('many readings at 200 tanks within 100 kB', async () => {
  const large = await startDaemon();
  try {
    const page = await openPhone(browser, large);
    await page.goto(`${large.base}/index.html`);
    const pad = (n) => String(n).padStart(12, '0');
    const vessel = { id: `01990000-0000-7000-8000-${pad(1)}`, name: 'Tub', shape: { shape: 'box', floor_mm: [420, 270], rim_mm: [470, 320], height_mm: 320, corner_mm: 40 },
      cups: [-150, 0, 150].map((x_mm) => ({ x_mm: 235 + x_mm, y_mm: 160 })), cup: { height_mm: 76, top_mm: 76, bottom_mm: 51, medium_fraction: 0.5 }, start_mm: 290 };
    assert.equal((await ask(page, 'vessels', 'POST', vessel)).status, 201);
    for (let i = 1; i <= 200; i++) {
      const id = `01990000-0001-7000-8000-${pad(i)}`;
      await ask(page, 'tanks', 'POST', { id, name: `Tub ${i}`, area: null, vessel: vessel.id });
      const filled = await ask(page, 'entries', 'POST', { id: `01990000-0002-7000-8000-${pad(i)}`, tank: id, kind: 'fill', at: `2026-03-${String(1 + i % 28).padStart(2, '0')}T08:00:00Z`, waterline_mm: 200 + i / 4, ec_ms_cm: 1 + i / 300, ph: 5.5 + i / 400 });
      assert.equal(filled.status, 201);
    }
    await page.context().close();
    const bytes = await weigh('batch.html', { of: large });
    assert.ok(bytes > 10000 && bytes <= 100000, `${bytes} bytes`);
  } finally {
    await large.stop();
  }
});
