// What stands in the page's storage, read and written past the page.

/** @typedef {{ id: any, text?: any, revision?: any }} Raw */

/**
 * Goes to an address of the page's origin at which the page itself does not run.
 * @param {import("playwright-core").Page} page
 * @param {string} address
 */
export async function beforeThePage(page, address) {
  await page.goto(`${address}manifest.webmanifest`);
}

/**
 * Every record as it stands, by its id.
 * @param {import("playwright-core").Page} page
 * @returns {Promise<Raw[]>}
 */
export function stored(page) {
  return page.evaluate(async () => {
    const done = (/** @type {IDBRequest} */ request) =>
      new Promise((resolve, reject) => {
        request.onsuccess = () => resolve(request.result);
        request.onerror = () => reject(request.error);
      });
    const database = /** @type {IDBDatabase} */ (await done(indexedDB.open("riffloom")));
    const all = await done(database.transaction("records").objectStore("records").getAll());
    database.close();
    return /** @type {any} */ (all);
  });
}

/**
 * Puts records in, as they are; makes the database where there is none.
 * @param {import("playwright-core").Page} page
 * @param {Raw[]} records
 */
export async function store(page, records) {
  await page.evaluate(async (all) => {
    const database = await new Promise((resolve, reject) => {
      const request = indexedDB.open("riffloom", 1);
      request.onupgradeneeded = () => request.result.createObjectStore("records", { keyPath: "id" });
      request.onsuccess = () => resolve(request.result);
      request.onerror = () => reject(request.error);
    });
    const transaction = database.transaction("records", "readwrite");
    for (const record of all) transaction.objectStore("records").put(record);
    await new Promise((resolve) => (transaction.oncomplete = resolve));
    database.close();
  }, records);
}

/**
 * A riff's record, as the page writes it.
 * @param {string} id 16 hexadecimal digits
 * @param {string} name
 * @param {string[]} pitches each half a beat long
 * @param {number} [version]
 */
export function riffRecord(id, name, pitches, version = 1) {
  const notes = pitches.map((pitch, index) => ({ onset: index * 5040, length: 5040, pitch }));
  const riff = { version, revision: 1, id, name, start: 0, key: "G", beat: 10_080, divisions: Array(8).fill(2), notes };
  return { id, text: JSON.stringify(riff), revision: 1 };
}

/** A connection on which every byte counts: no room comes before it is asked for. @param {import("playwright-core").BrowserContext} context */
export async function sparing(context) {
  await context.addInitScript(() =>
    Object.defineProperty(Navigator.prototype, "connection", { get: () => ({ saveData: true }) }),
  );
}

/** The pieces of the core's rooms that have come. @param {import("playwright-core").Page} page */
export function roomsOfCore(page) {
  return page.evaluate(() =>
    performance
      .getEntriesByType("resource")
      .map(({ name }) => name)
      .filter((name) => /\/rooms\/.*\.wasm$/.test(name)),
  );
}
