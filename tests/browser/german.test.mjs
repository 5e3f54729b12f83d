// Every page in German, with what the daemon itself says: reasons, cautions, faults. What the garden's people wrote stays as it is.
// The words looked for are English and no German ones: ours.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { ask, launch, openPhone, startDaemon } from './harness.mjs';

let browser, daemon, page, tanks, own;

const ENGLISH = /\b(?:the|and|of|is|are|with|from|must|than|there|this|that|which|water|keep|wear|until|below|above)\b/i;

before(async () => {
  browser = await launch();
  daemon = await startDaemon(['--demo']);
  page = await openPhone(browser, daemon, { locale: 'de-DE' });
  await page.goto(`${daemon.base}/index.html`);
  assert.equal((await ask(page, 'garden', 'PATCH', { language: 'de' })).status, 200);
  tanks = (await ask(page, 'tanks')).body.items;
  // Texts that people (or the invented garden) wrote, and names and sources of what is published, which are cited as they are.
  own = new Set();
  for (const list of ['tanks', 'areas', 'vessels', 'waters', 'targets', 'crops', 'salts', 'members', 'entries', 'devices'])
    for (const item of (await ask(page, `${list}?limit=500`)).body.items ?? [])
      for (const key of ['name', 'note', 'source', 'member_name', 'device_name']) if (typeof item[key] === 'string') own.add(item[key].trim());
  for (const crop of (await ask(page, 'crops?limit=500')).body.items) own.add(crop.nitrate.source);
  own.add((await ask(page, 'garden')).body.name);
});
after(async () => {
  await browser?.close();
  await daemon?.stop();
});

/* All that can be read on the page now; lines that are somebody's own words are left out. */
async function english() {
  const lines = (await page.evaluate(() => [...document.querySelectorAll('details')].forEach((one) => { one.open = true; }) ?? document.body.innerText)).split('\n');
  const texts = [...own].filter(Boolean).sort((a, b) => b.length - a.length);
  return lines.map((line) => texts.reduce((left, text) => left.replaceAll(text, ''), line)).filter((line) => ENGLISH.test(line));
}

const settled = () => page.waitForFunction(() => document.getElementById('status')?.textContent === '');
const pages = () => ['index.html', ...tanks.map((tank) => `tank.html?id=${tank.id}`), `mix.html?tank=${tanks[0].id}`, 'plan.html', `lid.html?vessel=${tanks[0].vessel}`, 'shelf.html', 'harvests.html', 'garden.html', 'import.html', 'labels.html', 'round.html', 'batch.html', 'pair.html'];

test('no page says anything in English', async () => {
  for (const address of pages()) {
    await page.goto(`${daemon.base}/${address}`);
    if (address !== 'pair.html') await settled();
    await page.waitForFunction(() => document.documentElement.lang === 'de');
    assert.deepEqual(await english(), [], address);
  }
});

test('nor does any form, with the reasons for a top-up', async () => {
  let reasons = 0;
  for (const tank of tanks.filter((one) => one.state?.phase !== 'empty')) {
    for (const kind of ['reading', 'top-up', 'planting', 'harvest', 'fill', 'clean-out', 'note']) {
      await page.goto(`${daemon.base}/tank.html?id=${tank.id}&log=${kind}`);
      await page.locator('dialog.log-form').waitFor();
      assert.deepEqual(await english(), [], `${tank.name}: ${kind}`);
      if (kind === 'top-up') reasons += await page.locator('dialog details p').count();
      if (tank !== tanks[0] && kind === 'top-up') break; // one tank's forms, every tank's reasons
    }
  }
  assert.ok(reasons > 5, `${reasons} reasons were read`);
});

test('nor does a recipe with its cautions, its order and its stock solutions', async () => {
  await page.goto(`${daemon.base}/mix.html`);
  await settled();
  await page.locator('#ask-fields input.big').fill('120');
  await page.locator('#compute').click();
  await page.locator('#recipe-body details').first().waitFor();
  assert.deepEqual(await english(), []);
  await page.locator('#recipe-body section').first().waitFor();
  assert.deepEqual(await english(), []);
});

test('nor does a refusal', async () => {
  const refused = await page.evaluate(async () => {
    const answers = [];
    for (const [path, method, body] of [['garden', 'PATCH', { time_zone: 'Mars/North' }], ['calc/vessel', 'POST', { vessel: { shape: 'box', floor_mm: [400, 300], rim_mm: [400, 300], height_mm: 300 }, waterline_mm: 400.5 }], ['nothing', 'GET'], ['tanks/none', 'GET'], ['salts', 'POST', { name: 'x' }]]) {
      const response = await fetch(`/api/v1/${path}`, { method, headers: { 'Accept-Language': 'de', ...(body ? { 'Content-Type': 'application/json' } : {}) }, body: body && JSON.stringify(body) });
      const { title, detail, errors } = await response.json();
      answers.push(title, detail, ...errors.map((error) => error.detail));
    }
    return answers;
  });
  assert.ok(refused.length > 10);
  assert.deepEqual(refused.filter((text) => ENGLISH.test(text)), []);
  assert.ok(refused.some((text) => text.includes('war 400,5')), 'numbers with a comma');
});

test('a form shows the refusal at its field', async () => {
  await page.goto(`${daemon.base}/garden.html`);
  await settled();
  await page.getByLabel('Zeitzone').fill('Mars/North');
  await page.locator('#settings-form button[type=submit]').click();
  await page.locator('.fault:visible').first().waitFor();
  assert.deepEqual(await english(), []);
});

test('English stays for who asks for it, and for programs that ask for nothing', async () => {
  const detail = (language) => page.evaluate(async (wanted) => (await (await fetch('/api/v1/tanks/none', { headers: { 'Accept-Language': wanted } })).json()).detail, language);
  assert.equal(await detail('en'), 'there is no such tank');
  assert.equal(await detail('de'), 'dieses Becken gibt es nicht');
  assert.equal((await (await fetch(`${daemon.base}/api/v1/tanks/none`)).json()).detail, 'there is no such tank');
});

test('nothing complained on the way', () => assert.deepEqual(page.complaints.filter((text) => !/40[04]|422/.test(text)), []));
