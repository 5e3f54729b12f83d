// A picture picked on a phone: made small, without where it was taken, kept with its entry, on plain HTTP and with nobody
// answering, too. The pictures are invented; exiftool (Debian libimage-exiftool-perl) puts a position in and looks for it afterwards.
import assert from 'node:assert/strict';
import { execFileSync } from 'node:child_process';
import { copyFileSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { after, before, test } from 'node:test';
import { ask, firstLink, launch, openPhone, startDaemon } from './harness.mjs';

const source = path.resolve(import.meta.dirname, '../..');
const folder = mkdtempSync(path.join(tmpdir(), 'tidemark-photos-'));
const withPosition = path.join(folder, 'leaves.jpg');
const large = path.join(folder, 'large.jpg');
const noPicture = path.join(folder, 'list.txt');

const VESSEL = { id: '01990000-0000-7000-8000-00000000000a', name: 'Bucket', shape: { shape: 'round', floor_mm: 240, rim_mm: 290, height_mm: 350 },
  cups: [{ x_mm: 145, y_mm: 145 }], cup: { height_mm: 76, top_mm: 76, bottom_mm: 51, medium_fraction: 0.5 }, start_mm: 312 };

let browser, daemon, page, tank;

const tell = (file) => JSON.parse(execFileSync('exiftool', ['-json', '-a', '-G1', '-n', file]))[0];
const groupsOf = (told) => [...new Set(Object.keys(told).map((key) => key.split(':')[0]))].filter((group) => !['SourceFile', 'ExifTool', 'System', 'File', 'JFIF', 'Composite'].includes(group));

before(async () => {
  browser = await launch(['--host-resolver-rules=MAP garden.test 127.0.0.1']);
  daemon = await startDaemon(['--host', 'garden.test']);
  daemon.base = `http://garden.test:${new URL(daemon.base).port}`; // plain HTTP, as in most homes: no secure context
  page = await openPhone(browser, daemon);
  await page.goto(await firstLink(daemon));
  assert.equal(await page.evaluate(() => isSecureContext), false);
  await page.getByRole('button', { name: 'Pair it' }).click();
  await page.waitForURL(/index\.html$/);
  await ask(page, 'vessels', 'POST', VESSEL);
  tank = (await ask(page, 'tanks', 'POST', { name: 'Bucket 1', area: null, vessel: VESSEL.id })).body;
  await ask(page, 'entries', 'POST', { id: '01990000-0000-7000-8000-00000000000b', tank: tank.id, kind: 'fill', at: '2026-01-02T08:00:00Z', waterline_mm: 312 });
  await ask(page, 'entries', 'POST', { id: '01990000-0000-7000-8000-00000000000c', tank: tank.id, kind: 'planting', at: '2026-01-02T09:00:00Z', crop: 'basil', count: 1 });

  /* As a phone takes it: more pixels than are needed, lying on its side, with a position. Noise makes it hard to compress. */
  const noise = await page.evaluate(() => new Promise((resolve) => {
    const canvas = Object.assign(document.createElement('canvas'), { width: 3000, height: 2000 });
    const brush = canvas.getContext('2d');
    const dots = brush.createImageData(3000, 2000);
    for (let i = 0, n = 1; i < dots.data.length; i++) dots.data[i] = i % 4 === 3 ? 255 : (n = (n * 48271) % 2147483647) & 255;
    brush.putImageData(dots, 0, 0);
    canvas.toBlob((blob) => { const reader = new FileReader(); reader.onload = () => resolve(reader.result.split(',')[1]); reader.readAsDataURL(blob); }, 'image/jpeg', 0.9);
  }));
  writeFileSync(large, Buffer.from(noise, 'base64'));
  copyFileSync(path.join(source, 'fixtures/photos/baseline.jpg'), withPosition);
  for (const file of [withPosition, large])
    execFileSync('exiftool', ['-q', '-overwrite_original', '-GPSLatitude=47.1', '-GPSLatitudeRef=N', '-GPSLongitude=15.4', '-GPSLongitudeRef=E', '-Model=Invented', '-Orientation#=6', '-XMP:City=Invented', file]);
  writeFileSync(noPicture, 'no picture');
  await page.goto(`${daemon.base}/tank.html?id=${tank.id}`);
  await page.getByRole('button', { name: 'Reading', exact: true }).waitFor();
});
after(async () => {
  await browser?.close();
  await daemon?.stop();
  rmSync(folder, { recursive: true, force: true });
});

const photos = async () => (await ask(page, 'photos')).body.items;
const picker = () => page.getByRole('dialog').locator('input[type=file]');

/* What the daemon hands out, as a file for exiftool. */
async function keptFile(id) {
  const base64 = await page.evaluate(async (id_) => {
    const answer = await fetch(`/api/v1/photos/${id_}`);
    if (answer.headers.get('Content-Type') !== 'image/jpeg') throw new Error(answer.headers.get('Content-Type'));
    return btoa(Array.from(new Uint8Array(await answer.arrayBuffer()), (byte) => String.fromCharCode(byte)).join(''));
  }, id);
  const file = path.join(folder, `${id}.jpg`);
  writeFileSync(file, Buffer.from(base64, 'base64'));
  return file;
}

test('a photo goes with a reading, upright, and no longer knows where it was taken', async () => {
  assert.equal(tell(withPosition)['Composite:GPSLatitude'], 47.1);
  await page.getByRole('button', { name: 'Reading', exact: true }).click();
  await page.locator('dialog input.big').fill('300');
  await picker().setInputFiles(withPosition);
  await page.getByRole('dialog').getByRole('img', { name: 'Photo 1, not yet sent' }).waitFor();
  await page.getByRole('button', { name: 'Log it' }).click();
  const shown = page.locator('#history .photos img');
  await shown.first().waitFor();
  await page.waitForFunction(() => document.querySelector('#history .photos img')?.naturalWidth > 0);
  const [photo] = await photos();
  assert.equal(photo.kind, 'reading');
  assert.deepEqual([photo.width_px, photo.height_px], [64, 96]); // turned as Exif said, 96 x 64 before
  assert.deepEqual(groupsOf(tell(await keptFile(photo.id))), []);
  assert.match(await shown.first().getAttribute('alt'), /^Photo 1 of: .*300\smm/);
});

test('a large one is made small enough', async () => {
  assert.ok(tell(large)['System:FileSize'] > 2000000);
  await page.getByRole('button', { name: 'Reading', exact: true }).click();
  await page.locator('dialog input.big').fill('299');
  await picker().setInputFiles(large);
  await page.getByRole('dialog').getByRole('img').waitFor();
  await page.getByRole('button', { name: 'Log it' }).click();
  await page.waitForFunction(() => document.querySelectorAll('#history .photos img').length === 2);
  const [photo] = await photos();
  assert.ok(photo.bytes > 100000 && photo.bytes <= 500000, `${photo.bytes}`);
  assert.ok(photo.height_px > photo.width_px && photo.height_px <= 1600);
  assert.deepEqual(groupsOf(tell(await keptFile(photo.id))), []);
});

test('what is no picture is told at once, and a picture can be left out again', async () => {
  await page.getByRole('button', { name: 'Reading', exact: true }).click();
  await page.locator('dialog input.big').fill('298');
  await picker().setInputFiles([noPicture, withPosition]);
  await page.getByText('list.txt cannot be read as a picture here.').waitFor();
  await page.getByRole('button', { name: 'Leave photo 1 out' }).click();
  assert.equal(await page.getByRole('dialog').getByRole('img').count(), 0);
  await page.getByRole('button', { name: 'Log it' }).click();
  await page.locator('#history').getByText('298 mm').waitFor();
  assert.equal((await photos()).length, 2);
});

test('with nobody answering it waits beside its entry, survives a closed page, and is kept once', async () => {
  await page.getByRole('button', { name: 'Reading', exact: true }).click();
  await page.locator('dialog input.big').fill('297');
  await picker().setInputFiles(withPosition);
  await page.getByRole('dialog').getByRole('img').waitFor();
  await daemon.halt();
  await page.getByRole('button', { name: 'Log it' }).click();
  await page.getByText('kept on this phone').first().waitFor();
  await page.getByRole('button', { name: /2 entries wait/ }).click();
  await page.getByRole('dialog').getByText(/^Photo of: .*297\smm/).waitFor();
  const context = page.context();
  await page.close();
  await daemon.start();
  page = await context.newPage();
  let sent = 0;
  await page.route('**/api/v1/photos', async (route) => {
    if (route.request().method() !== 'POST') return route.continue();
    if (sent++ > 0) return route.continue();
    const { host, port } = new URL(daemon.base);
    await route.fetch({ url: route.request().url().replace(host, `127.0.0.1:${port}`), headers: { ...route.request().headers(), host } }); // the daemon has it, the phone never hears so
    return route.abort();
  });
  await page.goto(`${daemon.base}/tank.html?id=${tank.id}`);
  await page.getByRole('button', { name: /1 entry waits/ }).click();
  await page.getByRole('button', { name: 'Send now' }).click();
  await page.waitForFunction(() => !document.getElementById('waits'));
  await page.unroute('**/api/v1/photos');
  assert.equal(sent, 2);
  assert.equal((await photos()).length, 3);
});

test('one is added to an entry of the log, and goes when that is taken back', async () => {
  await page.reload();
  await page.getByRole('button', { name: /^Change: Reading/ }).first().click();
  await picker().setInputFiles(withPosition);
  await page.getByText('The photo is added.').waitFor();
  assert.equal((await photos()).length, 4);
  const [added] = await photos();
  await page.getByRole('button', { name: 'Take back' }).click();
  await page.waitForFunction(() => document.querySelectorAll('#history .gone').length === 1);
  assert.equal((await photos()).length, 2); // with the one it had before
  assert.equal(await page.locator('#history .gone img').count(), 0);
  assert.ok(!(await photos()).some((photo) => photo.id === added.id));
});

test('undone while it waits, it is never sent', async () => {
  await page.context().setOffline(true);
  await page.getByRole('button', { name: 'Reading', exact: true }).click();
  await page.locator('dialog input.big').fill('290');
  await picker().setInputFiles(withPosition);
  await page.getByRole('dialog').getByRole('img').waitFor();
  await page.getByRole('button', { name: 'Log it' }).click();
  await page.getByText('kept on this phone').first().waitFor();
  await page.getByRole('button', { name: 'Undo' }).click();
  await page.context().setOffline(false); // its withdrawal goes out, since the phone cannot know that the entry never came through
  await page.waitForFunction(() => !document.getElementById('waits'));
  assert.equal((await photos()).length, 2);
});

test('one added on another phone shows on an open page within five seconds', async () => {
  const invite = (await ask(page, 'invites', 'POST', { member: null, name: 'Tavi', role: 'visitor' })).body;
  const other = await openPhone(browser, daemon);
  await other.goto(`${daemon.base}/${invite.link.split('/').slice(3).join('/')}`);
  await other.getByRole('button', { name: 'Pair it' }).click();
  await other.waitForURL(/index\.html$/);
  await other.goto(`${daemon.base}/tank.html?id=${tank.id}`);
  await other.locator('#history').waitFor();
  await other.locator('#history').scrollIntoViewIfNeeded(); // asked for only then
  await other.locator('#history .photos img').first().waitFor();
  const before = await other.locator('#history .photos img').count();
  await page.getByRole('button', { name: /^Change: Planting/ }).click();
  await picker().setInputFiles(withPosition);
  await page.getByText('The photo is added.').waitFor();
  await other.waitForFunction((many) => document.querySelectorAll('#history .photos img').length === many, before + 1, { timeout: 5000 });
  await page.getByRole('dialog').getByRole('button', { name: 'Cancel' }).click();
  assert.deepEqual(other.complaints, []);
  await other.context().close();
});

test('one is removed after a question, and goes from the other phone and the file', async () => {
  const invite = (await ask(page, 'invites', 'POST', { member: null, name: 'Odo', role: 'grower' })).body;
  const other = await openPhone(browser, daemon);
  await other.goto(`${daemon.base}/${invite.link.split('/').slice(3).join('/')}`);
  await other.getByRole('button', { name: 'Pair it' }).click();
  await other.waitForURL(/index\.html$/);
  await other.goto(`${daemon.base}/tank.html?id=${tank.id}`);
  await other.locator('#history').waitFor();
  await other.locator('#history').scrollIntoViewIfNeeded();
  const shown = (where) => where.locator('#history .photos img');
  await shown(other).first().waitFor();
  const before = await shown(other).count();
  await shown(other).first().click();
  await other.getByRole('dialog').getByRole('img').waitFor();
  assert.equal(await other.getByRole('button', { name: 'Remove' }).count(), 0, 'it is not his');
  await other.keyboard.press('Escape');

  await page.reload();
  await page.locator('#history').waitFor();
  await page.locator('#history').scrollIntoViewIfNeeded();
  const [last] = await photos();
  await page.locator(`#history .photos a[href$="${last.id}"]`).press('Enter'); // by keyboard
  await page.getByRole('button', { name: 'Remove', exact: true }).press('Enter');
  await page.getByText(/for everybody and for good/).waitFor();
  await page.getByRole('button', { name: 'Keep it' }).press('Enter');
  assert.equal((await photos()).length, before);
  await page.getByRole('button', { name: 'Remove', exact: true }).click();
  await page.getByRole('button', { name: 'Remove for good' }).dblclick();
  await page.getByText('The photo is gone.').waitFor();
  await page.waitForFunction((many) => document.querySelectorAll('#history .photos img').length === many, before - 1);
  await other.waitForFunction((many) => document.querySelectorAll('#history .photos img').length === many, before - 1, { timeout: 5000 });
  assert.ok(!(await photos()).some((photo) => photo.id === last.id));
  assert.equal(await page.evaluate(async (id) => (await fetch(`/api/v1/photos/${id}`, { cache: 'no-store' }).catch(() => null))?.status, last.id), 404);
  assert.deepEqual(other.complaints, []);
  await other.context().close();
});

test('the harvests show theirs', async () => {
  const harvest = { id: '01990000-0000-7000-8000-00000000000d', tank: tank.id, kind: 'harvest', at: '2026-02-20T09:00:00Z', how: 'whole', weight_g: 140 };
  assert.equal((await ask(page, 'entries', 'POST', harvest)).status, 201);
  await page.goto(`${daemon.base}/tank.html?id=${tank.id}`);
  await page.getByRole('button', { name: /^Change: Harvest/ }).click();
  await picker().setInputFiles(withPosition);
  await page.getByText('The photo is added.').waitFor(); // it was sent before that is said
  assert.equal((await ask(page, 'photos?kind=harvest')).body.items.length, 1);
  await page.goto(`${daemon.base}/harvests.html`);
  await page.locator('#list .photos img').waitFor();
  await page.locator('#list .photos img').scrollIntoViewIfNeeded();
  await page.waitForFunction(() => document.querySelector('#list .photos img').naturalWidth > 0);
});
