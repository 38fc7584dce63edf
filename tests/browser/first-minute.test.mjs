// The first minute on the page: each step notices what was done, and only that is ticked off.
import assert from "node:assert/strict";
import { browserTest } from "./lib.mjs";
import { pageReady } from "./page.mjs";
import { audioToEpoch, firstSound, pressKeys, soundsAsked, watchAudio } from "./practice-page.mjs";

/** The beats of the first minute's riff on which a note begins. */
const ONSETS = [0, 1.5, 2, 4, 4.5, 5];
const NOTES = ONSETS.length;

/**
 * Presses a key so many beats from now on, at a tempo of one's own.
 * @param {import("playwright-core").Page} page
 * @param {number[]} beats
 * @param {{ code: string, key: string }} what
 */
function pressAt(page, beats, what) {
  const now = Date.now() + 300;
  return pressKeys(
    page,
    beats.map((beat) => ({ at: now + beat * 300, ...what })),
  );
}
const SPACE = { code: "Space", key: " " };
/** The computer key that plays home. */
const HOME = { code: "KeyA", key: "a" };

/** @param {import("playwright-core").Page} page */
const done = (page) =>
  page.locator(".first-minute li").evaluateAll((all) => all.map((step) => step.classList.contains("done")));

browserTest("each step of the first minute is ticked off when it was done", async ({ page, site }) => {
  await page.goto(site.address);
  await pageReady(page);
  assert.deepEqual(await done(page), [false, false, false, false, false]);
  const pad = page.locator(".first-minute .tap-pad");
  assert.ok(await pad.isVisible(), "what is to be tapped has a place from the start");

  await page.getByRole("button", { name: "Hear two bars" }).click();
  await page.locator(".first-minute li.done").first().waitFor();
  assert.deepEqual(await done(page), [true, false, false, false, false]);
  const size = await pad.boundingBox();
  assert.ok(size && size.height >= 64 && size.width >= 200, `the pad is ${size?.width} × ${size?.height}`);

  // The riff is over: Space taps, without a click on the pad before.
  await page.waitForFunction(() => !document.body.classList.contains("playing"));
  await pressAt(page, ONSETS.slice(1), SPACE);
  assert.equal(await page.locator(".first-minute .dots .full").count(), NOTES - 1, "a dot for each tap");
  assert.deepEqual(await done(page), [true, false, false, false, false], "a tap is missing");
  await pressAt(page, [5], SPACE);
  await page.getByText("Not its rhythm yet.").waitFor();
  assert.deepEqual(await done(page), [true, false, false, false, false], "as many taps are not the rhythm");
  await pressAt(page, ONSETS, SPACE);
  await page.locator(".first-minute li.done").nth(1).waitFor();
  assert.deepEqual(await done(page), [true, true, false, false, false]);

  await pressAt(page, [0, 1, 2, 3, 4, 5], HOME);
  assert.deepEqual(await done(page), [true, true, false, false, false], "even notes are not the riff");
  await pressAt(page, ONSETS, HOME);
  await page.locator(".first-minute li.done").nth(2).waitFor();
  assert.deepEqual(await done(page), [true, true, true, false, false]);

  // Its first note, three half steps higher.
  const note = await page.locator(".token").first().boundingBox();
  assert.ok(note);
  await page.mouse.move(note.x + 8, note.y + 12);
  await page.mouse.down();
  await page.mouse.move(note.x + 8, note.y - 20, { steps: 4 });
  await page.mouse.up();
  assert.deepEqual(await done(page), [true, true, true, true, false]);

  await page.getByRole("button", { name: "Play with the band" }).click();
  await page.waitForFunction(() => document.body.classList.contains("playing"));
  assert.deepEqual(await done(page), [true, true, true, true, false], "the band has not begun yet");
  await page.locator(".first-minute li.done").nth(4).waitFor();
  assert.deepEqual(await done(page), [true, true, true, true, true]);
  // It ends with something to do.
  await page.getByRole("button", { name: "Practise it" }).waitFor();
  await page.getByRole("button", { name: "Make my own" }).click();
  assert.ok((await page.locator(".first-minute").count()) === 0);
  assert.equal(await page.locator("#strip [role=option]").count(), 0, "an empty riff waits");
});

browserTest("the last step ends it, and a second try at the notes counts", async ({ page, site }) => {
  await page.goto(site.address);
  await pageReady(page);
  await pressAt(page, [0, 1, 2, 3, 4, 5], HOME);
  assert.deepEqual(await done(page), [false, false, false, false, false], "even notes are not the riff");
  await pressAt(page, [0, 1, 2, 3, 4, 5], HOME);
  await page.locator(".first-minute li.done").waitFor();
  assert.deepEqual(await done(page), [false, false, true, false, false]);
  await page.getByRole("button", { name: "Play with the band" }).click();
  await page.getByRole("button", { name: "Practise it" }).click();
  assert.equal(await page.locator(".tabs [aria-current=page]").textContent(), "Practice");
  assert.equal(await page.locator(".first-minute").count(), 0);
  assert.equal(await page.locator("body.playing").count(), 0, "what played has stopped");
});

browserTest("what was only begun is not ticked off", async ({ page, site }) => {
  await page.goto(site.address);
  await pageReady(page);
  await page.getByRole("button", { name: "Hear two bars" }).click();
  await page.waitForTimeout(1200);
  await page.getByRole("button", { name: "Stop", exact: true }).click();
  assert.deepEqual(await done(page), [false, false, false, false, false]);
});

browserTest(
  "in the first minute a learner’s own rhythm becomes the riff",
  { prepare: watchAudio },
  async ({ page, site }) => {
    await page.goto(site.address);
    await pageReady(page);
    await page.getByRole("button", { name: "Hear two bars" }).click();
    await page.getByRole("button", { name: "I clapped it" }).click();
    await page.waitForFunction(() => !document.body.classList.contains("playing"));
    await pressAt(page, ONSETS, HOME);
    await page.locator(".first-minute li.done").nth(2).waitFor();
    const toEpoch = await audioToEpoch(page);
    const before = await soundsAsked(page);
    await page.getByRole("button", { name: "Or play in your own rhythm" }).click();
    // The first tune has 76 beats a minute.
    const beat = 60 / 76;
    const barOne = (await firstSound(page, before)) + 4 * beat;
    await pressKeys(
      page,
      [0, 1, 2, 4, 5, 6].map((at) => ({ at: toEpoch(barOne + at * beat), code: "Space", key: " " })),
    );
    await page
      .locator("#taking")
      .getByText(/^You played 6 notes/)
      .waitFor({ timeout: 20_000 });
    const notes = await page
      .locator("#strip [role=option]")
      .evaluateAll((all) => all.map((note) => note.getAttribute("aria-label") ?? ""));
    assert.deepEqual(
      notes.map((label) => label.split(", ").slice(1, 3).join(", ")),
      ["bar 1, beat 1", "bar 1, beat 2", "bar 1, beat 3", "bar 2, beat 1", "bar 2, beat 2", "bar 2, beat 3"],
    );
    assert.deepEqual(await done(page), [true, true, true, true, false]);
  },
);

browserTest("a step that was done before its turn ticks no other one", async ({ page, site }) => {
  await page.goto(site.address);
  await pageReady(page);
  await pressAt(page, ONSETS, HOME);
  await page.locator(".first-minute li.done").waitFor();
  assert.deepEqual(await done(page), [false, false, true, false, false]);
  await page.getByRole("button", { name: "Hear two bars" }).click();
  await page.locator(".first-minute li.done").nth(1).waitFor();
  await page.getByRole("button", { name: "I clapped it" }).click();
  assert.deepEqual(await done(page), [true, true, true, false, false]);
});

browserTest("on a phone the keys are in sight when they are to be played", async ({ page, site }) => {
  for (const [width, height] of [
    [390, 844],
    [360, 640],
  ]) {
    await page.setViewportSize({ width: width ?? 0, height: height ?? 0 });
    await page.goto(site.address);
    await pageReady(page);
    await page.getByRole("button", { name: "Hear two bars" }).click();
    await page.getByRole("button", { name: "I clapped it" }).click();
    await page.waitForFunction(() => !document.body.classList.contains("playing"));
    const [keys, tabs] = [
      await page.locator("#keyboard .keys").boundingBox(),
      await page.locator(".tabs").boundingBox(),
    ];
    assert.ok(
      keys && tabs && keys.y + keys.height <= tabs.y,
      `keys end at ${keys && keys.y + keys.height}, tabs begin at ${tabs?.y}`,
    );
  }
});
