// Two phones at one tank: what one logs, the other's open page shows by itself. All of it invented.
import assert from 'node:assert/strict';
import { randomUUID } from 'node:crypto';
import { after, before, test } from 'node:test';
import { ask, firstLink, launch, openPhone, startDaemon } from './harness.mjs';

let browser, daemon, one, other, tank;

const VESSEL = { id: '01990000-0000-7000-8000-00000000000a', name: 'Bucket', shape: { shape: 'round', floor_mm: 240, rim_mm: 290, height_mm: 350 },
  lid: { lid_mm: [290, 290], corner_mm: 145, hole_mm: 76, edge_mm: 40, spacing_mm: 150, pattern: 'best' }, cups: [{ x_mm: 145, y_mm: 145 }],
  cup: { height_mm: 76, top_mm: 76, bottom_mm: 51, medium_fraction: 0.5 }, start_mm: 312 };

async function pairAt(link) {
  const page = await openPhone(browser, daemon);
  await page.goto(link);
  await page.getByRole('button', { name: 'Pair it' }).click();
  await page.waitForURL(/index\.html$/);
  return page;
}

before(async () => {
  browser = await launch();
  daemon = await startDaemon();
  one = await pairAt(await firstLink(daemon));
  const invite = await ask(one, 'invites', 'POST', { name: 'Ben', role: 'grower' });
  assert.equal(invite.status, 201);
  other = await pairAt(`${daemon.base}/pair.html${new URL(invite.body.link).hash}`);
  assert.equal((await ask(one, 'vessels', 'POST', VESSEL)).status, 201);
  tank = (await ask(one, 'tanks', 'POST', { name: 'Bucket 1', area: null, vessel: VESSEL.id })).body;
  await ask(one, 'entries', 'POST', { id: randomUUID(), tank: tank.id, kind: 'fill', at: '2026-01-02T08:00:00Z', waterline_mm: 312 });
});
after(async () => {
  await browser?.close();
  await daemon?.stop();
});

test('an open tank page shows what another phone logs', async () => {
  await one.goto(`${daemon.base}/tank.html?id=${tank.id}`);
  await one.getByRole('button', { name: 'Reading', exact: true }).waitFor();
  const logged = await ask(other, 'entries', 'POST', { id: randomUUID(), tank: tank.id, kind: 'note', at: '2026-01-03T08:00:00Z', note: 'seen by the other' });
  assert.equal(logged.status, 201);
  const began = Date.now();
  await one.getByText('seen by the other').first().waitFor();
  console.log(`# shown after ${Date.now() - began} ms; at most 5000 are wanted`);
});

test('but not under the fingers of somebody who types', async () => {
  await one.getByRole('button', { name: 'Reading', exact: true }).click();
  await one.locator('dialog input.big').fill('29');
  await ask(other, 'entries', 'POST', { id: randomUUID(), tank: tank.id, kind: 'note', at: '2026-01-03T09:00:00Z', note: 'seen later' });
  await one.waitForTimeout(5000);
  assert.equal(await one.locator('dialog input.big').inputValue(), '29');
  assert.equal(await one.getByText('seen later').count(), 0);
  await one.keyboard.press('Escape');
  await one.getByText('seen later').first().waitFor();
});

test('an unchanged page costs a 304 a turn', async () => {
  const answers = [];
  one.on('response', (response) => answers.push([response.status(), new URL(response.url()).pathname]));
  await one.waitForTimeout(9000);
  assert.ok(answers.length >= 2, `${answers.length} answers`);
  assert.deepEqual([...new Set(answers.map(([status, path]) => `${status} ${path}`))], [`304 /api/v1/tanks/${tank.id}`]);
  assert.deepEqual(one.complaints, []);
});
