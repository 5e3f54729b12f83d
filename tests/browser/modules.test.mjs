// What the pages compute by themselves: numbers as typed, units, ids, days, words. No browser, no daemon.
import assert from 'node:assert/strict';
import { webcrypto } from 'node:crypto';
import { readFileSync, readdirSync } from 'node:fs';
import path from 'node:path';
import { test } from 'node:test';
import { pathToFileURL } from 'node:url';

const www = path.join(process.env.TIDEMARK_SRCDIR ?? path.resolve(import.meta.dirname, '../..'), 'www');
const load = (name) => import(pathToFileURL(path.join(www, name)).href);
const read = (name) => readFileSync(path.join(www, name), 'utf8');
const daily = JSON.parse(read('words/en.json')), desk = JSON.parse(read('words/en-desk.json'));
const english = { ...daily, ...desk };
const german = { ...JSON.parse(read('words/de.json')), ...JSON.parse(read('words/de-desk.json')) };

globalThis.crypto ??= webcrypto; // every browser has it, Debian's node 18 has not

/* words.js gets its files by fetch; here they come from the folder. */
globalThis.document = { documentElement: { dataset: { words: 'desk' } } };
globalThis.fetch = async (address) => new Response(readFileSync(new URL(address), 'utf8'));

const units = await load('units.js');
const words = await load('words.js');
const metric = { length_unit: 'mm', volume_unit: 'l', temperature_unit: 'c', mass_unit: 'g', time_zone: 'Europe/Berlin', today: '2026-05-20' };
const us = { ...metric, length_unit: 'in', volume_unit: 'us_gal', temperature_unit: 'f', mass_unit: 'oz' };
const imperial = { ...metric, length_unit: 'cm', volume_unit: 'imp_gal', temperature_unit: 'f', mass_unit: 'oz' };

await words.loadWords('en');

test('comma and point are both decimal marks, both at once are refused', () => { // rule: ours
  for (const text of ['12.5', '12,5', ' 12.5 ', '+12,5']) assert.deepEqual(units.readNumber(text), { value: 12.5 });
  for (const text of ['1,234.5', '1.234,5']) assert.equal(units.readNumber(text).fault, 'both_marks');
  for (const text of ['12.5.1', '1e3', 'NaN', '12 5', '0x10', '1/0', 'x', '-', '.']) assert.equal(units.readNumber(text).fault, 'not_a_number', text);
  assert.equal(units.readNumber('  ').fault, 'empty');
  assert.deepEqual(units.readNumber('−3'), { value: -3 });
});

test('inches may have a fraction, millimetres may not', () => { // rule: ours
  assert.deepEqual(units.readQuantity('length', '3 1/2', us), { stored: 88.9 });
  assert.deepEqual(units.readQuantity('length', '7/8', us), { stored: 22.225 });
  assert.equal(units.readQuantity('length', '3 1/2', metric).fault, 'not_a_number');
});

test('units as defined', () => {
  // NIST Handbook 44 (2024), appendix C, from memory; the last two rows follow from the definition of the scale.
  const defined = [
    ['length', 1, 25.4, us], ['volume', 1, 3.785411784, us], ['volume', 1, 4.54609, imperial],
    ['mass', 1, 28.349523125, us], ['heavy', 1, 0.45359237, us], ['length', 1, 10, imperial],
    ['temperature', 212, 100, us], ['temperature', 32, 0, us],
  ];
  for (const [quantity, shown, stored, garden] of defined)
    assert.ok(Math.abs(units.toStored(quantity, shown, garden) - stored) < 1e-9, `${shown} ${quantity}`);
});

test('what is shown in a field reads back to the same mark, in every system', () => { // rule: ours
  const within = { length: 0.13, volume: 0.003, temperature: 0.03, mass: 0.02, ec: 0.0006, ph: 0.006 }; // half of the last digit, stored unit
  for (const garden of [metric, us, imperial])
    for (const [quantity, stored] of [['length', 212], ['length', 76.2], ['volume', 61.43], ['temperature', 21.5], ['mass', 31.5], ['ec', 1.42], ['ph', 6.1]]) {
      const back = units.readQuantity(quantity, units.fieldText(quantity, stored, garden), garden).stored;
      assert.ok(Math.abs(back - stored) <= within[quantity], `${quantity} ${stored} came back as ${back}`);
    }
});

test('no number is shown without its unit', () => { // rule: ours
  for (const garden of [metric, us, imperial])
    for (const quantity of ['length', 'volume', 'mass', 'heavy', 'temperature', 'ec', 'concentration', 'percent', 'acid'])
      assert.match(units.format(quantity, 12.34, garden), /^\d+(\.\d+)?\u00a0\S/, quantity);
  assert.equal(units.format('length', null, metric), '–');
  assert.equal(units.format('length', -0.2, metric), '0\u00a0mm');
});

test('a wall time is an instant of the garden\'s zone, also where clocks change', () => {
  // IANA time zone database: Europe/Berlin leaves UTC+1 on 2026-03-29 and UTC+2 on 2026-10-25, both at 01:00 UTC.
  for (const [wall, instant] of [['2026-03-29T01:30', '2026-03-29T00:30:00Z'], ['2026-03-29T03:30', '2026-03-29T01:30:00Z'], ['2026-10-25T12:00', '2026-10-25T11:00:00Z'], ['2026-05-20T00:10', '2026-05-19T22:10:00Z']]) {
    assert.equal(units.instantOf(wall, metric), instant);
    assert.equal(units.wallTime(instant, metric), wall);
  }
  assert.equal(units.dateOf('2026-05-19T22:10:00Z', metric), '2026-05-20');
});

test('days as a neighbour says them', () => { // 2026-05-20 is a Wednesday
  assert.equal(units.nearDay('2026-05-20', '2026-05-20'), 'today');
  assert.equal(units.nearDay('2026-05-21', '2026-05-20'), 'tomorrow');
  assert.equal(units.nearDay('2026-05-24', '2026-05-20'), 'Sunday');
  assert.equal(units.nearDay('2026-05-17', '2026-05-20'), 'Sunday');
  assert.equal(units.nearDay('2027-01-02', '2026-05-20'), '2 Jan 2027');
});

test('ids are UUIDs of version 7', async () => {
  const { uuid7 } = await load('id.js');
  // RFC 9562 (2024), appendix A.6: 2022-02-22 14:22:22 at UTC-5 begins with 017F22E2-79B0-7.
  assert.match(uuid7(Date.parse('2022-02-22T19:22:22Z')), /^017f22e2-79b0-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/);
  const many = new Set(Array.from({ length: 1000 }, () => uuid7(0)));
  assert.equal(many.size, 1000);
});

test('a chart keeps the peaks when it thins a line', async () => { // rule: ours
  const { thin, ticks } = await load('chart.js');
  const points = Array.from({ length: 5000 }, (_, i) => ({ t: i, v: i === 2501 ? 99 : i === 2503 ? -99 : Math.sin(i) }));
  const kept = thin(points, 200, 0, 4999);
  assert.ok(kept.length <= 4 * 201 && kept.length < points.length);
  assert.equal(Math.max(...kept.map((p) => p.v)), 99);
  assert.equal(Math.min(...kept.map((p) => p.v)), -99);
  assert.ok(kept.every((p, i) => i === 0 || p.t >= kept[i - 1].t));
  assert.deepEqual(ticks(0, 300, 4), { list: [0, 100, 200, 300], digits: 0 });
  assert.deepEqual(ticks(1.35, 1.85, 3).list.map((v) => v.toFixed(2)), ['1.40', '1.60', '1.80']);
});

test('labels of a drawing never lie on each other', async () => { // rule: ours
  const { spread } = await load('drawing.js');
  for (const ys of [[100, 101, 102, 103], [10, 10, 10], [195, 198, 199, 200, 200]]) {
    const laid = spread(ys.map((y) => ({ y })), 21, 16, 220);
    laid.slice(1).forEach((label, i) => assert.ok(label.at - laid[i].at >= 21 - 1e-9, JSON.stringify(laid)));
    assert.ok(laid.at(-1).at <= 220);
  }
});

test('a word in a chart stands where fewest lines cross it', async () => { // rule: ours
  const { clearest } = await load('chart.js');
  const places = [{ x: 50, y: 40, end: false }, { x: 50, y: 100, end: false }, { x: 300, y: 40, end: true }];
  assert.equal(clearest(places, [], 60), places[0]);
  assert.equal(clearest(places, [[[40, 36], [160, 36]]], 60), places[1], 'a line through the first');
  assert.equal(clearest(places, [[[40, 36], [160, 36]], [[40, 96], [160, 96]]], 60), places[2]);
});

test('sheets of a template cover the lid and overlap', async () => { // overlap: ours; paper less 10 mm margins: common practice, no source
  const { tileStarts, PAPERS } = await load('lidplan.js');
  assert.ok(PAPERS.a4.wide <= 210 - 20 && PAPERS.a4.high <= 297 - 20); // ISO 216 A4: 210 x 297 mm
  assert.ok(PAPERS.letter.wide <= 215.9 - 20 && PAPERS.letter.high <= 279.4 - 20); // 8.5 x 11 in
  for (const [whole, tile] of [[100, 190], [190, 190], [191, 190], [724, 190], [484, 247]]) {
    const starts = tileStarts(whole, tile);
    assert.equal(starts[0], 0);
    assert.ok(starts.at(-1) + tile >= whole);
    starts.slice(1).forEach((at, i) => assert.equal(starts[i] + tile - at, 10));
    assert.ok(starts.length === 1 || starts.at(-2) + tile < whole, 'no sheet too many');
  }
});

const places = (text) => [...text.matchAll(/\{(\w+)\}/g)].map((match) => match[1]).sort().join();

test('both languages have the same words with the same places', () => {
  assert.deepEqual(Object.keys(german), Object.keys(english));
  assert.deepEqual(Object.keys(daily).filter((key) => key in desk), [], 'a word stands in one file');
  for (const key of Object.keys(english)) {
    assert.equal(places(german[key]), places(english[key]), key);
    assert.ok(english[key] && german[key], key);
  }
});

test('every text that a page asks for is there', () => {
  /* What pages beside a tank load, with what that loads in turn, may only say daily words. */
  const reach = (file, seen = new Set()) => {
    if (seen.has(file)) return seen;
    seen.add(file);
    for (const [, next] of read(file).matchAll(/from '\.\/([^']+)'/g)) reach(next, seen);
    return seen;
  };
  const beside = new Set(['today.js', 'tank.js'].flatMap((file) => [...reach(file)]));
  for (const file of readdirSync(www).filter((name) => name.endsWith('.js'))) {
    const words_ = beside.has(file) ? daily : english;
    for (const [, key] of read(file).matchAll(/\b(?:say|fact)\('([^']+)'/g)) assert.ok(key in words_ || `${key}.other` in words_, `${file}: ${key}`);
  }
});

test('every caution has its words, and a page that shows them', () => {
  const [head, ...rows] = readFileSync(path.join(www, '../fixtures/shelf/cautions.csv'), 'utf8').trim().split('\n');
  assert.match(head, /,shown$/);
  assert.equal(rows.length, 14);
  for (const row of rows) {
    const shown = row.slice(row.lastIndexOf(',') + 1).split(' ');
    for (const one of shown) {
      const [key, file] = one.split('@');
      assert.ok(english[key] && german[key], `${row}: no words for ${key}`);
      /* Hazards are asked for by the kinds that the daemon names. */
      const code = read(file), asked = key.startsWith('hazard.') ? code.includes('say(`hazard.${hazard}`)') : code.includes(`'${key}'`) || code.includes(`data-word="${key}"`);
      assert.ok(asked, `${file} does not show ${key}`);
    }
  }
});

const pages = readdirSync(www).filter((name) => name.endsWith('.html'));

test('a page\'s own English is that of the words file', () => {
  for (const page of pages)
    for (const [, key, text] of read(page).matchAll(/data-word="([^"]+)"[^>]*>([^<]*)</g)) assert.equal(text, (/data-words="desk"/.test(read(page)) ? english : daily)[key], `${page}: ${key}`);
});

test('pages hold no inline script or style, and lead on without script', () => {
  for (const page of pages) {
    const text = read(page);
    assert.doesNotMatch(text, /<script(?![^>]*\bsrc=)/, page);
    assert.doesNotMatch(text, /<style|\sstyle=|\son[a-z]+=/, page);
    assert.match(text, /<noscript>.*href="\/plain"/, page);
    assert.doesNotMatch(text, /https?:\/\//, `${page} names another host`);
  }
});

test('only api.js asks the daemon; nothing becomes markup; the network is never guessed', () => {
  for (const file of readdirSync(www).filter((name) => name.endsWith('.js'))) {
    const code = read(file).replace(/\/\*[\s\S]*?\*\/|\/\/.*$/gm, '');
    if (!['api.js', 'sw.js'].includes(file)) assert.doesNotMatch(code, /\bfetch\(/, file);
    assert.doesNotMatch(code, /innerHTML|outerHTML|insertAdjacentHTML|document\.write|navigator\.onLine|randomUUID/, file);
  }
});

test('a table of twelve months is read, written and refused by row and column', async () => { // rule: ours
  const { readMonths, writeMonths } = await load('climate.js');
  const months = Array.from({ length: 12 }, (_, i) => ({ tmin_c: i - 5, tmax_c: i + 4.5, ...(i % 2 ? { sunshine_h: 6.5 } : {}) }));
  assert.deepEqual(readMonths(writeMonths(months)).months, months);
  assert.deepEqual(readMonths(`TMAX_C\tTMIN_C\n${'8,5\t\u22121\n'.repeat(12)}`).months[11], { tmin_c: -1, tmax_c: 8.5 });
  assert.deepEqual(readMonths('tmin_c;tmax_c\n1;2').faults.map((fault) => fault.why), ['twelve']);
  assert.deepEqual(readMonths('low;high\n1;2').faults.map((fault) => fault.column), ['tmin_c', 'tmax_c']);
  const bad = writeMonths(months).split('\n');
  [bad[1], bad[2], bad[3]] = ['9;3;;;', 'x;3;;;', '1;3;101;;'];
  assert.deepEqual(readMonths(bad.join('\n')).faults, [{ row: 2, column: 'tmax_c', why: 'crossed' }, { row: 3, column: 'tmin_c', why: 'number' }, { row: 4, column: 'rh_percent', why: 'bounds' }]);
});

test('a table of weather is read by its heads, with every fault by row and column', async () => { // RFC 4180 (2005), section 2: quotes; decimal commas: ours
  const { placeOf, readDays, readTable } = await load('weather.js');
  assert.deepEqual(readTable('a,"b, c","say ""so"""\r\n1,2,3\r\n'), [['a', 'b, c', 'say "so"'], ['1', '2', '3']]);
  assert.deepEqual(readDays('date;tmax_c;tmin_c;rain_mm\n2026-05-01;21,5;8;\n').days, [{ date: '2026-05-01', tmin_c: 8, tmax_c: 21.5 }]);
  assert.deepEqual(readDays('date,tmin_c,tmax_c\n2026-5-1,8,20\n2026-05-02,x,21\n'),
    { days: [], faults: [{ row: 2, column: 'date', why: 'date' }, { row: 3, column: 'tmin_c', why: 'number' }] });
  assert.deepEqual(readDays('day,low,high\n').faults.map((fault) => fault.column), ['date', 'tmin_c', 'tmax_c']);
  // What the daemon refuses lies in a piece that begins with day 500, which stands in row 502.
  assert.deepEqual(placeOf([{ at: '/days/3/tmin_c', detail: 'is above tmax_c' }], 500), { row: 505, column: 'tmin_c', why: 'is above tmax_c' });
  assert.equal(placeOf([{ at: '/days', detail: 'too many' }], 0), null);
});
