// Whatever stands in the database, the page opens and storage is used.
import assert from "node:assert/strict";
import { browserTest } from "./lib.mjs";
import { pageReady } from "./page.mjs";
import { saved, writeRiff } from "./riff-page.mjs";

const ODD = [
  { id: "00000000000000b1", text: "{}" },
  { id: "00000000000000b2", text: "{}", revision: -1 },
  { id: 7, text: "{}", revision: 1 },
  { id: "00000000000000b4", text: { version: 1 }, revision: 1 },
  { id: "00000000000000b7", text: "\ud83c", revision: 1 },
  { id: "order", text: ["00000000000000aa"], revision: 0 },
];

browserTest("odd records keep nobody from the page, and are left", async ({ page, site, problems }) => {
  problems.expect(/favicon/);
  await page.goto(`${site.address}manifest.webmanifest`);
  const all = () => page.evaluate(() => new Promise((resolve) => {
    indexedDB.open("riffloom").onsuccess = (event) => {
      const database = /** @type {any} */ (event.target).result;
      database.transaction("records").objectStore("records").getAll().onsuccess = (/** @type {any} */ got) => {
        database.close();
        resolve(got.target.result);
      };
    };
  }));
  await page.evaluate((records) => new Promise((resolve) => {
    const request = indexedDB.open("riffloom", 1);
    request.onupgradeneeded = () => request.result.createObjectStore("records", { keyPath: "id" });
    request.onsuccess = () => {
      const transaction = request.result.transaction("records", "readwrite");
      for (const record of records) transaction.objectStore("records").put(record);
      transaction.oncomplete = () => {
        request.result.close();
        resolve(undefined);
      };
    };
  }), ODD);
  await page.goto(site.address);
  await pageReady(page);
  await writeRiff(page, [67, 70]);
  await saved(page);
  const after = /** @type {any[]} */ (await all());
  for (const odd of ODD.slice(0, -1)) assert.deepEqual(after.find(({ id }) => id === odd.id), odd);
  await page.reload();
  await pageReady(page);
  assert.equal(await page.locator("#strip [role=option]").count(), 2);
});
