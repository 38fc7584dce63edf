// The page follows what sounds: light and onset, the chord on the keys, a bar that is held, the count-in.
import assert from "node:assert/strict";
import { browserTest, openDemo, pageReady, stallMainThread } from "./lib.mjs";
import { button, key, setBand, setNotes, setTempo } from "./riff-page.mjs";
import { compareLights, forgetLights, seenLights, watchLights } from "./lights.mjs";

/** @typedef {import("playwright-core").Page} Page */

/** The demo riff, Porch light (D E B♭ B G), over its tune in G with C7 in bar 2, by the riff alone. @param {Page} page */
async function prepare(page) {
  await pageReady(page);
  await openDemo(page);
  await setBand(page, ["solo"]);
}

/** What the form, the keys and the words show, frame by frame, while it changes. @param {Page} page */
const watchShown = (page) =>
  page.evaluate(() => {
    /** @type {{ bar: number, roles: string, used: string, coming: number, title: string, next: string }[]} */
    const shown = [];
    Object.assign(window, { shown });
    const look = () => {
      const bar = document.querySelector("#form .bar.now");
      const keys = /** @type {HTMLElement[]} */ ([...document.querySelectorAll("#keyboard .keys .key")].slice(0, 12));
      const role = (/** @type {HTMLElement} */ each) =>
        /** @type {Element} */ (each.querySelector(".shape"))?.getAttribute("class")?.split(" ")[1] ?? "-";
      const now = {
        bar: bar instanceof HTMLElement ? Number(bar.dataset.bar) : -1,
        roles: keys.map(role).join(" "),
        used: keys
          .filter((each) => each.matches(".used"))
          .map((each) => each.querySelector("b")?.textContent)
          .join(" "),
        coming: document.querySelectorAll("#keyboard .keys .key.coming").length,
        title: document.querySelector("#words summary")?.textContent ?? "",
        next: document.querySelector("#next")?.textContent ?? "",
      };
      if (JSON.stringify(now) !== JSON.stringify(shown.at(-1))) shown.push(now);
      requestAnimationFrame(look);
    };
    look();
  });
/** @param {Page} page @returns {Promise<{ bar: number, roles: string, used: string, coming: number, title: string, next: string }[]>} */
const shown = (page) => page.evaluate(() => /** @type {any} */ (window).shown);
const bar = (/** @type {Page} */ page, /** @type {number} */ index) =>
  page.locator(`#form .bar.now[data-bar="${index}"]`).waitFor();

browserTest(
  "every note is lit when it sounds, also after edits, stalls and changes of tempo",
  { prepare: watchLights, timed: true },
  async ({ page, site }) => {
    await page.goto(site.address);
    await prepare(page);
    await page.locator("#strip [role=option]").first().click();
    // The demo is heard as it comes.
    await forgetLights(page);
    await button(page, "Play with the band").click();
    await bar(page, 0);
    await stallMainThread(page, { busy: 350, period: 1500 });
    for (const bpm of [132, 92, 160]) {
      await page.waitForTimeout(2500);
      await button(page, "Accent").click();
      await setTempo(page, bpm);
    }
    await page.waitForTimeout(4000);
    const found = compareLights(await seenLights(page));
    assert.deepEqual(found.wrong, []);
    assert.ok(found.notes > 10, `only ${found.notes} notes`);
  },
);

browserTest("keys, neck and words show the chord that sounds, and what comes a beat before", async ({ page, site }) => {
  await page.goto(site.address);
  await prepare(page);
  await setTempo(page, 200);
  await setNotes(page, /^the chord’s notes/);
  await watchShown(page);
  await button(page, "Play with the band").click();
  await bar(page, 3);
  const seen = await shown(page);
  const playing = seen.filter((each) => each.bar >= 0);
  // The notes of G7 and C7 (common practice), from the C that the keyboard begins with.
  for (const [index, notes] of /** @type {[number, string][]} */ ([
    [0, "D F G B"],
    [1, "C E G B♭"],
    [2, "D F G B"],
  ])) {
    const here = playing.filter((each) => each.bar === index);
    assert.ok(
      here.length > 0 && here.slice(1).every((each) => each.used === notes),
      `bar ${index + 1}: ${here.map((each) => each.used)}`,
    );
    assert.ok(
      here.slice(2).every((each) => each.title.includes(`bar ${index + 1},`)),
      `bar ${index + 1}: ${here.map((each) => each.title)}`,
    );
  }
  const told = playing.filter((each) => each.bar === 0 && each.coming > 0);
  assert.ok(
    told.length > 0 && told.every((each) => each.next === "next: C7 in 1 beat" || each.next === ""),
    JSON.stringify(told),
  );
  // Four tones in each octave, and C once more on top.
  assert.ok(
    told.every((each) => each.coming === 9),
    JSON.stringify(told.map((each) => each.coming)),
  );
  const counted = [...new Set(seen.map((each) => each.next).filter((text) => text.startsWith("count")))];
  assert.deepEqual(counted, ["count: 1", "count: 2", "count: 3", "count: 4"]);
});

browserTest("a bar that is picked while it plays is held until it is let go", async ({ page, site }) => {
  await page.goto(site.address);
  await prepare(page);
  const title = page.locator("#words summary").first();
  await button(page, "Play with the band").click();
  await bar(page, 0);
  await page.locator('#form .bar[data-bar="4"]').click();
  const held = page.getByRole("button", { name: "Held: bar 5. Follow the music again." });
  await held.waitFor();
  await bar(page, 1);
  assert.match((await title.textContent()) ?? "", /bar 5, C7/);
  await held.click();
  await held.waitFor({ state: "hidden" });
  await bar(page, 2);
  await page.waitForFunction(() => document.querySelector("#words summary")?.textContent?.includes("bar 3, G7"));
  await page.keyboard.press("Escape");
  // What was looked at is looked at again.
  await page.waitForFunction(() => document.querySelector("#words summary")?.textContent?.includes("bar 5, C7"));
});

browserTest(
  "a note that a person plays has its own mark, on the key, in the bar and on the strip",
  async ({ page, site }) => {
    await page.goto(site.address);
    await prepare(page);
    await button(page, "Play with the band").click();
    await bar(page, 0);
    await page.keyboard.down("KeyA");
    await page.waitForFunction(() => document.querySelectorAll("#form .own-note, #strip .own-note").length === 2);
    assert.ok(await key(page, 67).evaluate((each) => each.matches(".down")));
    await page.keyboard.up("KeyA");
    assert.equal(await page.locator(".own-note").count(), 0);
  },
);
