// The page's service worker: keeps the shell (page, script, style, icons) so that it opens without a network, and never keeps
// data. The page itself is asked for first, so a new version is seen whenever the daemon answers.

const CACHE = "emberwire-shell-1";
const MOST_FILES = 60;

const isShell = ({ pathname }) =>
  pathname === "/" || pathname.startsWith("/assets/") || /^\/(icon|manifest)[\w-]*\.\w+$/.test(pathname);

async function keep(request, answer) {
  if (!answer.ok) return;
  const cache = await caches.open(CACHE);
  await cache.put(request, answer);
  const kept = await cache.keys();
  for (const old of kept.slice(0, Math.max(0, kept.length - MOST_FILES))) await cache.delete(old);
}

async function fromCacheFirst(event) {
  const kept = await caches.match(event.request);
  if (kept !== undefined) return kept;
  const answer = await fetch(event.request);
  event.waitUntil(keep(event.request, answer.clone()));
  return answer;
}

async function fromDaemonFirst(event) {
  try {
    const answer = await fetch(event.request);
    event.waitUntil(keep(event.request, answer.clone()));
    return answer;
  } catch (error) {
    const kept = await caches.match(event.request);
    if (kept !== undefined) return kept;
    throw error;
  }
}

/** Keeps the page and what it names, so that it opens without a network after the first visit too. */
async function fill() {
  const answer = await fetch("/");
  if (!answer.ok) return;
  const named = (await answer.clone().text()).matchAll(/(?:src|href)="(\/[^"]+)"/g);
  const cache = await caches.open(CACHE);
  await cache.put("/", answer);
  // Asset by asset: whatever cannot be had now is kept when it is next asked for.
  await Promise.allSettled([...named].slice(0, MOST_FILES / 2).map(([, path]) => cache.add(path)));
}

self.addEventListener("install", (event) => event.waitUntil(fill().catch(() => {})));
self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));
self.addEventListener("fetch", (event) => {
  const address = new URL(event.request.url);
  if (event.request.method !== "GET" || address.origin !== self.location.origin || !isShell(address)) return;
  event.respondWith(address.pathname.startsWith("/assets/") ? fromCacheFirst(event) : fromDaemonFirst(event));
});
