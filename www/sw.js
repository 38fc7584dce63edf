// Keeps the page for use without a network. scripts/build stamps the version and the list of files.
//
// One cache holds one version, whole. A new version installs beside the old one and waits until the page says
// "take over", so that nothing changes under a player's hands.
/// <reference lib="webworker" />

const worker = /** @type {ServiceWorkerGlobalScope} */ (/** @type {unknown} */ (self));
const version = "VERSION";
const files = ["FILES"];
const family = `riffloom ${new URL(worker.registration.scope).pathname} `;
const cacheName = family + version;

/** The address of the page itself, which every visit within the scope gets. */
const home = new URL("./", worker.registration.scope).href;
const kept = new Set(files.map((name) => new URL(name, worker.registration.scope).href));
/** What comes later than the first key, and where every byte counts only when it is asked for. */
const isLater = (/** @type {string} */ address) =>
  address.startsWith(worker.registration.scope) && address.includes("/rooms/");

worker.addEventListener("install", (event) => event.waitUntil(fill()));
worker.addEventListener("activate", (event) => event.waitUntil(tidy()));
worker.addEventListener("message", (event) => {
  if (event.data === "take over") worker.skipWaiting();
});

worker.addEventListener("fetch", (event) => {
  const { request } = event;
  if (request.method !== "GET") return;
  const url = new URL(request.url);
  // The page as a file is fetched when somebody wants it; whatever else is gone to is the page.
  const isPage = request.mode === "navigate" && !url.pathname.endsWith("/riffloom.html");
  const address = isPage ? home : url.origin + url.pathname;
  if (kept.has(address)) event.respondWith(answer(address, request));
});

async function fill() {
  const cache = await caches.open(cacheName);
  const { connection } = /** @type {{ connection?: { saveData?: boolean, type?: string } }} */ (
    /** @type {unknown} */ (navigator)
  );
  const isSpared = connection?.saveData || connection?.type === "cellular";
  const now = isSpared ? [...kept].filter((address) => !isLater(address)) : [...kept];
  // Past the browser's own cache, or a version could be mixed from two.
  await cache.addAll(now.map((address) => new Request(address, { cache: "reload" })));
}

async function tidy() {
  const names = await caches.keys();
  const old = names.filter((name) => name.startsWith(family) && name !== cacheName);
  await Promise.all(old.map((name) => caches.delete(name)));
  await worker.clients.claim();
}

/**
 * @param {string} address
 * @param {Request} request
 */
async function answer(address, request) {
  const cache = await caches.open(cacheName);
  const found = await cache.match(address);
  if (found) return found;
  const response = await fetch(request);
  if (response.ok && isLater(address)) await cache.put(address, response.clone());
  return response;
}
