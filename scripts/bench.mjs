// See scripts/bench.
import { readdirSync, readFileSync, statSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { brotliCompressSync, gzipSync } from "node:zlib";
import { launch, openSite } from "../tests/browser/chromium.mjs";
import { pageReady, throttleCpu } from "../tests/browser/page.mjs";

const dist = fileURLToPath(new URL("../dist", import.meta.url));
const RUNS = 5;
const PRESSES = 40;

sizes();
await times();
await presses();

/** Everything that a first visit fetches: the page, its service worker and all that this keeps. */
function sizes() {
  const names = readdirSync(dist, { recursive: true, encoding: "utf8" }).filter((name) => statSync(join(dist, name)).isFile());
  const rows = names.sort().map((name) => {
    const bytes = readFileSync(join(dist, name));
    return { name, plain: bytes.length, gzip: gzipSync(bytes, { level: 9 }).length, brotli: brotliCompressSync(bytes).length };
  });
  const total = { name: "all", plain: 0, gzip: 0, brotli: 0 };
  for (const row of rows) for (const kind of /** @type {const} */ (["plain", "gzip", "brotli"])) total[kind] += row[kind];
  console.log("What a first visit downloads, in bytes (each file compressed by itself)\n");
  line("", "plain", "gzip -9", "brotli 11");
  for (const { name, plain, gzip, brotli } of [...rows, total]) line(name, plain, gzip, brotli);
}

/** @param {(string | number)[]} cells */
function line(...cells) {
  const [name, ...figures] = cells;
  console.log(String(name).padEnd(28) + figures.map((figure) => String(figure).padStart(11)).join(""));
}

async function times() {
  console.log(`\nFrom navigation to the first key that can sound, in milliseconds (median of ${RUNS}, fresh profiles,`);
  console.log("served on this machine, so without any network)\n");
  const site = await openSite();
  const browser = await launch();
  for (const factor of [1, 6]) {
    const results = [];
    for (let run = 0; run < RUNS; run++) results.push(await firstKey(browser, site.address, factor));
    results.sort((a, b) => a - b);
    const name = factor === 1 ? "this machine" : `main thread ${factor} times slower`;
    const [least, middle, most] = [results[0], results[RUNS >> 1], results[RUNS - 1]].map(Math.round);
    console.log(`${name.padEnd(28)}${String(middle).padStart(11)}   (${least} to ${most})`);
  }
  await browser.close();
  await site.stop();
}

/**
 * @param {import("playwright-core").Browser} browser
 * @param {string} address
 * @param {number} factor
 */
async function firstKey(browser, address, factor) {
  const context = await browser.newContext({ viewport: { width: 1366, height: 620 } });
  const page = await context.newPage();
  if (factor > 1) await throttleCpu(page, factor);
  await page.goto(address);
  const time = await pageReady(page);
  await context.close();
  return time;
}

/** Presses of a computer key while notes are written: what each costs the main thread until its words are drawn. */
async function presses() {
  console.log("\nMain-thread time of a key press that writes a note, until its words are drawn, in milliseconds");
  console.log(`(all tasks of the page, ${PRESSES} presses; a frame has 16)\n`);
  line("", "median", "slowest");
  const site = await openSite();
  const browser = await launch();
  for (const factor of [1, 6]) {
    const page = await (await browser.newContext({ viewport: { width: 1366, height: 620 } })).newPage();
    await page.goto(site.address);
    await pageReady(page);
    await page.locator("aside > details > summary").first().click();
    const devtools = await page.context().newCDPSession(page);
    await devtools.send("Performance.enable");
    if (factor > 1) await throttleCpu(page, factor);
    /** @type {number[]} */
    const times = [];
    for (let press = 0; press < PRESSES; press++) {
      // A riff holds eight notes before it grows: begin again before that.
      if (press % 8 === 0) {
        await page.getByRole("button", { name: "New riff" }).first().click();
        await page.locator(".key.home").first().focus();
        await page.waitForTimeout(300);
      }
      const before = await taskTime(devtools);
      await page.keyboard.press(press % 2 === 0 ? "KeyG" : "KeyK");
      await page.evaluate(() => new Promise((drawn) => requestAnimationFrame(() => setTimeout(drawn))));
      times.push((await taskTime(devtools)) - before);
    }
    times.sort((a, b) => a - b);
    const name = factor === 1 ? "this machine" : `main thread ${factor} times slower`;
    line(name, ...[times[PRESSES >> 1], times[PRESSES - 1]].map((time) => (time ?? 0).toFixed(1)));
    await page.context().close();
  }
  await browser.close();
  await site.stop();
}

/**
 * The time that the page's main thread has spent on tasks so far, in milliseconds.
 * @param {import("playwright-core").CDPSession} devtools
 */
async function taskTime(devtools) {
  const { metrics } = await devtools.send("Performance.getMetrics");
  return (metrics.find((metric) => metric.name === "TaskDuration")?.value ?? 0) * 1000;
}
