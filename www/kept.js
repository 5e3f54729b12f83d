/* kept.js - what this browser keeps for a while: entries on their way, and last answers.
 *
 * IndexedDB, on plain HTTP too. Where it is missing (some private windows) things live as long as
 * the page, and isLasting() says so. Never the store: browsers throw it away when they like.
 */
const NAME = 'tidemark';
const VERSION = 1;

let lasting = true;
export const isLasting = () => lasting;
const memory = { outbox: new Map(), answers: new Map(), sheets: new Map() };
let opening = null;

function open() {
  opening ??= new Promise((resolve) => {
    let request;
    try {
      request = indexedDB.open(NAME, VERSION);
    } catch {
      lasting = false;
      resolve(null);
      return;
    }
    request.onupgradeneeded = () => {
      for (const name of Object.keys(memory)) request.result.createObjectStore(name, { keyPath: 'key' });
    };
    request.onsuccess = () => {
      request.result.onversionchange = () => request.result.close();
      resolve(request.result);
    };
    request.onerror = () => {
      lasting = false;
      resolve(null);
    };
    request.onblocked = request.onerror;
  });
  return opening;
}

/* One request in one transaction; resolves when it is on disk. */
async function run(name, mode, work, inMemory) {
  const db = await open();
  if (!db) return inMemory(memory[name]);
  return new Promise((resolve, reject) => {
    const transaction = db.transaction(name, mode);
    const request = work(transaction.objectStore(name));
    transaction.oncomplete = () => resolve(request.result);
    transaction.onerror = () => reject(transaction.error);
    transaction.onabort = () => reject(transaction.error);
  });
}

export const keep = (name, row) =>
  run(name, 'readwrite', (store) => store.put(row), (map) => void map.set(row.key, structuredClone(row)));
export const drop = (name, key) =>
  run(name, 'readwrite', (store) => store.delete(key), (map) => void map.delete(key));
export const one = (name, key) =>
  run(name, 'readonly', (store) => store.get(key), (map) => map.get(key));
/** All rows, by key. */
export const all = (name) =>
  run(name, 'readonly', (store) => store.getAll(), (map) =>
    [...map.values()].sort((a, b) => (a.key < b.key ? -1 : 1)));

export async function keepAnswer(path, body) {
  try {
    await keep('answers', { key: path, at: Date.now(), body });
  } catch {
    // a full disk only costs the convenience
  }
}

export async function keptAnswer(path) {
  try {
    return await one('answers', path);
  } catch {
    return null;
  }
}
