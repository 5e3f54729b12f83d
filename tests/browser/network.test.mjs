// A network that fails, dawdles, or answers twice; fingers that tap twice. All of it invented.
import assert from 'node:assert/strict';
import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { after, before, test } from 'node:test';
import { ask, firstLink, launch, openPhone, startDaemon } from './harness.mjs';

let browser, daemon, page, tank;

const VESSEL = { id: '01990000-0000-7000-8000-00000000000a', name: 'Bucket', shape: { shape: 'round', floor_mm: 240, rim_mm: 290, height_mm: 350 },
  lid: { lid_mm: [290, 290], corner_mm: 145, hole_mm: 76, edge_mm: 40, spacing_mm: 150, pattern: 'best' }, cups: [{ x_mm: 145, y_mm: 145 }],
  cup: { height_mm: 76, top_mm: 76, bottom_mm: 51, medium_fraction: 0.5 }, start_mm: 312 };

before(async () => {
  browser = await launch();
  daemon = await startDaemon();
  page = await openPhone(browser, daemon);
  await page.goto(await firstLink(daemon));
  await page.getByRole('button', { name: 'Pair it' }).click();
  await page.waitForURL(/index\.html$/);
  assert.equal((await ask(page, 'vessels', 'POST', VESSEL)).status, 201);
  tank = (await ask(page, 'tanks', 'POST', { name: 'Bucket 1', area: null, vessel: VESSEL.id })).body;
  const fill = { id: '01990000-0000-7000-8000-00000000000b', tank: tank.id, kind: 'fill', at: '2026-01-02T08:00:00Z', waterline_mm: 312 };
  assert.equal((await ask(page, 'entries', 'POST', fill)).status, 201);
  await page.goto(`${daemon.base}/tank.html?id=${tank.id}`);
  await page.getByRole('button', { name: 'Reading', exact: true }).waitFor();
});
after(async () => {
  await browser?.close();
  await daemon?.stop();
});

const readings = async () => (await ask(page, `tanks/${tank.id}/entries`)).body.items.filter((entry) => entry.kind === 'reading');
async function logReading(value, press = (button) => button.click(), phone = page) {
  await phone.getByRole('button', { name: 'Reading', exact: true }).click();
  await phone.locator('dialog input.big').fill(value);
  await press(phone.getByRole('button', { name: 'Log it' }));
}

test('a double tap logs once', async () => {
  await logReading('300', (button) => button.dblclick());
  await page.getByText('Reading logged.').waitFor();
  assert.equal((await readings()).length, 1);
});

test('an answer that is slow, or lost on its way back, is one entry all the same', async () => {
  let turn = 0;
  await page.route('**/api/v1/entries', async (route) => {
    if (route.request().method() !== 'POST') return route.continue();
    if (turn++ === 0) {
      await route.fetch(); // the daemon has it, the phone never hears so
      return route.abort();
    }
    await new Promise((resolve) => setTimeout(resolve, 1500));
    return route.continue();
  });
  await logReading('295');
  await page.getByText('kept on this phone').waitFor();
  await page.getByRole('button', { name: /1 entry waits/ }).click();
  await page.getByRole('button', { name: 'Send now' }).click();
  await page.waitForFunction(() => !document.getElementById('waits'));
  await page.unroute('**/api/v1/entries');
  assert.deepEqual((await readings()).map((entry) => entry.waterline_mm).sort(), [295, 300]);
});

test('with the daemon gone, entries wait in order, survive a new page, and are sent when it is back', async () => {
  await daemon.halt();
  await logReading('290');
  await page.getByText('kept on this phone').first().waitFor();
  await logReading('285');
  await page.getByText(/2 entries wait/).waitFor();
  await daemon.start();
  await page.reload();
  await page.waitForFunction(() => !document.getElementById('waits') && document.getElementById('name')?.textContent === 'Bucket 1');
  await page.waitForTimeout(300);
  const sent = (await readings()).sort((a, b) => (a.at < b.at || (a.at === b.at && a.id < b.id) ? -1 : 1)).map((entry) => entry.waterline_mm);
  assert.deepEqual(sent, [300, 295, 290, 285]);
});

test('an entry that waits can be taken back, and is gone when the daemon never had it', async () => {
  await page.context().setOffline(true);
  await logReading('280');
  await page.getByText('kept on this phone').first().waitFor();
  await page.getByRole('button', { name: 'Undo' }).click();
  await page.getByRole('button', { name: /1 entry waits/ }).click();
  await page.getByRole('dialog').getByText('Take an entry back').waitFor();
  await page.context().setOffline(false);
  await page.getByRole('button', { name: 'Send now' }).click();
  await page.waitForFunction(() => !document.getElementById('waits'));
  assert.equal((await readings()).length, 4);
});

test('an entry whose answer was lost can be taken back, too', async () => {
  let lost = false;
  await page.route('**/api/v1/entries', async (route) => {
    if (route.request().method() !== 'POST') return route.continue();
    if (!lost) await route.fetch(); // the daemon has it, the phone never hears so
    lost = true;
    return route.abort();
  });
  await logReading('279');
  await page.getByText('kept on this phone').first().waitFor();
  await page.getByRole('button', { name: 'Undo' }).click();
  await page.getByRole('button', { name: /1 entry waits/ }).click();
  await page.unroute('**/api/v1/entries');
  await page.getByRole('button', { name: 'Send now' }).click();
  await page.waitForFunction(() => !document.getElementById('waits'));
  const there = (await readings()).filter((entry) => entry.waterline_mm === 279);
  assert.equal(there.length, 1);
  assert.ok(there[0].withdrawn_by);
});

test('an entry that waits can be changed', async () => {
  const before = (await readings()).length;
  await page.context().setOffline(true);
  await logReading('278');
  await page.getByText('kept on this phone').first().waitFor();
  await page.route('**/api/v1/entries', (route) => (route.request().method() === 'POST' ? route.abort() : route.continue()));
  await page.context().setOffline(false);
  await page.getByRole('button', { name: /1 entry waits/ }).click();
  await page.getByRole('dialog').getByText('278 mm').waitFor();
  await page.getByRole('dialog').getByRole('link', { name: /Change/ }).click();
  const field = page.locator('dialog input.big');
  await field.waitFor();
  assert.equal(await field.inputValue(), '278');
  await page.unroute('**/api/v1/entries');
  await field.fill('268');
  await page.getByRole('dialog').getByRole('button', { name: 'Save the correction' }).click();
  await page.waitForFunction(() => !document.getElementById('waits') && !document.querySelector('dialog'));
  const counted = (await readings()).filter((entry) => !entry.withdrawn_by);
  assert.ok(counted.some((entry) => entry.waterline_mm === 268));
  assert.ok(!counted.some((entry) => entry.waterline_mm === 278));
  assert.ok((await readings()).length <= before + 2);
});

test('a page that cannot load says so and offers to try again', async () => {
  const other = await openPhone(browser, daemon, { storageState: await page.context().storageState() });
  await other.route('**/api/v1/today', (route) => route.abort());
  await other.goto(`${daemon.base}/index.html`);
  await other.getByText(/Nobody answers/).waitFor();
  await other.unroute('**/api/v1/today');
  await other.getByRole('button', { name: 'Try again' }).click();
  await other.getByText('Bucket 1').first().waitFor();
  await other.route('**/api/v1/today', (route) => route.abort());
  await other.reload();
  await other.getByText(/You see what was known on/).waitFor(); // the answer kept from before
  await other.getByText('Bucket 1').first().waitFor();
  await other.context().close();
});

test('what the daemon refuses stays in the form, at its field', async () => {
  await page.route('**/api/v1/entries', (route) => (route.request().method() === 'POST' ? route.continue({ postData: JSON.stringify({ ...route.request().postDataJSON(), waterline_mm: 9999 }) }) : route.continue()));
  await logReading('270');
  await page.locator('dialog .fault:visible').first().waitFor();
  assert.equal(await page.locator('dialog input.big').inputValue(), '270');
  await page.unroute('**/api/v1/entries');
  await page.getByRole('button', { name: 'Cancel' }).click();
  assert.ok(!(await readings()).some((entry) => entry.waterline_mm === 270));
  assert.equal(await page.locator('#waits').count(), 0);
});

test('where the browser allows it, a page seen before opens with the daemon gone', async () => {
  const other = await openPhone(browser, daemon, { storageState: await page.context().storageState(), serviceWorkers: 'allow' });
  await other.goto(`${daemon.base}/index.html`);
  await other.evaluate(() => navigator.serviceWorker.ready);
  await other.reload(); // now through the worker
  await other.getByText('Bucket 1').first().waitFor();
  await daemon.halt();
  await other.reload();
  await other.getByText(/You see what was known on/).waitFor();
  await other.getByText('Bucket 1').first().waitFor();
  await daemon.start();
  await other.getByRole('button', { name: 'Try again' }).click();
  await other.waitForFunction(() => document.getElementById('status').textContent === '');
  await other.context().close();
});

test('what was put off stays so when the daemon is started anew, without script, too', async () => {
  assert.equal((await ask(page, 'tanks', 'POST', { name: 'Bucket 2', area: null, vessel: VESSEL.id })).status, 201);
  await page.goto(`${daemon.base}/index.html`);
  await page.getByRole('button', { name: 'Not today: Bucket 2' }).click();
  await page.locator('#off-list').getByText('Bucket 2').waitFor();
  await daemon.halt();
  await daemon.start();
  await page.reload();
  await page.locator('#off-list').getByText('Bucket 2').waitFor();
  assert.equal(await page.locator('#due h2').filter({ hasText: 'Bucket 2' }).count(), 0);
  const plain = await openPhone(browser, daemon, { storageState: await page.context().storageState(), javaScriptEnabled: false });
  await plain.goto(`${daemon.base}/plain`);
  await plain.getByText('1 matter is put off.').waitFor();
  assert.doesNotMatch(await plain.locator('li', { hasText: 'Bucket 2' }).innerText(), /Empty/);
  await plain.getByRole('link', { name: 'Bucket 2' }).click();
  await plain.getByText('1 matter is put off.').waitFor();
  await plain.context().close();
});

/* 127.0.0.1 is a secure context to a browser; a garden's own name on plain HTTP is not, and TLS is. */
for (const { name, scheme, secure } of [{ name: 'on plain HTTP', scheme: 'http', secure: false }, { name: 'over TLS', scheme: 'https', secure: true }]) {
  test(`${name} an entry survives a closed tab, and is there once`, async () => {
    const folder = mkdtempSync(path.join(tmpdir(), 'tidemark-tls-'));
    const [key, cert] = [path.join(folder, 'key.pem'), path.join(folder, 'cert.pem')];
    execFileSync('openssl', ['req', '-x509', '-newkey', 'ec', '-pkeyopt', 'ec_paramgen_curve:P-256', '-nodes', '-days', '2', '-subj', '/CN=garden.test', '-keyout', key, '-out', cert], { stdio: 'ignore' });
    const there = await launch(['--host-resolver-rules=MAP garden.test 127.0.0.1']);
    const garden = await startDaemon(['--host', 'garden.test', ...(secure ? ['--tls-cert', cert, '--tls-key', key] : [])]);
    garden.base = `${scheme}://garden.test:${new URL(garden.base).port}`;
    try {
      const phone = await openPhone(there, garden, { ignoreHTTPSErrors: true });
      await phone.goto(await firstLink(garden));
      assert.equal(await phone.evaluate(() => isSecureContext), secure);
      await phone.getByRole('button', { name: 'Pair it' }).click();
      await phone.waitForURL(/index\.html$/);
      await ask(phone, 'vessels', 'POST', VESSEL);
      const { id } = (await ask(phone, 'tanks', 'POST', { name: 'Bucket 1', area: null, vessel: VESSEL.id })).body;
      await ask(phone, 'entries', 'POST', { id: '01990000-0000-7000-8000-00000000000b', tank: id, kind: 'fill', at: '2026-01-02T08:00:00Z', waterline_mm: 312 });
      await phone.goto(`${garden.base}/tank.html?id=${id}`);
      await phone.getByRole('button', { name: 'Reading', exact: true }).waitFor();
      await garden.halt();
      await logReading('299', undefined, phone);
      await phone.getByText('kept on this phone').first().waitFor();
      const context = phone.context();
      await phone.close();
      await garden.start();
      const later = await context.newPage();
      await later.goto(`${garden.base}/tank.html?id=${id}`);
      await later.getByText('waterline 299 mm').first().waitFor();
      await later.reload();
      await later.getByText('waterline 299 mm').first().waitFor();
      assert.equal((await ask(later, `tanks/${id}/entries`)).body.items.filter((entry) => entry.kind === 'reading').length, 1);
    } finally {
      await there.close();
      await garden.stop();
      rmSync(folder, { recursive: true });
    }
  });
}
