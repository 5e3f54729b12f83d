// The marks of a vessel are changed on the tank's page, with what that means said before. The garden is invented.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { ask, firstLink, launch, openPhone, startDaemon } from './harness.mjs';

let browser, daemon, page, tank;

const VESSEL = { id: '01990000-0000-7000-8000-00000000000a', name: 'Tub', shape: { shape: 'box', floor_mm: [400, 300], rim_mm: [400, 300], height_mm: 350 },
  cups: [{ x_mm: 145, y_mm: 145 }], cup: { height_mm: 76, top_mm: 76, bottom_mm: 51, medium_fraction: 0.5 }, start_mm: 300, low_mm: 40 };

before(async () => {
  browser = await launch();
  daemon = await startDaemon();
  page = await openPhone(browser, daemon);
  await page.goto(await firstLink(daemon));
  await page.getByRole('button', { name: 'Pair it' }).click();
  await page.waitForURL(/index\.html$/);
  await ask(page, 'vessels', 'POST', VESSEL);
  tank = (await ask(page, 'tanks', 'POST', { name: 'Tub 1', area: null, vessel: VESSEL.id })).body;
  await ask(page, 'tanks', 'POST', { name: 'Tub 2', area: null, vessel: VESSEL.id });
  await ask(page, 'entries', 'POST', { id: '01990000-0000-7000-8000-00000000000b', tank: tank.id, kind: 'fill', at: new Date(Date.now() - 86400000).toISOString(), waterline_mm: 300 });
  await page.goto(`${daemon.base}/tank.html?id=${tank.id}`);
  await page.locator('#do-reading').waitFor();
});
after(async () => {
  await browser?.close();
  await daemon?.stop();
});

const field = (label) => page.getByRole('dialog').getByLabel(label);
const vessel = async () => (await ask(page, `vessels/${VESSEL.id}`)).body;
async function open() {
  await page.locator('#daily summary').click();
  await page.getByRole('button', { name: 'Change the marks' }).click();
  await field('Start mark').waitFor();
}

test('what new marks mean is said before they are kept', async () => {
  await open();
  await page.getByText('every tank of this vessel: Tub 1, Tub 2').waitFor();
  assert.equal(await field('Start mark').inputValue(), '300');
  await field('Start mark').fill('250'); // 400 x 300 mm: 50 mm are 6 L
  await page.getByText(/Started at 250\smm, a fill takes 6\sL less/).waitFor();
  await page.getByText(/stands at 300\smm, above that/).waitFor();
  await field('Low mark').fill('260');
  await page.getByText('The low mark must lie below the start mark.').waitFor();
  await field('Low mark').fill('100');
  await page.getByText(/At 100\smm there are 12\sL left/).waitFor();
  assert.equal((await vessel()).start_mm, 300);
  await page.getByRole('button', { name: 'Keep these marks' }).click();
  await page.waitForFunction(() => !document.querySelector('dialog'));
  const kept = await vessel();
  assert.deepEqual([kept.start_mm, kept.low_mm, kept.name, kept.cups.length], [250, 100, 'Tub', 1]);
  assert.equal((await ask(page, `tanks/${tank.id}`)).body.state.low_mm, 100);
});

test('a higher start mark warns of drowned roots; cancelled, nothing changes', async () => {
  await open();
  await field('Start mark').fill('320');
  await page.getByText(/their air roots would drown/).waitFor();
  await page.getByRole('button', { name: 'Cancel' }).click();
  assert.equal((await vessel()).start_mm, 250);
});

test('what the daemon refuses is said at its field', async () => {
  await open();
  await field('Low mark').fill('300');
  await page.getByRole('button', { name: 'Keep these marks' }).click();
  await page.locator('dialog .fault:visible').filter({ hasText: /below/ }).first().waitFor();
  assert.equal((await vessel()).low_mm, 100);
  page.complaints.length = 0; // the 422 of it
});
