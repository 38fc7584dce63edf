// The Practice screen: all of it by keyboard alone, what a screen reader is told, and how it fits.
import assert from "node:assert/strict";
import { accessibilityFindings, browserTest, pageReady } from "./lib.mjs";
import { choose, practisePorchLight } from "./practice-page.mjs";
import { button, saved, tabTo } from "./riff-page.mjs";

/** @typedef {import("playwright-core").Page} Page */

/** @param {Page} page */
const focused = (page) =>
  page.evaluate(() => document.activeElement?.getAttribute("aria-label") ?? document.activeElement?.textContent ?? "");
/** What assistive technology is given of a part of the page: roles, names and states. @param {Page} page @param {string} part */
const tree = (page, part) => page.locator(part).ariaSnapshot();

/** By how much the page is higher and wider than the window. @param {Page} page */
const overflow = (page) =>
  page.evaluate(() => [
    document.documentElement.scrollHeight - innerHeight,
    document.documentElement.scrollWidth - innerWidth,
  ]);

browserTest("a run is set, begun, played, stopped and read by keyboard alone", async ({ page, site }) => {
  await page.goto(site.address);
  await pageReady(page);
  await tabTo(page, "hear a riff: Porch light");
  await page.keyboard.press("Enter");
  await page.evaluate(() => document.body.focus());
  await tabTo(page, "Practice");
  await page.keyboard.press("Enter");
  assert.match(await tree(page, ".tabs"), /button "Practice"/);
  assert.equal(await page.locator(".tabs [aria-current=page]").textContent(), "Practice");

  await tabTo(page, "more");
  await page.keyboard.press("Enter");
  await page.evaluate(() => document.body.focus());
  await tabTo(page, /^What you play: the notes/);
  assert.match(await tree(page, "#setting"), /button "What you play: the notes"/);
  await page.keyboard.press("Enter");
  assert.equal(await page.locator("#setting .part[aria-expanded=true]").count(), 1);
  assert.match(await tree(page, "#setting"), /group "What you play":[^]*button "the notes[^"]*" \[pressed\]/);
  await page.keyboard.press("Tab");
  await page.keyboard.press("Enter");
  await page.keyboard.press("Escape");
  assert.equal(await focused(page), "What you play: the rhythm alone");
  await tabTo(page, /^Which bars/);
  await page.keyboard.press("Enter");
  await tabTo(page, /^one bar at a time/);
  await page.keyboard.press("Enter");
  await page.keyboard.press("Escape");
  await tabTo(page, /^Going on/);
  await page.keyboard.press("Enter");
  await tabTo(page, /^one time, then stop/);
  await page.keyboard.press("Enter");
  await page.keyboard.press("Escape");

  // No time limit: nothing begins until it is asked for, and stopping is one press, from wherever the hands are.
  await page.evaluate(() => document.querySelector("#brief")?.parentElement?.querySelector("button")?.focus());
  await tabTo(page, "Start practising");
  await page.keyboard.press("Enter");
  await page.waitForFunction(() => document.activeElement?.classList.contains("tap-pad"));
  assert.match(await tree(page, "#pad"), /button "Tap here or press any letter, or Space"/);
  assert.match(await tree(page, ".tune"), /button "Stop"/);
  await page.keyboard.press("Escape");
  assert.equal(await focused(page), "Start practising");

  // A bar of counting in, then a bar of taps; the result is said once, not each beat.
  await page.evaluate(() => {
    const words = /** @type {string[]} */ ([]);
    Object.assign(globalThis, { words });
    const live = /** @type {HTMLElement} */ (document.getElementById("said"));
    new MutationObserver(() => words.push(live.textContent ?? "")).observe(live, {
      childList: true,
      characterData: true,
      subtree: true,
    });
  });
  await page.keyboard.press("Enter");
  await page.waitForFunction(() => document.querySelector(".bar.now"));
  for (let tap = 0; tap < 4; tap++) {
    await page.keyboard.press("Space");
    await page.waitForTimeout(350);
  }
  await button(page, "Start practising").waitFor();
  const words = /** @type {string[]} */ (await page.evaluate(() => /** @type {any} */ (globalThis).words));
  assert.equal(words.length, 1, JSON.stringify(words));
  const told = await tree(page, "#after");
  assert.match(told, /region "The last time through"/);
  assert.match(told, /heading "That time through" \[level=2\]/);
  assert.ok(words[0] && told.includes(words[0].split(". ")[0] ?? "?"), told);
  assert.equal(told.match(/Tap along once/g)?.length, 1, told);

  await page.setViewportSize({ width: 1366, height: 620 });
  assert.deepEqual(await overflow(page), [0, 0], "what was said fits a low window");

  await tabTo(page, "Show the numbers");
  await page.keyboard.press("Enter");
  await page.locator(".sticks").waitFor();
  assert.match(await tree(page, "#after"), /img "Each note as a stick: upwards is early, downwards is late/);
  await tabTo(page, "Note by note, as a table");
  await page.keyboard.press("Enter");
  await page.getByRole("columnheader", { name: "Where" }).waitFor();
  assert.match(await tree(page, "#after"), /columnheader "Where"[^]*rowheader "bar 1, beat 1 and"/);
  assert.deepEqual(await accessibilityFindings(page), []);
  assert.deepEqual(await overflow(page), [0, 0], "with the numbers open nothing but their own column scrolls");
});

browserTest("the Practice screen fits a school laptop, a phone and a narrow phone", async ({ page, site }) => {
  await page.goto(site.address);
  await pageReady(page);
  await practisePorchLight(page);
  for (const [width, height] of /** @type {const} */ ([
    [1366, 620],
    [1920, 1080],
    [390, 844],
    [320, 640],
  ])) {
    await page.setViewportSize({ width, height });
    const box = await page.getByRole("button", { name: "Start practising" }).boundingBox();
    assert.ok(box && box.y + box.height <= height && box.height >= 44, `${width}: ${JSON.stringify(box)}`);
    const [across, down] = await page.evaluate(() => [
      document.documentElement.scrollWidth - innerWidth,
      document.documentElement.scrollHeight - innerHeight,
    ]);
    assert.equal(across, 0, `${width} wide scrolls sideways`);
    if (width > 1100) assert.ok((down ?? 1) <= 0, `${width}×${height} scrolls by ${down}`);
    assert.deepEqual(await accessibilityFindings(page), [], `${width}`);
  }
});

browserTest("what is in sight follows the setting, and other screens are as before", async ({ page, site }) => {
  await page.goto(site.address);
  await pageReady(page);
  await practisePorchLight(page);
  const sees = async () => [
    await page.locator("#form .mark").first().isVisible(),
    await page.locator("#form .chord").first().isVisible(),
    await page.locator("#to-play").isVisible(),
  ];
  assert.deepEqual(await sees(), [true, true, true]);
  await choose(page, "What is in sight", /only the chords/);
  assert.deepEqual(await sees(), [false, true, false]);
  await choose(page, "What is in sight", /nothing in sight/);
  assert.deepEqual(await sees(), [false, false, false]);
  await button(page, "Riff").click();
  assert.ok((await page.locator("#form .mark").first().isVisible()) && (await page.locator("#strip").isVisible()));
  assert.ok(await page.locator("#setting").isHidden());
});

browserTest(
  "how one practises is as it was after a reload, and a damaged record costs nothing else",
  async ({ page, site }) => {
    await page.goto(site.address);
    await pageReady(page);
    await practisePorchLight(page);
    await choose(page, "What is in sight", /only the chords/);
    await choose(page, "The click", /on 2 and 4/);
    await choose(page, "The click", /silent every fourth bar/);
    await choose(page, "How fast", /slow to fast/);
    await choose(page, "What you play", /the rhythm alone/);
    await choose(page, "What is said", /more room/);
    await saved(page);
    const parts = page.locator("#setting .part");
    const told = async () => {
      // The room may still be on its way after a reload.
      await parts.first().waitFor();
      return parts.evaluateAll((all) =>
        all.map((part) => part.getAttribute("aria-label") ?? part.textContent).join("; "),
      );
    };
    const before = await told();
    assert.match(
      before,
      /slow to fast, now 69 of 92.*click on 2 and 4, silent every fourth bar.*the rhythm alone.*only the chords in sight/,
    );
    await page.reload();
    await pageReady(page);
    await button(page, "Practice").click();
    assert.equal(await told(), before);
    assert.ok(await page.locator("#pad .tap-pad").isVisible());

    await page.evaluate(async () => {
      const [{ name = "" } = {}] = await indexedDB.databases();
      const open = indexedDB.open(name);
      await new Promise((resolve) => (open.onsuccess = resolve));
      const store = open.result.objectStoreNames[0] ?? "";
      const records = open.result.transaction(store, "readwrite").objectStore(store);
      const get = records.get("tune");
      await new Promise((resolve) => (get.onsuccess = resolve));
      const put = records.put({
        ...get.result,
        text: get.result.text.replace("sight=chords", "sight=?? room= light=blue"),
      });
      await new Promise((resolve) => (put.onsuccess = resolve));
      open.result.close();
    });
    await page.reload();
    await pageReady(page);
    await button(page, "Practice").click();
    assert.equal(await told(), before.replace("only the chords in sight", "the form and the notes in sight"));
  },
);
