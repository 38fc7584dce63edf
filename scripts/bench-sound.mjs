// See scripts/bench: how fast the page's module mixes, and how soon after a key press its sound is asked for.
import { launch, openSite } from "../tests/browser/chromium.mjs";
import { pageReady, throttleCpu } from "../tests/browser/page.mjs";
import { keyPresses, traced } from "../tests/browser/trace.mjs";

const RUNS = 5;
const PRESSES = 200;

const site = await openSite();
const browser = await launch();
await mixing();
await presses();
await browser.close();
await site.stop();

/** The core alone, on the thread of an empty page: a chorus with the whole band. */
async function mixing() {
  const page = await browser.newPage();
  await page.goto(site.address);
  const devtools = await page.context().newCDPSession(page);
  // Time that the thread has had a core for, so that a busy machine measures alike.
  await devtools.send("Performance.enable", { timeDomain: "threadTicks" });
  const spent = async () => {
    const { metrics } = await devtools.send("Performance.getMetrics");
    return metrics.find((metric) => metric.name === "TaskDuration")?.value ?? NaN;
  };
  await page.evaluate(async () => {
    const core = /** @type {typeof import("../www/pkg/riffloom.js")} */ (
      await import(/** @type {any} */ ("/__core__.js"))
    );
    await core.default({ module_or_path: "/riffloom_bg.wasm" });
    const app = new core.App([], "00000000000000aa");
    for (const part of ["click", "drums", "bass", "comp", "solo"]) app.apply({ "set-part": { part, on: true } });
    app.apply({ "set-tempo": { bpm: 100 } });
    Object.assign(globalThis, { __mixing__: () => app.mixing(core.Heard.Form, 1, 0, 48_000) });
  });
  let seconds = 0;
  const timed = async (/** @type {boolean} */ whole) => {
    const times = [];
    for (let run = 0; run < RUNS; run++) {
      const before = await spent();
      seconds = await page.evaluate((whole) => {
        const work = /** @type {import("../www/pkg/riffloom.js").Mixing} */ (
          /** @type {any} */ (globalThis).__mixing__()
        );
        let bytes = 0;
        for (
          let piece = whole ? work.step() : work.raw();
          piece && (whole || piece.length > 0);
          piece = whole ? work.step() : work.raw()
        )
          bytes += piece.byteLength;
        work.free();
        return bytes / (whole ? 4 : 8) / 48_000;
      }, whole);
      times.push((await spent()) - before);
    }
    return times.sort((a, b) => a - b)[RUNS >> 1] ?? NaN;
  };
  const [mixed, finished] = [await timed(false), await timed(true)];
  console.log(
    `A chorus of ${seconds.toFixed(1)} s with the whole band in the page's module, median of ${RUNS} runs of one core:`,
  );
  for (const [name, time] of /** @type {const} */ ([
    ["voices rendered and mixed", mixed],
    ["measured, levelled and written too", finished],
  ])) {
    console.log(`  ${name} in ${(1000 * time).toFixed(0)} ms: ${(seconds / time).toFixed(0)} times real time`);
  }
  await page.close();
}

/** From the moment a key press reaches the page to the call that starts its sound, in time of the main thread. */
async function presses() {
  console.log(
    `\nMain-thread time from a key press to the start of its sound, in milliseconds (${PRESSES} presses, by trace events)\n`,
  );
  console.log("".padEnd(28) + ["median", "99th", "slowest"].map((name) => name.padStart(11)).join(""));
  for (const factor of [1, 6]) {
    const page = await (await browser.newContext({ viewport: { width: 1366, height: 620 } })).newPage();
    await page.addInitScript(() => {
      const { start } = AudioBufferSourceNode.prototype;
      AudioBufferSourceNode.prototype.start = function (...words) {
        start.apply(this, /** @type {any} */ (words));
        performance.mark("sounds");
      };
    });
    await page.goto(site.address);
    await pageReady(page);
    await page.getByRole("button", { name: "Just play" }).click();
    await page.locator(".key.home").first().focus();
    // The keys' sounds are made by a worker, in the first seconds.
    await page.keyboard.press("KeyA");
    await page.waitForTimeout(4000);
    if (factor > 1) await throttleCpu(page, factor);
    const times = await pressed(async () => {
      for (let press = 0; press < PRESSES; press++) {
        await page.keyboard.press(["KeyA", "KeyD", "KeyC", "KeyE"][press % 4] ?? "KeyA", { delay: 30 });
        await page.waitForTimeout(40);
      }
    });
    if (times.length < PRESSES) console.log(`  only ${times.length} of ${PRESSES} presses sounded`);
    const name = factor === 1 ? "this machine" : `main thread ${factor} times slower`;
    const at = (/** @type {number} */ part) =>
      times[Math.min(times.length - 1, Math.floor(part * times.length))] ?? NaN;
    console.log(name.padEnd(28) + [at(0.5), at(0.99), at(1)].map((time) => time.toFixed(2).padStart(11)).join(""));
    await page.context().close();
  }
}

/**
 * The thread's time from each key press in `act` to its sound, rising.
 * @param {() => Promise<void>} act
 */
async function pressed(act) {
  const events = await traced(browser, ["devtools.timeline", "blink.user_timing"], act);
  const marks = events.filter((event) => event.name === "sounds");
  /** @type {number[]} */
  const times = [];
  for (const press of keyPresses(events)) {
    const mark = marks.find((mark) => mark.pid === press.pid && mark.ts >= press.ts && mark.ts <= press.ts + press.dur);
    // Both carry the thread's own clock where the system has one.
    if (mark)
      times.push(
        (mark.tts !== undefined && press.tts !== undefined ? mark.tts - press.tts : mark.ts - press.ts) / 1000,
      );
  }
  return times.sort((a, b) => a - b);
}
