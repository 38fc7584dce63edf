// What was practised is kept: over a reload, in two tabs at once, with the clock set back, on a full disk.
//
// What counts as known is no invention of the test: complete, without the notes, over the form, on a later day (Duke,
// Simmons and Cash 2009; Simmons 2012; see src/notebook/past/known.rs).
import assert from "node:assert/strict";
import { accessibilityFindings, browserTest, downloaded, pageReady } from "./lib.mjs";
import {
  audioToEpoch,
  choose,
  firstSound,
  pressKeys,
  soundsAsked,
  watchAudio,
  wholeSetting,
} from "./practice-page.mjs";
import { button, key, saved, setTempo, writeRiff } from "./riff-page.mjs";

/** @typedef {import("playwright-core").Page} Page */

/** Lets a test say how many days the page's clock is wrong by, in all pages of the profile. */
const withDays = async (/** @type {import("playwright-core").BrowserContext} */ context) => {
  await watchAudio(context);
  await context.addInitScript(() => {
    const Real = Date;
    const offset = () => Number(localStorage.getItem("test-days") ?? 0) * 86_400_000;
    /** @param {any[]} rest */
    function Shifted(...rest) {
      return rest.length > 0 ? Reflect.construct(Real, rest) : new Real(Real.now() + offset());
    }
    Object.assign(globalThis, { Date: Object.assign(Shifted, { UTC: Real.UTC, now: () => Real.now() + offset() }) });
  });
};

const setDays = (/** @type {Page} */ page, /** @type {number} */ days) =>
  page.evaluate((days) => localStorage.setItem("test-days", String(days)), days);

const BPM = 240;

/** A riff of one note in two bars, over a form of two bars: a time through takes two seconds, and then it stops. */
async function prepare(/** @type {Page} */ page) {
  await pageReady(page);
  await writeRiff(page, [67]);
  await page.getByLabel("Name of the riff").fill("Ferry bell");
  await page.keyboard.press("Enter");
  await page.getByRole("button", { name: /^Form:/ }).click();
  await page.locator("#chart").fill("G7 | G7");
  await button(page, "Use them").click();
  await page.keyboard.press("Escape");
  await setTempo(page, BPM);
  await button(page, "Practice").click();
  await choose(page, "Going on", /one time, then stop/);
  await saved(page);
}

/** @param {Page} page */
async function hideNotes(page) {
  await button(page, "Practice").click();
  await wholeSetting(page);
  await page.getByRole("button", { name: /^What is in sight:/ }).click();
  await page.locator('#setting [data-value="chords"]').click();
  await page.keyboard.press("Escape");
}

/**
 * Plays the riff through this many times. Each press carries the time at which its note is due, so it is in time however
 * late a busy machine passes it on.
 * @param {Page} page
 * @param {number} times
 */
async function playThrough(page, times) {
  await button(page, "Practice").click();
  const toEpoch = await audioToEpoch(page);
  const code = (await key(page, 67).getAttribute("data-code")) ?? "";
  for (let time = 0; time < times; time++) {
    const before = await soundsAsked(page);
    await button(page, "Start practising").click();
    const barOne = (await firstSound(page, before)) + (4 * 60) / BPM;
    await pressKeys(page, [{ at: toEpoch(barOne), code, key: code.slice(-1).toLowerCase() }]);
    await button(page, "Start practising").waitFor();
  }
}

/** The card of the riff, in the notebook. */
async function card(/** @type {Page} */ page) {
  await button(page, "Notebook").click();
  return page.locator(".card", { hasText: "Ferry bell" });
}

/** The rows of the look back, oldest last. */
async function lookBack(/** @type {Page} */ page) {
  await (await card(page)).getByRole("button", { name: "Look back" }).click();
  await page.getByText("Each time through, as a table").click();
  return page
    .locator(".look-back tbody tr")
    .evaluateAll((rows) => rows.map((row) => [...row.children].map((cell) => cell.textContent).join(" | ")));
}

const standing = async (/** @type {Page} */ page) => (await card(page)).locator(".standing").textContent();

browserTest(
  "what is known follows the days, over a reload and a clock set back",
  { prepare: withDays },
  async ({ page, site }) => {
    await page.goto(site.address);
    await prepare(page);
    assert.equal(await standing(page), "Not played through yet.");
    await hideNotes(page);
    await playThrough(page, 2);
    const begun = await standing(page);
    assert.match(begun ?? "", /^Started\./, "a row on one evening is no knowing");
    await saved(page);

    await page.reload();
    await pageReady(page);
    assert.equal(await standing(page), begun);
    const rows = await lookBack(page);
    assert.equal(rows.length, 2, rows.join("\n"));
    assert.match(rows[0] ?? "", /\| G \| 240 \| by heart, over the form \| all the notes$/);

    // The clock goes back a day and comes right again on the same evening: nothing is known by it, nothing is lost.
    await setDays(page, -1);
    await hideNotes(page);
    await playThrough(page, 1);
    await setDays(page, 0);
    await playThrough(page, 1);
    assert.match((await standing(page)) ?? "", /^Started\./);
    await setDays(page, 1);
    await playThrough(page, 1);
    assert.match((await standing(page)) ?? "", /^You know it in G up to 240\. It may rest until /);
    assert.equal((await lookBack(page)).length, 5);
    assert.deepEqual(await accessibilityFindings(page), []);

    // The table as a file, with as many rows.
    const [download] = await Promise.all([
      page.waitForEvent("download"),
      button(page, "Save as a table (CSV)").click(),
    ]);
    const csv = (await downloaded(download)).toString("utf8");
    const lines = csv.trim().split("\r\n");
    assert.equal(lines.length, 6, csv);
    assert.match(lines[1] ?? "", /^\d{4}-\d\d-\d\d,"Ferry bell",G,240,notes,no,form,all,1,1,0,/);

    // A week and more later it is worth bringing back, and today's ten minutes begin with it.
    await setDays(page, 9);
    await page.reload();
    await pageReady(page);
    assert.match((await standing(page)) ?? "", /Worth bringing back\.$/);
    await page.locator(".today .later > summary").click();
    const turns = await page.locator(".turns li").allTextContents();
    assert.match(turns[0] ?? "", /^Ferry bell, in G: only the chords in sight2 minutes · worth bringing back/);
    assert.ok(
      turns.some((turn) => /^Ferry bell, in C/.test(turn)),
      "and later in another key",
    );
    await button(page, "Practise it: Ferry bell, in C: hear it and play along").first().click();
    await page.getByText("In C, by ear: the same riff, 5 half steps higher than it is written.").waitFor();
    await page.getByRole("button", { name: "Key: C" }).waitFor();
  },
);

browserTest("two tabs at once keep both", { prepare: withDays }, async ({ page, context, site }) => {
  await page.goto(site.address);
  await prepare(page);
  const other = await context.newPage();
  await other.goto(site.address);
  await pageReady(other);
  await page.bringToFront();
  await playThrough(page, 1);
  await saved(page);
  await other.bringToFront();
  await playThrough(other, 1);
  await saved(other);
  await page.bringToFront();
  await playThrough(page, 1);
  await saved(page);
  for (const each of [page, other]) {
    await each.reload();
    await pageReady(each);
    const rows = await lookBack(each);
    assert.equal(rows.length, 3, rows.join("\n"));
  }
});

browserTest(
  "on a full disk it says so, and keeps what was played once there is room",
  { prepare: watchAudio },
  async ({ page, site }) => {
    await page.addInitScript(() => {
      const { put } = IDBObjectStore.prototype;
      IDBObjectStore.prototype.put = function (value, ...rest) {
        if (/** @type {any} */ (globalThis).diskIsFull) throw new DOMException("full", "QuotaExceededError");
        return put.call(this, value, ...rest);
      };
    });
    await page.goto(site.address);
    await prepare(page);
    await page.evaluate(() => Object.assign(globalThis, { diskIsFull: true }));
    await playThrough(page, 1);
    await page.locator("#kept", { hasText: "Not kept: no room" }).waitFor();
    assert.equal((await lookBack(page)).length, 1, "it is there while the page is open");
    await page.evaluate(() => Object.assign(globalThis, { diskIsFull: false }));
    await playThrough(page, 1);
    await saved(page);
    await page.reload();
    await pageReady(page);
    assert.equal((await lookBack(page)).length, 2);
  },
);
