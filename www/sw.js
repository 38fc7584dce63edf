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

worker.addEventListener("install", (event) => event.waitUntil(fill()));
worker.addEventListener("activate", (event) => event.waitUntil(tidy()));
worker.addEventListener("message", (event) => {
  if (event.data === "take over") worker.skipWaiting();
});

worker.addEventListener("fetch", (event) => {
  const { request } = event;
  if (request.method !== "GET") return;
  const url = new URL(request.url);
  const address = request.mode === "navigate" ? home : url.origin + url.pathname;
  if (kept.has(address)) event.respondWith(answer(address, request));
});

async function fill() {
  const cache = await caches.open(cacheName);
  // Past the browser's own cache, or a version could be mixed from two.
  await cache.addAll([...kept].map((address) => new Request(address, { cache: "reload" })));
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
  return (await cache.match(address)) ?? fetch(request);
}
