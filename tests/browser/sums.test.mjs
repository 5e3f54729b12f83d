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
