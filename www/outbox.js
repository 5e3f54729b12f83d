/* outbox.js - entries wait here until the daemon has them, and their photos.
 *
 * Every entry goes in first and is sent after, in the order it was made. An entry leaves when the
 * daemon has answered 200 or 201. One that the daemon refuses stays, with the reason, until
 * somebody throws it away; it does not hold up the others. Photos go after the entries, and by themselves: nobody who
 * logs a reading waits for a picture.
 */
import { Problem, Unreachable, onReached, send } from './api.js';
import { uuid7 } from './id.js';
import { all, drop, keep } from './kept.js';
import { utc } from './units.js';

const listeners = new Set();
let sending = null;
let again = false;

/** Calls listener(waiting, refused) now and whenever the numbers change. */
export function onOutbox(listener) {
  listeners.add(listener);
  tell();
}

async function tell() {
  const rows = await all('outbox');
  const refused = rows.filter((row) => row.refused).length;
  for (const listener of listeners) listener(rows.length - refused, refused, rows);
}

/**
 * All rows, oldest first: {key, entry, refused: null | {detail, errors}, tried, ifThere}. tried: it was sent once and
 * nobody knows whether it came through; ifThere: a withdrawal of such an entry, which is done when the daemon never had it.
 * A photo's row: {key, photo: {id, entry, bytes}, about: the entry, refused}.
 */
export const outboxRows = () => all('outbox');

const photosOf = async (entry) => (await all('outbox')).filter((row) => row.photo?.entry === entry);

/** Throws a row away; with an entry go its photos. */
export async function discard(id) {
  for (const row of await photosOf(id)) await drop('outbox', row.key);
  await drop('outbox', id);
  await tell();
}

/** Puts photos beside an entry that is in the log or waits here: [{id, bytes: Uint8Array}]. They are sent once it is logged. */
export async function waitPhotos(entry, pictures) {
  for (const { id, bytes } of pictures) await keep('outbox', { key: id, photo: { id, entry: entry.id, bytes }, about: entry, refused: null });
  if (pictures.length) await tell();
}

/** The photos of an entry that waits belong to another one now, which takes its place. */
export async function movePhotos(from, to) {
  for (const row of await photosOf(from)) await keep('outbox', { ...row, photo: { ...row.photo, entry: to.id }, about: to });
}

/**
 * Keeps an entry and tries to send it: {state: 'logged', stored} or {state: 'waits'}.
 * Throws the Problem when the daemon refuses it; then it is not kept, the form still has it.
 */
export async function log(entry) {
  await keep('outbox', { key: entry.id, entry, refused: null });
  await tell();
  const results = await flush();
  const result = results.get(entry.id);
  if (result instanceof Problem) {
    await discard(entry.id);
    throw result;
  }
  return result ? { state: 'logged', stored: result } : { state: 'waits' };
}

/**
 * Keeps many entries and tries to send them, all kept before the first is sent: Map of id to what log() would give or throw,
 * {state: 'logged', stored}, {state: 'waits'} or a Problem.
 */
export async function logMany(entries) {
  for (const entry of entries) await keep('outbox', { key: entry.id, entry, refused: null });
  await tell();
  const results = await flush();
  const told = new Map();
  for (const { id } of entries) {
    const result = results.get(id);
    if (result instanceof Problem) await discard(id);
    told.set(id, result instanceof Problem ? result : result ? { state: 'logged', stored: result } : { state: 'waits' });
  }
  return told;
}

const writeListeners = new Set();
/** Calls listener(path, answer) for each write() that the daemon has taken. */
export const onWriteSent = (listener) => writeListeners.add(listener);

/**
 * Keeps a write that is no entry and sends it in its turn; nobody waits for it. about: a name for it in the list of what
 * waits (words outbox.NAME); timed: the daemon is told by which clock its `at` is.
 */
export async function write(path, body, about, timed = false) {
  await keep('outbox', { key: uuid7(), write: { path, body, timed }, about, refused: null });
  await tell();
  flush();
}

async function sendRow(row) {
  const sent_at = new Date().toISOString(); // tells a wrong clock from a long wait
  if (row.entry) return send('POST', 'entries', { ...row.entry, sent_at });
  const answer = await send('POST', row.write.path, row.write.timed ? { ...row.write.body, sent_at } : row.write.body);
  for (const listener of writeListeners) listener(row.write.path, answer);
  return answer;
}

async function sendAll(results) {
  for (const row of await all('outbox')) {
    if (row.refused || row.photo) continue;
    if (!row.tried) await keep('outbox', { ...row, tried: true });
    try {
      results.set(row.key, await sendRow(row));
      await drop('outbox', row.key);
    } catch (error) {
      if (error instanceof Unreachable) return;
      if (error.status >= 500 || error.status === 401 || error.status === 403 || error.status === 429) {
        if (error.status < 500) results.set(row.key, error); // this device may not, for now
        return;
      }
      if (row.ifThere && error.errors.some((one) => one.at === '/withdraws')) {
        await drop('outbox', row.key);
        continue;
      }
      results.set(row.key, error);
      await keep('outbox', { ...row, refused: { detail: error.message, errors: error.errors } });
    }
  }
}

/** Sends what waits. Runs once at a time; a call meanwhile makes it run again after. */
export function flush() {
  if (sending) {
    again = true;
    return sending;
  }
  const results = new Map();
  sending = (async () => {
    do {
      again = false;
      await sendAll(results);
    } while (again);
    sending = null;
    await tell();
    sendPhotos();
    return results;
  })();
  return sending;
}

const photoListeners = new Set();
/** Calls listener(photo) for each photo that the daemon has taken. */
export const onPhotoSent = (listener) => photoListeners.add(listener);

function base64(bytes) {
  let text = '';
  for (let i = 0; i < bytes.length; i += 0x8000) text += String.fromCharCode(...bytes.subarray(i, i + 0x8000));
  return btoa(text);
}

const PHOTO_PATIENCE_MS = 140000; // ours: half a megabyte at 5 kB/s, below which the daemon gives up, too

/* A photo whose entry still waits waits with it. */
async function sendEachPhoto() {
  const rows = await all('outbox');
  for (const row of rows) {
    if (!row.photo || row.refused || rows.some((other) => other.key === row.photo.entry)) continue;
    try {
      const { id, entry, bytes } = row.photo;
      const stored = await send('POST', 'photos', { id, entry, jpeg: base64(bytes) }, PHOTO_PATIENCE_MS);
      await drop('outbox', row.key);
      for (const listener of photoListeners) listener(stored);
    } catch (error) {
      if (error instanceof Unreachable) return;
      if (error.status >= 500 || error.status === 401 || error.status === 429 || (error.status === 403 && !error.errors.length)) return;
      await keep('outbox', { ...row, refused: { detail: error.message, errors: error.errors } });
    }
    await tell();
  }
}

let sendingPhotos = null;
let morePhotos = false;

/** Sends photos whose entries are logged; once at a time, like flush(). */
export function sendPhotos() {
  morePhotos = true;
  sendingPhotos ??= (async () => {
    while (morePhotos) {
      morePhotos = false;
      await sendEachPhoto();
    }
    sendingPhotos = null;
  })();
  return sendingPhotos;
}

/* Takes an entry back that the daemon has not answered for; false when it has it already. The withdrawal goes out in its
 * place where the daemon may have the entry though its answer was lost. */
async function takeBack(id, withdrawal) {
  const row = (await all('outbox')).find((one) => one.key === id);
  if (!row) return false;
  if (row.tried && !row.refused) await keep('outbox', { key: withdrawal.id, entry: withdrawal, refused: null, ifThere: true });
  await discard(id);
  flush();
  return true;
}

/** Posts a withdrawal; an entry that never left this phone just leaves the outbox. */
export async function undo(entry) {
  const withdrawal = { id: uuid7(), tank: entry.tank, kind: 'note', at: utc(), withdraws: entry.id };
  for (const row of await photosOf(entry.id)) await drop('outbox', row.key); // nobody is to see them
  return await takeBack(entry.id, withdrawal) ? { state: 'waits' } : log(withdrawal);
}

let wasReached = true;
onReached((reached) => {
  if (reached && !wasReached) setTimeout(flush, 0);
  wasReached = reached;
});

/** Starts the habit: on load, when the page comes back into view, on a hint of the network, and each minute. */
export function startOutbox() {
  flush();
  addEventListener('online', flush); // a hint only; the fetch decides
  document.addEventListener('visibilitychange', () => document.visibilityState === 'visible' && flush());
  setInterval(async () => {
    if ((await all('outbox')).some((row) => !row.refused)) flush();
  }, 60000);
}
