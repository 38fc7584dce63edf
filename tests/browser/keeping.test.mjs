// Storage that does not answer, is full, or is taken away: the page says so, goes on, and writes all it holds once it can.
import assert from "node:assert/strict";
import { browserTest } from "./lib.mjs";
import { pageReady } from "./page.mjs";
import { button, notesOnStrip, saved, writeRiff } from "./riff-page.mjs";
import { beforeThePage, riffRecord, store, stored } from "./storage-page.mjs";

const GOOD = riffRecord("00000000000000aa", "Ferry bell", ["G4", "Bb4"]);

/** @param {import("playwright-core").Page} page */
const kept = (page) => page.locator("#kept").textContent();

/** Every way to open a database hangs until `__answer()` is called. @param {import("playwright-core").BrowserContext} context */
const hangingStorage = async (context) =>
  void (await context.addInitScript(() => {
    const open = IDBFactory.prototype.open;
    /** A request of which nobody ever hears again. */
    const silent = Object.assign(Object.create(IDBOpenDBRequest.prototype), {
      addEventListener() {},
      removeEventListener() {},
    });
    let hangs = true;
    IDBFactory.prototype.open = function (...given) {
      return hangs && location.pathname === "/" ? silent : open.apply(this, /** @type {[string]} */ (given));
    };
    /** @type {any} */ (globalThis).__answer = () => (hangs = false);
  }));

/** @param {import("playwright-core").Page} page */
const answer = (page) => page.evaluate(() => /** @type {any} */ (globalThis).__answer());

browserTest(
  "a database that does not answer keeps nobody waiting, and gets all there is once it does",
  { prepare: hangingStorage },
  async ({ page, site }) => {
    await page.goto(site.address);
    await pageReady(page);
    await page
      .getByText("This device’s storage does not answer. You can go on: all you write is kept as soon as it does.")
      .waitFor();
    assert.equal(await kept(page), "Not kept yet");
    await writeRiff(page, [67, 70, 72]);
    await page.waitForTimeout(300);
    assert.equal(await kept(page), "Not kept yet");
    await answer(page);
    await saved(page);
    await page.reload();
    await pageReady(page);
    await answer(page);
    await page.getByText("Your notebook is here now.").waitFor();
    assert.equal((await notesOnStrip(page)).length, 3);
  },
);

browserTest(
  "what was kept before comes in beside what was written meanwhile, also at each step back",
  { prepare: hangingStorage },
  async ({ page, site }) => {
    await beforeThePage(page, site.address);
    await store(page, [GOOD, { id: "order", text: GOOD.id, revision: 0 }]);
    await page.goto(site.address);
    await pageReady(page);
    await writeRiff(page, [67, 70, 72]);
    await page.waitForTimeout(300);
    await answer(page);
    await page.getByText("Your notebook is here now.").waitFor();
    await saved(page);
    await button(page, "Undo").click();
    await saved(page);
    assert.deepEqual(
      (await stored(page)).find(({ id }) => id === GOOD.id),
      GOOD,
      "a step back took away what was kept",
    );
    await button(page, "Notebook").click();
    await page.locator("#notebook .cards li").filter({ hasText: "Ferry bell" }).waitFor();
  },
);

browserTest("full storage is told, and written to by itself once there is room", async ({ page, context, site }) => {
  const origin = new URL(site.address).origin;
  const session = await context.newCDPSession(page);
  await page.goto(site.address);
  await pageReady(page);
  // What keeps the page for use without a network needs room as well.
  await page.evaluate(() => navigator.serviceWorker.ready.then(() => undefined));
  // Before the first record: for a while after one the browser does not look again.
  await session.send("Storage.overrideQuotaForOrigin", { origin, quotaSize: 1 });
  await writeRiff(page, [67, 70]);
  await page
    .getByText(
      "There is no room left on this device. What you write stays on this page. Make some room, and it is kept by itself.",
    )
    .waitFor();
  assert.equal(await kept(page), "Not kept: no room");
  await session.send("Storage.overrideQuotaForOrigin", { origin });
  await saved(page);
  await page.reload();
  await pageReady(page);
  assert.equal((await notesOnStrip(page)).length, 2);
});

/** @type {[string, (page: import("playwright-core").Page, context: import("playwright-core").BrowserContext, origin: string) => Promise<unknown>][]} */
const WIPES = [
  [
    "by another page",
    async (_page, context, origin) => {
      const other = await context.newPage();
      await beforeThePage(other, `${origin}/`);
      await other.evaluate(() => new Promise((resolve) => (indexedDB.deleteDatabase("riffloom").onsuccess = resolve)));
      await other.close();
    },
  ],
  [
    "by the browser",
    async (page, context, origin) => {
      const session = await context.newCDPSession(page);
      await session.send("Storage.clearDataForOrigin", { origin, storageTypes: "indexeddb" });
    },
  ],
];
for (const [who, wipe] of WIPES) {
  browserTest(
    `storage that is cleared ${who} while the page is open gets back all that the page holds`,
    async ({ page, context, site }) => {
      await beforeThePage(page, site.address);
      await store(page, [GOOD]);
      await page.goto(site.address);
      await pageReady(page);
      await writeRiff(page, [67, 70]);
      await button(page, "Chorus").click();
      await page.locator("#chorus-riffs button").first().click();
      await saved(page);
      await wipe(page, context, new URL(site.address).origin);
      await page.getByText("This browser’s storage was cleared. All that this page had is kept again.").waitFor();
      await saved(page);
      const ids = (await stored(page)).map(({ id }) => id.replace(/[0-9a-f]{16}/, "")).sort();
      assert.deepEqual(ids, ["", "", "chorus-", "order", "tune"]);
      await page.reload();
      await pageReady(page);
      assert.equal((await notesOnStrip(page)).length, 2);
    },
  );
}

browserTest(
  "where the part of the page that reads the notebook does not come, the page opens and the notebook comes later",
  async ({ page, context, site, problems }) => {
    problems.expect(/ERR_FAILED|did not come/);
    await beforeThePage(page, site.address);
    await store(page, [GOOD, { id: "order", text: GOOD.id, revision: 0 }]);
    const pieces = /\/rooms\/.*\.wasm$/;
    await context.route(pieces, (route) => route.abort());
    await page.goto(site.address);
    await pageReady(page);
    await page.getByText("A part of this page did not come, so your notebook is not here yet.").waitFor();
    await writeRiff(page, [67, 70, 72]);
    await context.unroute(pieces);
    await page.getByText("Your notebook is here now.").waitFor();
    await saved(page);
    assert.deepEqual(
      (await stored(page)).find(({ id }) => id === GOOD.id),
      GOOD,
    );
    await page.reload();
    await pageReady(page);
    assert.equal((await notesOnStrip(page)).length, 3);
    await button(page, "Notebook").click();
    await page.locator("#notebook .cards li").filter({ hasText: "Ferry bell" }).waitFor();
  },
);
