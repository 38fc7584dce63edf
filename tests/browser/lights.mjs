// What is lit, frame by frame, held to what was started: for a test, and for ten minutes on the bench.
import { watchStarts } from "./stalls.mjs";

/** A frame's time is read a little before or after the page reads it: a few blocks of 128 frames of sound, in seconds. */
const READ = 0.012;

/**
 * Writes down every start, and which notes of the strip are lit in each frame that is painted. Call it before the page is opened.
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
    /** For each frame what is heard when it begins and when it is over, and what is lit after it, where that is something
     * else or the frame was long. The page reads the clock somewhere between the two. */
    const frames = /** @type {{ heard: number, over: number, before: number, lit: string }[]} */ ([]);
    Object.assign(globalThis, { __lights__: frames });
    const read = () => {
      const latency = audio?.outputLatency ?? 0;
      return (audio?.currentTime ?? 0) - (latency > 0 && latency < 0.5 ? latency : 0.04);
    };
    let [lit, before, heard] = ["", 0, 0];
    // Its size changes with every frame, so that what watches it is called after every callback of the frame and before it
    // is painted.
    const probe = document.createElement("i");
    Object.assign(probe.style, { position: "fixed", visibility: "hidden" });
    const look = () => {
      if (!probe.isConnected) document.documentElement?.append(probe);
      heard = read();
      probe.style.paddingLeft = probe.style.paddingLeft === "1px" ? "2px" : "1px";
      requestAnimationFrame(look);
    };
    new ResizeObserver(() => {
      const now = [...document.querySelectorAll("#strip .token.sounds")]
        .map((each) => each instanceof HTMLElement && each.dataset.note)
        .join(" ");
      if (now !== lit || heard - before > 0.1) frames.push({ heard, over: read(), before, lit: now });
      [lit, before] = [now, heard];
    }).observe(probe, { box: "border-box" });
    look();
  });
}

/** What was lit before counts no longer. @param {import("playwright-core").Page} page */
export const forgetLights = (page) =>
  page.evaluate(() => {
    /** @type {any} */ (globalThis).__lights__.length = 0;
  });

/**
 * @typedef {{ when: number[], stopped: number[], frames: { heard: number, over: number, before: number, lit: string }[] }} Seen
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
    const due = [...left].find((time) => frame.before - READ < time && time <= frame.over + READ);
    if (due === undefined) {
      const begun = onsets.filter((time) => Math.abs(time - frame.heard) < 1).map((time) => time.toFixed(3));
      const [from, to] = [frame.before.toFixed(3), frame.over.toFixed(3)];
      wrong.push(
        `a light (note ${fresh}) between ${from} and ${to} s without an onset; onsets near: ${begun.join(", ")}`,
      );
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
