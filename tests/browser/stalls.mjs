// A page that has a hard time: its main thread stalls, its riff is edited, its timers are slow. What it starts is written
// down and held against the score. For the test (a minute) and for scripts/bench stalls (ten, really hidden).
import assert from "node:assert/strict";
import { pageReady, stallMainThread } from "./page.mjs";
import { button, saved, setTempo } from "./riff-page.mjs";

/** Starts must be asked for at least this far ahead, in seconds. */
const MARGIN = 0.005;
const TEMPO = 120;
/** Sounds further apart than this are two, in seconds. */
const APART = 0.0005;

/**
 * Writes down every start and stop, in a few bytes each, and the module's memory. Call it before the page is opened.
 * @param {import("playwright-core").BrowserContext} context
 */
export async function watchStarts(context) {
  await context.addInitScript(() => {
    /** @type {WeakMap<AudioNode, number>} */
    const numbers = new WeakMap();
    /** By number: when it was to start, when that was asked for, and when its last stop was asked for. */
    const watch = {
      when: /** @type {number[]} */ ([]),
      asked: /** @type {number[]} */ ([]),
      stopped: /** @type {number[]} */ ([]),
      memory: /** @type {WebAssembly.Memory | null} */ (null),
    };
    Object.assign(globalThis, { __watch__: watch });
    const { start } = AudioBufferSourceNode.prototype;
    AudioBufferSourceNode.prototype.start = function (when = 0, ...rest) {
      numbers.set(this, watch.when.length);
      watch.when.push(when);
      watch.asked.push(this.context.currentTime);
      watch.stopped.push(Infinity);
      return start.call(this, when, ...rest);
    };
    const { stop } = AudioScheduledSourceNode.prototype;
    AudioScheduledSourceNode.prototype.stop = function (when) {
      const number = numbers.get(this);
      // With a time it says when a note ends; without one it takes back what has not begun, or sweeps what has ended.
      if (number !== undefined && when === undefined) watch.stopped[number] = this.context.currentTime;
      return when === undefined ? stop.call(this) : stop.call(this, when);
    };
    const instantiate = WebAssembly.instantiateStreaming;
    WebAssembly.instantiateStreaming = async (...words) => {
      const made = await instantiate(...words);
      watch.memory = /** @type {WebAssembly.Memory} */ (made.instance.exports.memory);
      return made;
    };
  });
}

/**
 * Plays the riff with the whole band for `seconds`, with stalls of the main thread for one second in three and an edit
 * every two seconds; then holds what was started to the score.
 * @param {import("playwright-core").Page} page opened, with `watchStarts` in force
 * @param {number} seconds
 * @param {() => Promise<void>} [meanwhile] done when it plays
 */
export async function hardTime(page, seconds, meanwhile = async () => {}) {
  await pageReady(page);
  await setTempo(page, TEMPO);
  await page.getByRole("button", { name: /^Who plays:/ }).click();
  const switches = page.getByRole("group", { name: "Who plays" }).getByRole("switch");
  await switches.first().waitFor();
  for (const each of await switches.all()) {
    if ((await each.getAttribute("aria-checked")) !== "true") await each.click();
  }
  await page.keyboard.press("Escape");
  const expected = await whatShouldSound(page, seconds);
  const devtools = await page.context().newCDPSession(page);
  await devtools.send("Performance.enable");
  await page.locator("#strip [role=option]").first().click();
  // The chosen note sounds for a moment; that is over.
  await page.waitForTimeout(600);
  const before = await page.evaluate(() => /** @type {any} */ (globalThis).__watch__.when.length);

  await button(page, "Play with the band").click();
  const began = Date.now();
  await stallMainThread(page, { busy: 1000, period: 3000 });
  await meanwhile();
  const sizes = [await memory(page, devtools)];
  let edits = 0;
  for (let next = 2000; next < 1000 * seconds; next += 2000) {
    await page.waitForTimeout(Math.max(0, began + next - Date.now()));
    // An accent is put on and taken off: another loudness, another buffer, at the same time.
    await page.evaluate(() =>
      /** @type {HTMLElement} */ (
        [...document.querySelectorAll("button")].find((each) =>
          (each.getAttribute("aria-label") ?? each.textContent)?.includes("Accent"),
        )
      )?.click(),
    );
    edits += 1;
    if (edits % 10 === 0) sizes.push(await memory(page, devtools));
  }
  await page.waitForTimeout(Math.max(0, began + 1000 * seconds - Date.now()));
  const seen = await page.evaluate((before) => {
    const { when, asked, stopped } = /** @type {any} */ (globalThis).__watch__;
    return { when: when.slice(before), asked: asked.slice(before), stopped: stopped.slice(before) };
  }, before);
  sizes.push(await settledMemory(page, devtools));
  return { ...compare(seen, expected, seconds - 2), edits, sizes };
}

/**
 * The times at which sounds begin, from the core's own account of a track, which no planner has cut into windows: made
 * by another instance of the core from what the page has kept.
 * @param {import("playwright-core").Page} page
 * @param {number} seconds
 * @returns {Promise<number[]>}
 */
async function whatShouldSound(page, seconds) {
  // What was set last must be on the disk too.
  await page.waitForTimeout(1500);
  await saved(page);
  const choruses = Math.ceil(seconds / ((48 * 60) / TEMPO)) + 2;
  return page.evaluate(async (choruses) => {
    /** @type {IDBDatabase} */
    const database = await new Promise((resolve) => {
      const open = indexedDB.open("riffloom");
      open.onsuccess = () => resolve(open.result);
    });
    /** @type {any[]} */
    const records = await new Promise((resolve) => {
      const all = database.transaction("records").objectStore("records").getAll();
      all.onsuccess = () => resolve(all.result);
    });
    database.close();
    const core = /** @type {typeof import("../../www/pkg/riffloom.js")} */ (
      await import(/** @type {any} */ ("/__core__.js"))
    );
    await core.default({ module_or_path: "/riffloom_bg.wasm" });
    const app = new core.App(
      records.filter((record) => record.id !== "order"),
      "00000000000000bb",
    );
    return [...app.mixing(core.Heard.Form, choruses, 1, 48_000).times()];
  }, choruses);
}

/**
 * Pairs what was started and not taken back with what should have sounded, in order.
 * @param {{ when: number[], asked: number[], stopped: number[] }} seen
 * @param {number[]} expected seconds from the first sound
 * @param {number} until seconds from the first sound
 */
function compare({ when, asked, stopped }, expected, until) {
  const began = Math.min(...when);
  const heard = when
    .filter((time, index) => stopped[index] >= time)
    .map((time) => time - began)
    .sort((a, b) => a - b);
  const due = expected.map((time) => time - expected[0]).filter((time) => time < until);
  const late = when.filter((time, index) => time - asked[index] < MARGIN).length;
  let [lost, extra, worst, at] = [0, 0, 0, 0];
  for (const time of due) {
    while (at < heard.length && heard[at] < time - APART) {
      at += 1;
      extra += 1;
    }
    if (at < heard.length && heard[at] <= time + APART) worst = Math.max(worst, Math.abs(heard[at++] - time));
    else lost += 1;
  }
  return { sounds: due.length, late, lost, extra, worst, takenBack: when.length - heard.length };
}

/**
 * Nothing late, lost or doubled, and memory flat from the second measurement on.
 * @param {Awaited<ReturnType<typeof hardTime>>} result
 */
export function assertUnharmed({ sounds, late, lost, extra, worst, edits, takenBack, sizes }) {
  assert.deepEqual({ late, lost, extra }, { late: 0, lost: 0, extra: 0 });
  assert.ok(worst < 0.0005, `a sound lies ${worst} s off`);
  assert.ok(sounds > 100 && edits > 10 && takenBack > edits, "not much was tried");
  const [first, last] = [sizes[1], sizes[sizes.length - 1]];
  assert.ok(last.heap < first.heap * 1.2 + 1e6, `the heap grows: ${sizes.map((size) => size.heap)}`);
  assert.ok(last.nodes < first.nodes * 1.5 + 50, `audio nodes pile up: ${sizes.map((size) => size.nodes)}`);
  assert.ok(last.module <= first.module + (1 << 20), `the module grows: ${sizes.map((size) => size.module)}`);
}

/** In words. @param {Awaited<ReturnType<typeof hardTime>>} result */
export function told({ sounds, late, lost, extra, worst, edits, takenBack, sizes }) {
  const row = (/** @type {"heap" | "nodes" | "module"} */ name, unit = 1) =>
    sizes.map((size) => (size[name] / unit).toFixed(unit > 1 ? 1 : 0)).join(" ");
  return [
    `${sounds} sounds, ${edits} edits, ${takenBack} sounds taken back: ${late} late, ${lost} lost, ${extra} too many; the worst ${(1000 * worst).toFixed(3)} ms off`,
    `heap MB ${row("heap", 1e6)}; audio nodes ${row("nodes")}; module MB ${row("module", 1e6)}`,
  ];
}

/**
 * Nodes that have ended go when the browser gets round to it, later on a busy machine; nodes that pile up never do. So this
 * is the least of five looks.
 * @param {import("playwright-core").Page} page
 * @param {import("playwright-core").CDPSession} devtools
 */
async function settledMemory(page, devtools) {
  let least = await memory(page, devtools);
  for (let look = 1; look < 5; look++) {
    await page.waitForTimeout(400);
    const now = await memory(page, devtools);
    if (now.nodes < least.nodes) least = now;
  }
  return least;
}

/**
 * @param {import("playwright-core").Page} page
 * @param {import("playwright-core").CDPSession} devtools
 */
async function memory(page, devtools) {
  await devtools.send("HeapProfiler.collectGarbage");
  const { metrics } = await devtools.send("Performance.getMetrics");
  const of = (/** @type {string} */ name) => metrics.find((metric) => metric.name === name)?.value ?? 0;
  const module = await page.evaluate(() => /** @type {any} */ (globalThis).__watch__.memory?.buffer.byteLength ?? 0);
  return { heap: of("JSHeapUsedSize"), nodes: of("AudioHandlers"), module };
}
