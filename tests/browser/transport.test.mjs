// Pause, jumps and loops while the form plays, and sound that falls asleep.
import assert from "node:assert/strict";
import { assertSteps, BEAT, now, onsets, prepare } from "./band-page.mjs";
import { browserTest } from "./lib.mjs";
import { button } from "./riff-page.mjs";
import { recording, tap } from "./tap.mjs";

/** @typedef {import("playwright-core").Page} Page */

/** Notes from now on which bars of the form are drawn as sounding, in order. */
const watchBars = (/** @type {Page} */ page) =>
  page.evaluate(() => {
    const bars = /** @type {number[]} */ ([]);
    Object.assign(window, { bars });
    const look = () => {
      const bar = document.querySelector(".bar.now");
      if (bar instanceof HTMLElement && bars.at(-1) !== Number(bar.dataset.bar)) bars.push(Number(bar.dataset.bar));
      requestAnimationFrame(look);
    };
    look();
  });
const bars = (/** @type {Page} */ page) => page.evaluate(() => /** @type {any} */ (window).bars);
const waitForBar = (/** @type {Page} */ page, /** @type {number} */ bar) =>
  page.waitForFunction((bar) => /** @type {any} */ (window).bars.at(-1) === bar, bar, { timeout: 10_000 });

/** Waits until so many bars are drawn as looped: the form is drawn a frame after the press. */
const loopedBars = (/** @type {Page} */ page, /** @type {number} */ count) =>
  page.waitForFunction((count) => document.querySelectorAll(".bar.looped").length === count, count, { timeout: 5000 });

browserTest(
  "pause and go on, jump and loop: the bars follow, and the clicks stay in time",
  { prepare: tap, timed: true },
  async ({ page, site }) => {
    await page.goto(site.address);
    await prepare(page, ["click"]);
    await page.keyboard.press("Escape");
    await watchBars(page);
    await button(page, "Play with the band").click();
    await waitForBar(page, 1);
    await button(page, "Pause").click();
    const paused = await now(page);
    await page.waitForTimeout(1200);
    const resumed = await now(page);
    await button(page, "Go on from bar 2").click();
    await waitForBar(page, 2);
    assert.deepEqual(await bars(page), [0, 1, 2]);
    const rest = onsets(await recording(page)).filter((time) => time > paused + 0.05 && time < resumed);
    assert.deepEqual(rest, [], "something sounds in the pause");

    // Two taps on a bar: it goes there on the next beat.
    await page.locator('.bar[data-bar="8"]').dblclick();
    await waitForBar(page, 8);
    // Shift and a tap: from the bar that is marked to this one.
    await page.locator('.bar[data-bar="9"]').click({ modifiers: ["Shift"] });
    await page.waitForTimeout(1000 * 14 * BEAT);
    const heardBars = /** @type {number[]} */ (await bars(page));
    const looped = heardBars.slice(heardBars.indexOf(8));
    assert.ok(looped.length >= 4 && looped.every((bar, index) => bar === (index % 2 === 0 ? 8 : 9)), looped.join(" "));
    await loopedBars(page, 2);
    // By the keyboard: Shift and an arrow make the loop longer, Control and Enter jump.
    await page.locator('.bar[data-bar="9"]').focus();
    await page.keyboard.press("Shift+ArrowRight");
    await loopedBars(page, 3);
    await page.keyboard.press("Control+Enter");
    await waitForBar(page, 10);
    await button(page, "Stop").click();
    const times = onsets(await recording(page));
    assertSteps(
      times.filter((time) => time > resumed),
      [BEAT],
    );
  },
);

/** Keeps hold of the page's audio contexts. */
async function holdContexts(/** @type {import("playwright-core").BrowserContext} */ context) {
  await tap(context);
  await context.addInitScript(() => {
    const contexts = /** @type {AudioContext[]} */ ([]);
    Object.assign(window, { contexts });
    window.AudioContext = class extends AudioContext {
      /** @param {AudioContextOptions} [options] */
      constructor(options) {
        super(options);
        contexts.push(this);
      }
    };
  });
}

browserTest(
  "sound that was put to sleep goes on where it was; a clock that stands still is replaced",
  { prepare: holdContexts, timed: true },
  async ({ page, site }) => {
    await page.goto(site.address);
    await prepare(page, ["click"]);
    await page.keyboard.press("Escape");
    await watchBars(page);
    await button(page, "Play with the band").click();
    await waitForBar(page, 1);
    await page.evaluate(() => /** @type {any} */ (window).contexts[0].suspend());
    await page.getByText("The sound is asleep. Tap anywhere to wake it.").waitFor();
    await page.waitForTimeout(700);
    // Devices come and go: no touch is needed.
    await page.evaluate(() => navigator.mediaDevices.dispatchEvent(new Event("devicechange")));
    await waitForBar(page, 2);
    const heard = await recording(page);
    // Nothing was planned anew, so what was asked for is what sounds. (The recorder may miss blocks as it falls asleep.)
    const starts = heard.asked.filter(({ what }) => what === "start").map(({ when }) => when);
    assert.ok(starts.length > 8, "too few clicks");
    assertSteps(starts, [BEAT]);

    // A device that says it runs, and stands still.
    await standStill(page);
    await waitForBar(page, 3);
    assert.equal(await page.evaluate(() => /** @type {any} */ (window).contexts[1].state), "running");
    await button(page, "Stop").click();
  },
);

browserTest(
  "a chorus goes on as a chorus in place of a clock that stands still",
  { prepare: holdContexts, timed: true },
  async ({ page, site }) => {
    await page.goto(site.address);
    await prepare(page, ["click"]);
    await page.keyboard.press("Escape");
    await button(page, "Chorus").click();
    await button(page, "Once more through the form").click();
    await page.locator("#chorus-head .looped").click();
    await button(page, "bars 1 to 4, second time").click();
    await watchBars(page);
    await button(page, "Play with the band").click();
    await waitForBar(page, 12);
    await standStill(page);
    // The form has twelve bars; the second time through is the chorus's alone.
    await waitForBar(page, 13);
    await button(page, "Stop").click();
  },
);

/** The device says that it runs, and stands still, until a touch makes the page look. @param {Page} page */
async function standStill(page) {
  await page.evaluate(async () => {
    const context = /** @type {any} */ (window).contexts[0];
    await context.suspend();
    const { currentTime } = context;
    Object.defineProperty(context, "currentTime", { get: () => currentTime });
  });
  await page.getByRole("heading", { name: "riffloom" }).click();
  await page.waitForFunction(() => /** @type {any} */ (window).contexts.length === 2);
}
