// The Practice screen as a player uses it, and a scripted player whose presses carry known times.
import { button } from "./riff-page.mjs";

/**
 * As if the device had been tested, and were not late at all: early and late are told against the beat then, and not
 * against the player's own usual place. Call it before the page is opened.
 * @param {import("playwright-core").BrowserContext} context
 */
export const knowDelay = (context) =>
  context.addInitScript(() =>
    localStorage.setItem("riffloom delays", JSON.stringify({ "this device": { seconds: 0, giveOrTake: 0.001 } })),
  );

/** *Porch light* in beats from its start, swung 2:1, and as MIDI notes; it comes every eight beats. */
export const PORCH_LIGHT = { onsets: [2 / 3, 1, 2 + 2 / 3, 3, 4 + 2 / 3], midi: [74, 76, 70, 71, 67], every: 8 };

/**
 * Keeps each audio context that the page makes, and each start of a sound, where the test can read them. Call it before
 * the page is opened.
 * @param {import("playwright-core").BrowserContext} context
 */
export async function watchAudio(context) {
  await context.addInitScript(() => {
    const Made = AudioContext;
    const seen = /** @type {any} */ (globalThis);
    seen.starts = [];
    globalThis.AudioContext = class extends Made {
      /** @param {AudioContextOptions} [options] */
      constructor(options) {
        super(options);
        seen.audio = this;
      }
    };
    const { start } = AudioBufferSourceNode.prototype;
    AudioBufferSourceNode.prototype.start = function (when = 0, offset = 0) {
      seen.starts.push(when);
      return start.call(this, when, offset);
    };
  });
}

/**
 * How many sounds have been asked for so far.
 * @param {import("playwright-core").Page} page
 */
export const soundsAsked = (page) => page.evaluate(() => /** @type {any} */ (globalThis).starts.length);

/**
 * When the first sound comes, in seconds of the audio clock, of those that were asked for after the first `before`.
 * @param {import("playwright-core").Page} page
 * @param {number} before
 */
export async function firstSound(page, before) {
  const found = await page.waitForFunction((count) => {
    const starts = /** @type {any} */ (globalThis).starts.slice(count);
    return starts.length > 0 ? Math.min(...starts) : undefined;
  }, before);
  return /** @type {number} */ (await found.jsonValue());
}

/**
 * The test's own comparison of the clocks, by what the specification of Web Audio says of getOutputTimestamp
 * (section 1.2.3): a function from seconds of the audio clock to milliseconds since 1970, as they are heard.
 * @param {import("playwright-core").Page} page
 */
export async function audioToEpoch(page) {
  const [difference, origin] = await page.evaluate(async () => {
    const audio = /** @type {AudioContext} */ (/** @type {any} */ (globalThis).audio);
    const found = [];
    for (let count = 0; count < 15; count++) {
      const { contextTime = 0, performanceTime = 0 } = audio.getOutputTimestamp();
      found.push(performanceTime - contextTime * 1000);
      await new Promise((resolve) => setTimeout(resolve, 40));
    }
    return [found.sort((a, b) => a - b)[7] ?? NaN, performance.timeOrigin];
  });
  return (/** @type {number} */ audioSeconds) => audioSeconds * 1000 + (difference ?? NaN) + (origin ?? NaN);
}

/** @typedef {{ at: number, code: string, key: string }} Press milliseconds since 1970, and which key */

/**
 * Presses keys as the browser's own input does: trusted events that carry the time at which the key went down. Each is
 * sent right after that time.
 * @param {import("playwright-core").Page} page
 * @param {Press[]} presses ascending
 */
export async function pressKeys(page, presses) {
  const protocol = await page.context().newCDPSession(page);
  const sent = [];
  for (const { at, code, key } of presses) {
    await new Promise((resolve) => setTimeout(resolve, Math.max(at + 2 - Date.now(), 0)));
    const event = { code, key, windowsVirtualKeyCode: key.toUpperCase().charCodeAt(0) };
    sent.push(protocol.send("Input.dispatchKeyEvent", { type: "keyDown", timestamp: at / 1000, ...event }));
    sent.push(protocol.send("Input.dispatchKeyEvent", { type: "keyUp", timestamp: (at + 40) / 1000, ...event }));
  }
  await Promise.all(sent);
}

/**
 * Opens the Practice screen with *Porch light* on the desk.
 * @param {import("playwright-core").Page} page
 */
export async function practisePorchLight(page) {
  await button(page, "hear a riff: Porch light").click();
  await button(page, "Practice").click();
  await button(page, "Stop").waitFor({ state: "hidden" });
}

/**
 * Chooses something of a part of the sentence.
 * @param {import("playwright-core").Page} page
 * @param {string} part its title
 * @param {RegExp} choice
 */
export async function choose(page, part, choice) {
  await wholeSetting(page);
  await page
    .locator("#setting")
    .getByRole("button", { name: new RegExp(`^${part}:`) })
    .click();
  await page.getByRole("group", { name: part }).getByRole("button", { name: choice }).click();
  await page.keyboard.press("Escape");
}

/**
 * Unfolds the sentence: more than three parts of it are asked for seldom.
 * @param {import("playwright-core").Page} page
 */
export async function wholeSetting(page) {
  const more = page.locator("#setting .more");
  if ((await more.isVisible()) && (await more.getAttribute("aria-expanded")) === "false") await more.click();
}
