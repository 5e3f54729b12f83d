/* sw.js - opens pages that were seen before when the daemon is away; only where the browser allows
 * it (HTTPS, localhost). The network goes first, so what is shown is never older than need be.
 * /api/ passes by: what is shown without the daemon is decided by the pages, not here.
 */
const CACHE = 'tidemark-pages';

self.addEventListener('install', () => self.skipWaiting());
self.addEventListener('activate', (event) => event.waitUntil(self.clients.claim()));

async function networkFirst(request) {
  const cache = await caches.open(CACHE);
  try {
    const answer = await fetch(request);
    if (answer.ok) await cache.put(request, answer.clone());
    return answer;
  } catch (error) {
    const kept = await cache.match(request, { ignoreSearch: true, ignoreVary: true });
    if (kept) return kept;
    throw error;
  }
}

self.addEventListener('fetch', (event) => {
  const { pathname, origin } = new URL(event.request.url);
  if (event.request.method !== 'GET' || origin !== self.location.origin) return;
  if (/^\/(api|plain|t|healthz)(\/|$)/.test(pathname)) return;
  event.respondWith(networkFirst(event.request));
});
