// What the pages make of the daemon's sums, before anything is drawn. No browser, no daemon.
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import path from 'node:path';
import { test } from 'node:test';
import { pathToFileURL } from 'node:url';

const www = path.join(process.env.TIDEMARK_SRCDIR ?? path.resolve(import.meta.dirname, '../..'), 'www');
const load = (name) => import(pathToFileURL(path.join(www, name)).href);

/* words.js gets its files by fetch; here they come from the folder. */
globalThis.document = { documentElement: { dataset: { words: 'desk' } } };
globalThis.fetch = async (address) => new Response(readFileSync(new URL(address), 'utf8'));
await (await load('words.js')).loadWords('en');

const planning = await load('planning.js');

test('chances are never rounded up', () => { // rule: ours
  for (const [share, text] of [[1, '99 chances in 100'], [0.989, '9 chances in 10'], [0.9, '9 chances in 10'], [0.899, '8 chances in 10'], [0.19, '1 chance in 10'], [0.099, 'less than 1 chance in 10'], [0, 'less than 1 chance in 10']])
    assert.equal(planning.chances(share), text);
});

test('the curve looks past the cups, and never further than the daemon answers', () => { // rule: ours
  assert.deepEqual([planning.plantsAsked(2, 2), planning.plantsAsked(20, 6), planning.plantsAsked(60, 60)], [12, 22, 60]);
});

test('a missing climate is told from any other refusal', () => {
  assert.ok(planning.lacksClimate({ status: 422, errors: [{ at: '/climate', detail: 'is needed' }] }));
  assert.ok(!planning.lacksClimate({ status: 422, errors: [{ at: '/low_mm', detail: 'is above the start' }] }));
  assert.ok(!planning.lacksClimate(new TypeError('no answer')));
});

/* A course as the daemon tells it; the numbers are invented. */
const COURSE = [{ waterline_mm: 300, volume_l: 50, ec_ms_cm: 1, ph: 6 }, { waterline_mm: 200, volume_l: 30, ec_ms_cm: 1.2, ph: 6.2 }, { waterline_mm: 50, volume_l: 8, ec_ms_cm: 1.8, ph: 6.8 }];

test('a computed course is read off between its points and nowhere else', async () => {
  const { courseAt } = await load('drift.js');
  const near = (at, ec, ph) => assert.ok(Math.abs(at.ec_ms_cm - ec) < 1e-9 && Math.abs(at.ph - ph) < 1e-9, JSON.stringify(at));
  near(courseAt(COURSE, 300), 1, 6);
  near(courseAt(COURSE, 250), 1.1, 6.1);
  near(courseAt(COURSE, 125), 1.5, 6.5);
  near(courseAt(COURSE, 50), 1.8, 6.8);
  near(courseAt(COURSE, 301), 1, 6); // within a reading by eye
  assert.equal(courseAt(COURSE, 310), null);
  assert.equal(courseAt(COURSE, 40), null);
});

test('the course goes through the readings, then on by the outlook, and ends at the low mark', async () => {
  const { courseOnDays } = await load('drift.js');
  const given = { filled: 0, levels: [{ t: 4, waterline_mm: 250 }, { t: 5, waterline_mm: 255 }], ahead: [{ t: 3, waterline_mm: 260 }, { t: 8, waterline_mm: 125 }, { t: 9, waterline_mm: 20 }] };
  assert.deepEqual(courseOnDays(COURSE, given).map((row) => [row.t, Number(row.ec_ms_cm.toFixed(3)), row.ahead]), [[0, 1, false], [4, 1.1, false], [5, 1.1, false], [8, 1.5, true]]);
  // After a top-up it is other water: nothing is promised.
  assert.deepEqual(courseOnDays(COURSE, { ...given, topped_up: 4.5 }).map((row) => row.t), [0, 4]);
  assert.deepEqual(courseOnDays(COURSE, { ...given, levels: [], ahead: [] }), []);
});

test('readings off the computed course are told by their middle gap, when it matters', async () => {
  const { offBy } = await load('drift.js');
  const course = [{ t: 0, ph: 6, ec_ms_cm: 1 }, { t: 10, ph: 7, ec_ms_cm: 1 }];
  assert.equal(offBy('ph', course, [{ t: 5, v: 5.5 }, { t: 10, v: 6 }, { t: 0, v: 9 }]), -1);
  assert.equal(offBy('ph', course, [{ t: 5, v: 6.6 }]), null); // 0.1: nothing
  assert.equal(offBy('ph', course, [{ t: 11, v: 2 }]), null); // past the course
});

test('how long the water lasts is one sentence, open where the range is', async () => {
  const { lastsSentence, span } = await load('sentences.js');
  const garden = { today: '2026-05-25', time_zone: 'Europe/Berlin' };
  const plainly = (text) => text.replaceAll('\u00a0', ' ').replace('Wed, ', 'Wed '); // the comma comes and goes with the version of ICU
  const said = (p10, p50, p90) => plainly(lastsSentence({ low_on: { p10, p50, p90 } }, garden));
  assert.equal(said('2026-06-03', '2026-06-05', '2026-06-08'), 'About 11 days of water: likely to run low between Wed 3 Jun and 8 Jun.');
  assert.match(said('2026-05-26', '2026-05-26', '2026-05-26'), /^About 1 day of water/);
  assert.equal(said('2026-05-25', '2026-05-25', '2026-05-25'), 'It is about to run low, or has.');
  // The far end is later than anybody looks: not where the middle lies.
  assert.equal(said('2026-08-03', '2026-10-05', null), 'About 133 days of water: likely to run low from 3 Aug.');
  assert.match(said('2026-08-03', null, null), /^It may run low from 3 Aug;/);
  assert.equal(said(null, null, null), 'Water for more than half a year.');
  assert.equal(lastsSentence(null, garden), '');
  assert.equal(plainly(span({ p10: null, p50: '2026-06-03', p90: null }, garden)), 'Wed 3 Jun');
});

test('a bottle of stock: grams, what it makes, and what stands on it', async () => {
  const { bottleGrams, bottleMakes, labelLines } = await load('stocks.js');
  const stock = { name: 'A', dose_ml_l: 4, salts: [{ salt: 'calcium-nitrate-double', g_l: 120 }, { salt: 'iron-dtpa-11', g_l: 0.25 }] }; // invented
  assert.deepEqual(bottleGrams(stock, 2), [{ salt: 'calcium-nitrate-double', grams: 240 }, { salt: 'iron-dtpa-11', grams: 0.5 }]);
  assert.equal(bottleMakes(stock, 2), 500);
  const lines = labelLines(stock, { factor: 250, bottle_l: 2, temperature_c: 25, garden: { volume_unit: 'l', mass_unit: 'g', temperature_unit: 'c' }, nameOf: (id) => id.toUpperCase() });
  for (const part of ['Stock A, 250 times', '4\u00a0mL', '240\u00a0g CALCIUM-NITRATE-DOUBLE', '0.5\u00a0g IRON-DTPA-11', '25\u00a0°C', 'Made on'])
    assert.ok(lines.some((line) => line.includes(part)), `${part} is on ${lines.join(' | ')}`);
});

test('what a strip says goes out with its classes and is kept as measured', async () => {
  const { missingIon, waterMeasured, waterQuestion } = await load('waters.js');
  const strip = waterQuestion('strip', { 'hardness_mg_caco3_l.value': 180, 'hardness_mg_caco3_l.low': 120, 'hardness_mg_caco3_l.high': 250, 'ph.value': 7, wished: 40 });
  assert.deepEqual(strip, { basis: 'strip', strip: { hardness_mg_caco3_l: { value: 180, low: 120, high: 250 }, ph: { value: 7, low: 7, high: 7 } }, wished_alkalinity_mg_caco3_l: 40 });
  assert.deepEqual(waterMeasured(strip), { hardness_mg_caco3_l: 180, ph: 7 });
  assert.deepEqual(waterMeasured(waterQuestion('analysis', { ph: 7, ca_mg_l: 60, ec_ms_cm: 0.5, wished: 10 })), { ph: 7, ca_mg_l: 60, ec_ms_cm: 0.5 });
  assert.deepEqual(waterQuestion('ec', { ec_ms_cm: 0.4, ph: 7 }), { basis: 'ec', ec_ms_cm: 0.4 });
  assert.deepEqual(missingIon('chloride, about 12 mg/L: a guess'), { ion: 'chloride', mg_l: 12 });
  assert.equal(missingIon(null), null);
});

test('a check of a meter is told by its sign', async () => {
  const { checkWord } = await load('meters.js');
  assert.deepEqual([{ good: true, off_percent: -1 }, { good: false, off_percent: -3 }, { good: false, off_percent: 3 }].map(checkWord), ['meter.good', 'meter.low', 'meter.high']);
});
