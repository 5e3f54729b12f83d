/* api.js - the only place that asks the daemon.
 *
 * A failed fetch is the one test of being offline; navigator.onLine says nothing about a daemon
 * in the same house. What the daemon refuses comes back as a Problem (RFC 9457), what never
 * arrived as Unreachable.
 */
import { keepAnswer, keptAnswer } from './kept.js';

const BASE = '/api/v1/';
const PATIENCE_MS = 20000; // ours; a phone at the far end of a garden is slow, not gone

const FILE_PATIENCE_MS = 3600000; // a long table over a slow line; the daemon ends what stands still

/** The daemon said no, and why. */
export class Problem extends Error {
  constructor(status, document) {
    super(document.detail || document.title || `HTTP ${status}`);
    this.status = status;
    this.title = document.title || '';
    this.errors = Array.isArray(document.errors) ? document.errors : []; // [{at: JSON Pointer, detail}]
  }
}

/** Nobody answered. What was to be written may or may not have arrived. */
export class Unreachable extends Error {}

const reachedListeners = new Set();
let reached = true;

/** Calls listener(true) after every answer and listener(false) after every failure to get one. */
export function onReached(listener) {
  reachedListeners.add(listener);
}

function tellReached(now) {
  reached = now;
  for (const listener of reachedListeners) listener(now);
}

export const isReached = () => reached;

async function ask(address, { patience_ms = PATIENCE_MS, ...options }) {
  const patience = new AbortController();
  const timer = setTimeout(() => patience.abort(), patience_ms);
  try {
    const response = await fetch(address, { ...options, signal: patience.signal, credentials: 'same-origin' });
    const text = await response.text(); // a cut in the middle of the answer throws here, too
    tellReached(true);
    return { response, text };
  } catch {
    tellReached(false);
    throw new Unreachable(address);
  } finally {
    clearTimeout(timer);
  }
}

function parsed(text) {
  try {
    return text ? JSON.parse(text) : null;
  } catch {
    return null;
  }
}

/* What the daemon says in sentences of its own comes in the page's language (said.h). */
const accept = () => ({ Accept: 'application/json', 'Accept-Language': document.documentElement.lang || 'en' });

const tags = new Map(); // address: the ETag of its last answer

async function askJson(address, options) {
  const { response, text } = await ask(address, options);
  const body = parsed(text);
  if (response.status === 304) return null;
  if (!response.ok) throw new Problem(response.status, body || { title: response.statusText });
  if (options.method === 'GET') tags.set(address, response.headers.get('ETag'));
  return body;
}

/** GET /api/v1/{path}: the answer's JSON. */
export function get(path) {
  return askJson(BASE + path, { method: 'GET', headers: accept() });
}

/** The same, or null when it is what was got last. */
export async function getIfChanged(path) {
  const tag = tags.get(BASE + path);
  const body = await askJson(BASE + path, { method: 'GET', headers: { ...accept(), ...(tag ? { 'If-None-Match': tag } : {}) } });
  if (body) keepAnswer(path, body);
  return body;
}

/** The same, but when nobody answers the last answer that this browser kept: {body, at, fresh}. */
export async function getOrKept(path) {
  try {
    const body = await get(path);
    keepAnswer(path, body); // not awaited: keeping is a convenience
    return { body, at: new Date(), fresh: true };
  } catch (error) {
    const kept = error instanceof Unreachable ? await keptAnswer(path) : null;
    if (!kept) throw error;
    return { body: kept.body, at: new Date(kept.at), fresh: false };
  }
}

/** Every item of a list, page by page; most bounds a list that never ends. */
export async function getAll(path, most = 2000) {
  const items = [];
  let after = null;
  do {
    const mark = path.includes('?') ? '&' : '?';
    const page = await get(`${path}${mark}limit=500${after ? `&after=${encodeURIComponent(after)}` : ''}`);
    items.push(...page.items);
    after = page.next;
  } while (after && items.length < most);
  return items;
}

/** POST, PATCH or DELETE /api/v1/{path} with a JSON body; a large one may take longer than usual. */
export function send(method, path, body, patience_ms) {
  return askJson(BASE + path, {
    method, patience_ms,
    headers: { 'Content-Type': 'application/json', ...accept() },
    body: JSON.stringify(body ?? {}),
  });
}

/** POST of a file as it is, however long it takes. */
export function sendFile(path, file, type) {
  return askJson(BASE + path, { method: 'POST', patience_ms: FILE_PATIENCE_MS, headers: { 'Content-Type': type, ...accept() }, body: file });
}

/** A file of ours beside the pages, such as words/de.json. */
export function getFile(name) {
  return askJson(new URL(name, import.meta.url), { method: 'GET' });
}
