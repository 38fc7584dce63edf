// The band on a page: its panel, and what is heard of it while only the click plays.
import assert from "node:assert/strict";
import { pageReady } from "./lib.mjs";
import { startsAfterSilence } from "./onsets.mjs";
import { setBand, setTempo } from "./riff-page.mjs";
import { recording, tapReady } from "./tap.mjs";

/** @typedef {import("playwright-core").Page} Page */

export const TEMPO = 150;
export const BEAT = 60 / TEMPO;
/** How far an onset may lie from where it belongs, in seconds. */
export const TOLERANCE = 0.003;

export const panel = (/** @type {Page} */ page) => page.getByRole("group", { name: "Who plays" });
export const openPanel = (/** @type {Page} */ page) => page.getByRole("button", { name: /^Who plays:/ }).click();
export const choose = (/** @type {Page} */ page, /** @type {string} */ what, /** @type {string} */ value) =>
  panel(page).locator(`select[data-what="${what}"]`).selectOption(value);

/**
 * Lets only these parts play, exactly in time.
 * @param {Page} page
 * @param {string[]} parts
 */
export async function prepare(page, parts) {
  await pageReady(page);
  await setTempo(page, TEMPO);
  await setBand(page, parts);
  await openPanel(page);
  await panel(page).locator("summary").click();
  await choose(page, "timing", "exact");
  await tapReady(page);
}

/** When notes begin after silence, in seconds of the context's clock. */
export function onsets(/** @type {Awaited<ReturnType<typeof recording>>} */ heard) {
  assert.equal(heard.lost, 0);
  return startsAfterSilence(heard.mono, heard.sampleRate).map((frame) => (heard.firstFrame + frame) / heard.sampleRate);
}

/** Every step from one onset to the next is one of these lengths, in seconds. */
export function assertSteps(/** @type {number[]} */ times, /** @type {number[]} */ lengths) {
  const steps = times.slice(1).map((time, index) => time - times[index]);
  const wrong = steps.filter((step) => !lengths.some((length) => Math.abs(step - length) <= TOLERANCE));
  assert.deepEqual(wrong, [], `steps of ${steps.map((step) => step.toFixed(3)).join(" ")}`);
}

/**
 * The context's clock. The recording is not asked for it: to hand it over takes the page seconds on a slow computer, in which
 * it plans nothing.
 */
export const now = (/** @type {Page} */ page) => page.evaluate(() => globalThis.__tap__.now());
