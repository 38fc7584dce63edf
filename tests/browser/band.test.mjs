// The band while it plays: every setting changed by hand, parts that come and go, pause, jumps, loops, sleep.
import assert from "node:assert/strict";
import { accessibilityFindings, browserTest, pageReady } from "./lib.mjs";
import { startsAfterSilence } from "./onsets.mjs";
import { button, setBand, setTempo } from "./riff-page.mjs";
import { lateStarts, recording, tap, tapReady } from "./tap.mjs";

/** @typedef {import("playwright-core").Page} Page */

const TEMPO = 150;
const BEAT = 60 / TEMPO;
const FASTER = 200;
/** How far an onset may lie from where it belongs, in seconds. */
const TOLERANCE = 0.003;

const panel = (/** @type {Page} */ page) => page.getByRole("group", { name: "Who plays" });
const openPanel = (/** @type {Page} */ page) => page.getByRole("button", { name: /^Who plays:/ }).click();
const choose = (/** @type {Page} */ page, /** @type {string} */ what, /** @type {string} */ value) =>
  panel(page).locator(`select[data-what="${what}"]`).selectOption(value);

/**
 * Lets only these parts play, exactly in time.
 * @param {Page} page
 * @param {string[]} parts
 */
async function prepare(page, parts) {
  await pageReady(page);
  await setTempo(page, TEMPO);
  await setBand(page, parts);
  await openPanel(page);
  await panel(page).locator("summary").click();
  await choose(page, "timing", "exact");
  await tapReady(page);
}

/** When notes begin after silence, in seconds of the context's clock. */
function onsets(/** @type {Awaited<ReturnType<typeof recording>>} */ heard) {
  assert.equal(heard.lost, 0);
  return startsAfterSilence(heard.mono, heard.sampleRate).map((frame) => (heard.firstFrame + frame) / heard.sampleRate);
}

/** Every step from one onset to the next is one of these lengths, in seconds. */
function assertSteps(/** @type {number[]} */ times, /** @type {number[]} */ lengths) {
  const steps = times.slice(1).map((time, index) => time - times[index]);
  const wrong = steps.filter((step) => !lengths.some((length) => Math.abs(step - length) <= TOLERANCE));
  assert.deepEqual(wrong, [], `steps of ${steps.map((step) => step.toFixed(3)).join(" ")}`);
}

/** What is asked of the sources between two moments of the context's clock. */
const between = (/** @type {any[]} */ asked, /** @type {number} */ from, /** @type {number} */ to) =>
  asked.filter(({ at }) => at >= from && at < to);

/** The context's clock, as the recorder sees it. */
const now = async (/** @type {Page} */ page) => {
  const heard = await recording(page);
  return (heard.firstFrame + heard.mono.length) / heard.sampleRate;
};

browserTest("every setting is changed while the click plays, and no click is lost, doubled or moved", { prepare: tap }, async ({ page, site, t }) => {
  await page.goto(site.address);
  await prepare(page, ["click"]);
  const settings = await panel(page).locator("select").evaluateAll((selects) =>
    /** @type {HTMLSelectElement[]} */ (selects).map((select) => ({
      what: select.dataset.what ?? "",
      values: [...select.options].map((option) => option.value),
    })));
  await button(page, "Play with the band").click();
  await openPanel(page);
  // What the click counts, and where it is silent, would be heard: those have a test in the core.
  const silent = settings.filter(({ what }) => !["click", "silent-bars", "click-voice", "times"].includes(what));
  assert.ok(silent.length >= 10, "the panel has lost its settings");
  let changes = 0;
  for (const { what, values } of silent) {
    for (const value of values.slice(-2)) {
      await choose(page, what, value);
      changes += 1;
      await page.waitForTimeout(170);
    }
  }
  await page.keyboard.press("Escape");
  await page.getByRole("button", { name: /^Key:/ }).click();
  await page.getByRole("group", { name: "Key" }).locator('[data-value="Bb"]').click();
  await page.keyboard.press("Escape");
  await page.getByRole("button", { name: /^Form:/ }).click();
  await page.getByRole("group", { name: "Form" }).locator('[data-value="8-bar"]').click();
  await page.keyboard.press("Escape");
  await page.getByRole("button", { name: /^Feel:/ }).click();
  await page.getByRole("group", { name: "Feel" }).locator('[data-value="slow-12-8"]').click();
  await page.keyboard.press("Escape");
  await page.waitForTimeout(1500);
  const steady = await now(page);
  await setTempo(page, FASTER);
  await page.waitForTimeout(2500);
  const heard = await recording(page);
  const times = onsets(heard);
  assertSteps(times.filter((time) => time < steady), [BEAT]);
  // A new tempo is taken up at a beat.
  assertSteps(times, [BEAT, 60 / FASTER]);
  assert.ok(times.length > (times[times.length - 1] - times[0]) / BEAT, "clicks are missing");
  assert.deepEqual(lateStarts(heard.asked, 0.005), [], "asked for too late");
  t.diagnostic(`${changes + 4} changes, ${times.length} clicks`);
});

browserTest("a part that is switched off is silent and comes back on the beat; a level glides and plans nothing anew", { prepare: tap }, async ({ page, site, t }) => {
  await page.goto(site.address);
  await prepare(page, ["click"]);
  await button(page, "Play with the band").click();
  await openPanel(page);
  await page.waitForTimeout(1000 * (4 + 4.5) * BEAT);
  const click = panel(page).getByRole("switch", { name: "click" });
  const off = await now(page);
  await click.click();
  await page.waitForTimeout(1500);
  const on = await now(page);
  await click.click();
  await page.waitForTimeout(1000 * 9 * BEAT);
  const softer = await now(page);
  await panel(page).locator('input[data-part="click"]').fill("-12");
  await page.waitForTimeout(1000 * 9 * BEAT);
  const heard = await recording(page);
  const times = onsets(heard);
  const level = (/** @type {number} */ from, /** @type {number} */ to) => {
    const [first, last] = [from, to].map((time) => Math.round(time * heard.sampleRate) - heard.firstFrame);
    return heard.mono.subarray(first, last).reduce((most, value) => Math.max(most, Math.abs(value)), 0);
  };
  assert.ok(level(off + BEAT + 0.3, on) < 1e-4, "it is still heard");
  // It comes back in its place: all clicks lie on one grid.
  const grid = times.map((time) => (time - times[0]) / BEAT);
  assert.ok(grid.every((beat) => Math.abs(beat - Math.round(beat)) * BEAT <= TOLERANCE), grid.map((beat) => beat.toFixed(3)).join(" "));
  assert.ok(times.filter((time) => time > on + BEAT).length >= 16, "it did not come back");
  const change = 20 * Math.log10(level(softer + 0.3, softer + 0.3 + 4 * BEAT) / level(softer - 4 * BEAT, softer));
  t.diagnostic(`12 decibels softer is heard as ${change.toFixed(2)} dB`);
  assert.ok(Math.abs(change + 12) < 0.3, `12 decibels softer is heard as ${change} dB`);
  const sources = new Set(between(heard.asked, softer, softer + 0.25).filter(({ what, when }) => what === "stop" && when === 0).map(({ source }) => source));
  const unplayed = heard.asked.filter(({ source, what, when }) => what === "start" && sources.has(source) && when > softer + 0.25);
  assert.deepEqual(unplayed, [], "notes were taken back for a level");
});

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

browserTest("pause and go on, jump and loop: the bars follow, and the clicks stay in time", { prepare: tap }, async ({ page, site }) => {
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
  assert.equal(await page.locator(".bar.looped").count(), 2);
  // By the keyboard: Shift and an arrow make the loop longer, Control and Enter jump.
  await page.locator('.bar[data-bar="9"]').focus();
  await page.keyboard.press("Shift+ArrowRight");
  assert.equal(await page.locator(".bar.looped").count(), 3);
  await page.keyboard.press("Control+Enter");
  await waitForBar(page, 10);
  await button(page, "Stop").click();
  const times = onsets(await recording(page));
  assertSteps(times.filter((time) => time > resumed), [BEAT]);
});

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

browserTest("sound that was put to sleep goes on where it was; a clock that stands still is replaced", { prepare: holdContexts }, async ({ page, site }) => {
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
  assertSteps(onsets(heard), [BEAT]);
  const starts = heard.asked.filter(({ what }) => what === "start").map(({ when }) => when);
  assert.equal(new Set(starts).size, starts.length, "asked for twice");

  // A device that says it runs, and stands still.
  await page.evaluate(async () => {
    const context = /** @type {any} */ (window).contexts[0];
    await context.suspend();
    const { currentTime } = context;
    Object.defineProperty(context, "currentTime", { get: () => currentTime });
  });
  await page.locator(".name").click();
  await page.waitForFunction(() => /** @type {any} */ (window).contexts.length === 2);
  await waitForBar(page, 3);
  assert.equal(await page.evaluate(() => /** @type {any} */ (window).contexts[1].state), "running");
  await button(page, "Stop").click();
});

browserTest("the panel is usable by the keyboard and has a name for everything", async ({ page, site }) => {
  await page.goto(site.address);
  await pageReady(page);
  await page.getByRole("button", { name: /^Who plays:/ }).focus();
  await page.keyboard.press("Enter");
  assert.equal(await page.evaluate(() => document.activeElement?.getAttribute("role")), "switch");
  for (let presses = 0; presses < 2; presses++) await page.keyboard.press("Tab");
  const level = panel(page).locator('input[data-part="solo"]');
  assert.ok(await level.evaluate((slider) => slider === document.activeElement), "Tab does not come to the level");
  await page.keyboard.press("ArrowLeft");
  assert.equal(await level.getAttribute("aria-valuetext"), "1 decibel softer");
  await panel(page).locator("summary").focus();
  await page.keyboard.press("Enter");
  assert.deepEqual(await accessibilityFindings(page), []);
  for (const size of [{ width: 1366, height: 620 }, { width: 390, height: 844 }, { width: 320, height: 568 }]) {
    await page.setViewportSize(size);
    if (await panel(page).isHidden()) {
      await page.locator("#brief").click();
      await openPanel(page);
    }
    const box = await panel(page).boundingBox();
    assert.ok(box && box.x >= 0 && box.x + box.width <= size.width, `${size.width} wide: ${JSON.stringify(box)}`);
    const fits = await panel(page).evaluate((element) => element.scrollWidth <= element.clientWidth);
    assert.ok(fits, `${size.width} wide: it scrolls sideways`);
  }
  await page.keyboard.press("Escape");
  assert.ok(await panel(page).isHidden());
});
