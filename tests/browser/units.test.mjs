// Every page in every system of units and both languages: no bare number, no overflow, no stored value changed.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { ask, launch, openPhone, startDaemon } from './harness.mjs';

let browser, daemon, page, tank;

const SYSTEMS = [
  { length_unit: 'mm', volume_unit: 'l', temperature_unit: 'c', mass_unit: 'g', language: 'en', shows: /\d.mm\b/, never: /\d.(in|gal|lb|°F)\b/ },
  { length_unit: 'in', volume_unit: 'us_gal', temperature_unit: 'f', mass_unit: 'oz', language: 'en', shows: /\d.in\b/, never: /\d\u00a0(mm|cm|L|°C)\b/ },
  { length_unit: 'cm', volume_unit: 'imp_gal', temperature_unit: 'c', mass_unit: 'g', language: 'de', shows: /\d.cm\b/, never: /\d\u00a0(mm|L|°F)\b|\d\.\d+\u00a0(cm|g)\b/ },
  { length_unit: 'in', volume_unit: 'l', temperature_unit: 'c', mass_unit: 'g', language: 'en', shows: /\d.in\b/, never: /\d\u00a0(mm|cm|US gal|°F)\b/ },
];

before(async () => {
  browser = await launch();
  daemon = await startDaemon(['--demo']);
  page = await openPhone(browser, daemon);
  await page.goto(`${daemon.base}/index.html`);
  const { body } = await ask(page, 'tanks');
  tank = body.items.find((one) => one.drawing?.waterline_mm && one.outlook) ?? body.items[0];
  assert.ok(tank, 'the demo has a tank with water in it');
});
after(async () => {
  await browser?.close();
  await daemon?.stop();
});

const pages = () => ['index.html', `tank.html?id=${tank.id}`, `mix.html?tank=${tank.id}`, 'plan.html', `lid.html?vessel=${tank.vessel}`, 'season.html', 'shelf.html', 'harvests.html', 'garden.html', 'import.html', 'labels.html', 'round.html', 'batch.html'];

for (const { shows, never, ...settings } of SYSTEMS)
  test(`${Object.values(settings).join(', ')}`, async () => {
    assert.equal((await ask(page, 'garden', 'PATCH', settings)).status, 200);
    for (const address of pages()) {
      await page.goto(`${daemon.base}/${address}`);
      await page.waitForFunction(() => document.getElementById('status')?.textContent === '');
      const text = await page.locator('main').innerText();
      const fixed = text.replace(/(Leaf lettuce|Pflücksalat):? 150[^\n]*/g, '').replace(/100.mm/g, ''); // published spacing; the check bar is 100 mm everywhere
      if (!/(lid|plan|garden|labels)\.html/.test(address)) assert.doesNotMatch(fixed, never, address);
      if (/^tank/.test(address)) assert.match(text, shows);
      assert.doesNotMatch(text, /NaN|undefined|\[object|\{\w+\}|Infinity/, address);
      assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth), `${address} is wider than the screen`);
    }
  });

test('opening and saving a form changes no stored value', async () => {
  const entry = { id: '01990000-0000-7000-8000-0000000000aa', tank: tank.id, kind: 'reading', at: new Date(Date.now() - 60000).toISOString().slice(0, 19) + 'Z', waterline_mm: 123.4567, ec_ms_cm: 1.23456, temperature_c: 21.3579 };
  assert.equal((await ask(page, 'entries', 'POST', entry)).status, 201);
  for (const { shows, never, ...settings } of SYSTEMS) {
    await ask(page, 'garden', 'PATCH', { ...settings, language: 'en' });
    await page.goto(`${daemon.base}/tank.html?id=${tank.id}`);
    await page.locator('#history li:not(.gone)').first().getByRole('button').click();
    await page.getByRole('button', { name: 'Save the correction' }).click();
    await page.getByText('Reading logged.').waitFor();
    const { body } = await ask(page, `tanks/${tank.id}/entries?limit=1`);
    for (const name of ['waterline_mm', 'ec_ms_cm', 'temperature_c', 'at']) assert.equal(body.items[0][name], entry[name], `${name} under ${settings.length_unit}`);
  }
});

test('nothing complained on the way', () => assert.deepEqual(page.complaints, []));
