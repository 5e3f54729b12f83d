// What a phone has to load on a first visit, headers included. Bounds: the budgets of the project (ours).
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

async function weigh(address) {
  const page = await openPhone(browser, daemon);
  const wire = await page.context().newCDPSession(page);
  let bytes = 0;
  await wire.send('Network.enable');
  wire.on('Network.loadingFinished', (event) => { bytes += event.encodedDataLength; });
  await page.goto(`${daemon.base}/${address}`);
  await page.waitForFunction(() => document.getElementById('status').textContent === '');
  await page.waitForLoadState('load');
  const found = bytes;
  await page.context().close();
  return found;
}

for (const [name, most_kb] of [['index.html', 60], ['tank.html', 100], ['mix.html', 100], ['plan.html', 100], ['shelf.html', 100], ['harvests.html', 100], ['garden.html', 100], ['round.html', 100], ['batch.html', 100]])
  test(`${name} within ${most_kb} kB`, async () => {
    const bytes = await weigh(name === 'tank.html' ? `${name}?id=${tank.id}` : name);
    assert.ok(bytes > 10000, 'something was loaded');
    assert.ok(bytes <= most_kb * 1000, `${bytes} bytes`);
  });
