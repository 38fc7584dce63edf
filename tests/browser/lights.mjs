// What is lit, frame by frame, held to what was started: for a test, and for ten minutes on the bench.
import { watchStarts } from "./stalls.mjs";

/** A frame's time is read a little before or after the page reads it: a few blocks of 128 frames of sound, in seconds. */
const READ = 0.012;

/**
 * Writes down every start, and which notes of the strip are lit after each frame. Call it before the page is opened.
 * @param {import("playwright-core").BrowserContext} context
 */
export async function watchLights(context) {
  await watchStarts(context);
  await context.addInitScript(() => {
    /** @type {AudioContext | null} */
    let audio = null;
    window.AudioContext = class extends AudioContext {
      /** @param {AudioContextOptions} [options] */
      constructor(options) {
        super(options);
        audio = this;
      }
    };
    /** For each frame what is heard in it, and what is lit after it, where that is something else or the frame was long. */
    const frames = /** @type {{ heard: number, before: number, lit: string }[]} */ ([]);
    Object.assign(globalThis, { __lights__: frames });
    let [lit, before] = ["", 0];
    const look = () => {
      const latency = audio?.outputLatency ?? 0;
      const heard = (audio?.currentTime ?? 0) - (latency > 0 && latency < 0.5 ? latency : 0.04);
      // After every callback of this frame, so that it is what is painted.
      setTimeout(() => {
        const now = [...document.querySelectorAll("#strip .token.sounds")]
          .map((each) => each instanceof HTMLElement && each.dataset.note)
          .join(" ");
        if (now !== lit || heard - before > 0.1) frames.push({ heard, before, lit: now });
        [lit, before] = [now, heard];
      });
      requestAnimationFrame(look);
    };
    look();
  });
}

/** What was lit before counts no longer. @param {import("playwright-core").Page} page */
export const forgetLights = (page) =>
  page.evaluate(() => {
    /** @type {any} */ (globalThis).__lights__.length = 0;
  });

/**
 * @typedef {{ when: number[], stopped: number[], frames: { heard: number, before: number, lit: string }[] }} Seen
 * @param {import("playwright-core").Page} page
 * @returns {Promise<Seen>}
 */
export const seenLights = (page) =>
  page.evaluate(() => {
    const { when, stopped } = /** @type {any} */ (globalThis).__watch__;
    return { when, stopped, frames: /** @type {any} */ (globalThis).__lights__ };
  });

/**
 * Holds each light to the onset that it belongs to: it is there in the first frame in which the onset is heard, and not a
 * frame sooner. What is heard is what the device gives out, so its delay is in the time already. Only the riff and the
 * clicks that count in must have been heard.
 * @param {Seen} seen
 */
export function compareLights({ when, stopped, frames }) {
  const first = frames.find(({ lit }) => lit !== "")?.before ?? Infinity;
  const last = frames.at(-1)?.heard ?? 0;
  const onsets = when
    .filter((time, index) => (stopped[index] ?? Infinity) >= time && time > first - READ && time < last - 0.5)
    .sort((a, b) => a - b);
  const left = new Set(onsets);
  const wrong = [];
  let worst = 0;
  let lit = new Set();
  for (const frame of frames) {
    const now = new Set(frame.lit.split(" ").filter(Boolean));
    const fresh = [...now].filter((note) => !lit.has(note));
    lit = now;
    if (fresh.length === 0 || frame.heard > last - 0.5) continue;
    const due = [...left].find((time) => frame.before - READ < time && time <= frame.heard + READ);
    if (due === undefined) {
      wrong.push(`a light between ${frame.before.toFixed(3)} and ${frame.heard.toFixed(3)} s without an onset`);
      continue;
    }
    left.delete(due);
    worst = Math.max(worst, frame.heard - due);
  }
  // A note that came and went within one long frame was never to be seen.
  const stalls = frames
    .map(({ before, heard }) => ({ before, heard }))
    .filter(({ before, heard }) => heard - before > 0.1);
  for (const time of left) {
    if (!stalls.some(({ before, heard }) => before - READ <= time && time <= heard + READ))
      wrong.push(`an onset at ${time.toFixed(3)} s without a light`);
  }
  return { notes: onsets.length, wrong, worst };
}
