// The Harvests page tells what the sqlite3 shell makes of the same data: open greenhouse data, imported head by head.
// Source: 3rd Autonomous Greenhouse Challenge, first experiment 2022 (fixtures/horticulture/README.md). Lamps are invented.
import assert from 'node:assert/strict';
import { execFileSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import path from 'node:path';
import { after, before, test } from 'node:test';
import { ask, launch, openPhone, startDaemon } from './harness.mjs';

const source = process.env.TIDEMARK_SRCDIR ?? path.resolve(import.meta.dirname, '../..');
const data = path.join(source, 'fixtures/horticulture/lettuce-greenhouse-2022/final-harvest.csv');
const id = (kind, number) => `01900000-0000-7000-${(0x8000 + kind).toString(16)}-${number.toString(16).padStart(12, '0')}`;
const HEADS = 72, BENCHES = ['A', 'B', 'C', 'D'];

let browser, daemon, page;

async function put(address, body) {
  const { status, body: answer } = await ask(page, address, 'POST', body);
  assert.equal(status, 201, `${address}: ${JSON.stringify(answer)}`);
}

before(async () => {
  browser = await launch();
  daemon = await startDaemon();
  page = await openPhone(browser, daemon);
  await page.goto(`${daemon.base}/harvests.html`);
  await page.locator('#none').waitFor();
  await ask(page, 'garden', 'PATCH', { place: 'lamps', lamp_w: 300, climate: { indoor: { temperature_c: 20, rh_percent: 70, ppfd_umol: 200, hours: 16 } } });
  await put('salts', { id: id(5, 1), name: 'bench bag', label: { n_no3: 15.5 } });
  for (const [i, name] of BENCHES.entries()) {
    await put('vessels', { id: id(1, i), name, shape: { shape: 'box', floor_mm: [2000, 1000], rim_mm: [2000, 1000], height_mm: 300 }, start_mm: 250, low_mm: 40,
      lid: { lid_mm: [2000, 1000], corner_mm: 0, hole_mm: 50, edge_mm: 30, spacing_mm: 100, pattern: 'square' }, cups: Array.from({ length: HEADS }, (_, c) => ({ x_mm: 100 + 10 * (c % 9), y_mm: 100 + 10 * Math.floor(c / 9) })) });
    await put('tanks', { id: id(2, i), name, vessel: id(1, i) });
    await put('entries', { id: id(6, i), tank: id(2, i), kind: 'fill', at: '2022-02-03T08:00:00Z', waterline_mm: 250, weighed: [{ salt: id(5, 1), grams: 200 }] });
    await put('entries', { id: id(3, i), tank: id(2, i), kind: 'planting', at: '2022-02-03T09:00:00Z', crop: 'lettuce-butterhead', count: HEADS });
  }
  const [head, ...lines] = readFileSync(data, 'utf8').trim().split('\n').map((line) => line.split(','));
  const column = (name) => head.indexOf(name), cups = {};
  for (const [row, line] of lines.entries()) {
    const bench = BENCHES.indexOf(line[column('compartment')]);
    cups[bench] = (cups[bench] ?? 0) + 1;
    await put('entries', { id: id(4, row), tank: id(2, bench), kind: 'harvest', at: `${line[column('date')]}T10:00:00Z`, how: 'whole', cups: [cups[bench]], weight_g: Number(line[column('fresh_g')]) });
  }
  await page.goto(`${daemon.base}/harvests.html`);
  await page.locator('#by_tank table').waitFor({ state: 'attached' });
});
after(async () => {
  await browser?.close();
  await daemon?.stop();
});

/* One row a bench: n, mean, median, low, high, by a tool of its own. */
function byShell(what) {
  const query = `WITH f AS (SELECT compartment c, CAST(fresh_g AS REAL) x, julianday(date) - julianday('2022-02-03') d FROM t), v AS (SELECT c, ${what} v FROM f),
    r AS (SELECT c, v, row_number() OVER (PARTITION BY c ORDER BY v) i, count(*) OVER (PARTITION BY c) n FROM v)
    SELECT c, n, avg(v) mean, avg(CASE WHEN i IN ((n + 1) / 2, (n + 2) / 2) THEN v END) median, min(v) low, max(v) high FROM r GROUP BY c ORDER BY c`;
  return JSON.parse(execFileSync('sqlite3', [':memory:', '-cmd', '.mode csv', '-cmd', `.import ${data} t`, '-cmd', '.mode json', query], { encoding: 'utf8' }));
}

/* The rows of the page's table as numbers: [name, n, mean, median, low, high]. */
const onPage = () => page.locator('#by_tank tbody tr').evaluateAll((rows) => rows.map((row) => {
  const [name, n, mean, median, range] = [...row.children].map((cell) => cell.textContent);
  const number = (text) => Number(text.replace(/[^\d.]/g, ''));
  return [name, number(n), number(mean), number(median), ...range.split('–').map(number)];
}));

for (const [measure, what] of [['g_per_plant', 'x'], ['g_per_m2', 'x / (2.0 / 72)'], ['g_per_day', 'x / d'], ['g_per_kwh', 'x / (0.3 * 16 * d / 72)'], ['days', 'd']])
  test(`${measure} on the page is what sqlite3 says`, async () => {
    await page.getByLabel('Look at').selectOption(measure);
    const rows = await onPage();
    assert.equal(rows.length, BENCHES.length);
    for (const [i, shell] of byShell(what).entries()) {
      const [name, n, ...values] = rows[i];
      assert.deepEqual([name, n], [shell.c, shell.n]);
      for (const [j, key] of ['mean', 'median', 'low', 'high'].entries()) {
        const within = shell[key] < 20 ? 0.051 : 0.51; // half of the last digit that is shown
        assert.ok(Math.abs(values[j] - shell[key]) <= within, `${name} ${key}: ${values[j]} on the page, ${shell[key]} by sqlite3`);
      }
    }
  });

test('what nobody measured is said to be unknown', async () => {
  await page.getByLabel('Look at').selectOption('g_per_litre');
  assert.equal(await page.locator('#by_tank').isVisible(), false);
  assert.match(await page.locator('#choose [role=status]').textContent(), /^Not known/);
});

test('published figures stand beside with their source', async () => {
  await page.getByLabel('Look at').selectOption('g_per_plant');
  const text = await page.locator('#published').textContent();
  assert.match(text, /150\s*g\s*–\s*250\s*g/);
  assert.match(text, /CTAHR VC-1/);
  assert.match(await page.locator('#by_crop .hint').textContent(), /common practice, no source/);
});

test('grams of nitrogen count once a fill', async () => {
  await page.getByLabel('Look at').selectOption('g_per_g_n');
  const sums = JSON.parse(execFileSync('sqlite3', [':memory:', '-cmd', '.mode csv', '-cmd', `.import ${data} t`, '-cmd', '.mode json', 'SELECT compartment c, sum(fresh_g) / (200 * 0.155) v FROM t GROUP BY c ORDER BY c'], { encoding: 'utf8' }));
  const rows = await onPage();
  sums.forEach(({ c, v }, i) => assert.ok(rows[i][0] === c && rows[i][1] === 1 && Math.abs(rows[i][3] - v) <= 0.51, `${c}: ${rows[i]}, ${v} by sqlite3`));
});

test('no member is told apart where the garden does not ask for it', async () => {
  assert.equal(await page.locator('#by_member').isVisible(), false);
});

test('nothing complained on the way', () => assert.deepEqual(page.complaints, []));
