// Records what a page plays: `await tap(context)` before the page is opened, `await recording(page)` when it has played.
import { fileURLToPath } from "node:url";

/**
 * Puts the recorder into every page that `context` opens from now on.
 * @param {import("playwright-core").BrowserContext} context
 */
export async function tap(context) {
  await context.addInitScript({ path: fileURLToPath(new URL("tap-page.js", import.meta.url)) });
}

/**
 * Waits until the recorder runs: what sounds before that is not in the recording. Call it when the page has its
 * audio context.
 * @param {import("playwright-core").Page} page
 */
export async function tapReady(page) {
  await page.waitForFunction(async () => (await globalThis.__tap__.ready()) > 0);
}

/**
 * What has sounded so far. `at` and `when` of `asked` are seconds of the context, `firstFrame` is on the same clock.
 * @param {import("playwright-core").Page} page
 * @returns {Promise<Recording>}
 *
 * @typedef {object} Recording
 * @property {number} sampleRate frames a second
 * @property {number} firstFrame the frame of the context's clock at which the samples begin
 * @property {Float32Array[]} channels left and right
 * @property {Float32Array} mono their mean
 * @property {number} lost frames that the recorder did not see; they are silence in the samples
 * @property {{ source: number, what: "start" | "stop", when: number, at: number }[]} asked
 */
export async function recording(page) {
  const raw = await page.evaluate(() => globalThis.__tap__.read());
  if (!raw || raw.pieces.length === 0) throw new Error("nothing was recorded: no node was connected to a destination");
  return { ...assemble(raw.pieces), sampleRate: raw.sampleRate, asked: raw.asked };
}

/** @param {{ frame: number, channels: string[] }[]} raw */
function assemble(raw) {
  const pieces = raw
    .map(({ frame, channels }) => ({ frame, channels: channels.map(floats) }))
    .sort((a, b) => a.frame - b.frame);
  const firstFrame = pieces[0].frame;
  const last = pieces[pieces.length - 1];
  const frames = last.frame + last.channels[0].length - firstFrame;
  const channels = last.channels.map(() => new Float32Array(frames));
  let lost = frames;
  for (const piece of pieces) {
    piece.channels.forEach((samples, channel) => channels[channel].set(samples, piece.frame - firstFrame));
    lost -= piece.channels[0].length;
  }
  const mono = channels[0].map(
    (_, frame) => channels.reduce((sum, channel) => sum + channel[frame], 0) / channels.length,
  );
  return { firstFrame, channels, mono, lost };
}

/** @param {string} text */
function floats(text) {
  const bytes = Buffer.from(text, "base64");
  return new Float32Array(bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.byteLength));
}

/**
 * Starts that were asked for too late: less than `margin` seconds ahead of the context's clock at that moment.
 * @param {Recording["asked"]} asked
 * @param {number} margin seconds
 */
export function lateStarts(asked, margin) {
  return asked.filter(({ what, when, at }) => what === "start" && when - at < margin);
}
