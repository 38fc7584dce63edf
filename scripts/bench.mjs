// See scripts/bench.
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { brotliCompressSync, gzipSync } from "node:zlib";
import { launch, openSite } from "../tests/browser/chromium.mjs";
import { pageReady, throttleCpu } from "../tests/browser/page.mjs";
import { frameCosts } from "../tests/browser/trace.mjs";

const dist = fileURLToPath(new URL("../dist", import.meta.url));
const RUNS = 5;
const PRESSES = 40;

sizes();
await times();
await presses();
await suggestions();

/** Everything that a first visit fetches: the page, its service worker and all that this keeps. */
function sizes() {
  const kept = /\["\.\/".*?\]/.exec(readFileSync(join(dist, "sw.js"), "utf8"))?.[0] ?? "[]";
  const names = ["index.html", "sw.js", ...JSON.parse(kept).filter((/** @type {string} */ name) => name !== "./")];
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

/** Presses of a computer key while notes are written: what each costs the main thread until its words are there. */
async function presses() {
  console.log("\nMain-thread time of a key press that writes a note, in milliseconds (median and slowest of");
  console.log(`${PRESSES} presses; a frame has 16). "laid out": script, style and layout, until note and words have their place.`);
  console.log('"drawn": all that the thread does until the frame is handed over, the release of the key included.');
  console.log('"one word": the same for a frame in which one word changes, the least that a frame costs here.\n');
  line("", "laid out", "slowest", "drawn", "slowest", "one word", "slowest");
  const site = await openSite();
  const browser = await launch();
  for (const factor of [1, 6]) {
    const page = await (await browser.newContext({ viewport: { width: 1366, height: 620 } })).newPage();
    await page.goto(site.address);
    await pageReady(page);
    await page.locator("#words > details > summary").first().click();
    if (factor > 1) await throttleCpu(page, factor);
    const written = await frameCosts(browser, async () => {
      for (let press = 0; press < PRESSES; press++) {
        // A riff holds eight notes before it grows: begin again before that.
        if (press % 8 === 0) {
          await page.getByRole("button", { name: "New riff" }).first().click();
          await page.locator(".key.home").first().focus();
          await page.waitForTimeout(300);
        }
        await page.keyboard.press(press % 2 === 0 ? "KeyG" : "KeyK");
        await page.waitForTimeout(200);
      }
    });
    const changed = await frameCosts(browser, async () => {
      await page.evaluate(() => {
        const word = document.querySelector(".kept") ?? document.body;
        addEventListener("keydown", (event) => event.key === "F9" && (word.textContent = `${Math.random()}`), { capture: true });
      });
      for (let press = 0; press < PRESSES; press++) {
        await page.keyboard.press("F9");
        await page.waitForTimeout(100);
      }
    });
    const columns = [written.map((each) => each.laidOut), written.map((each) => each.drawn), changed.map((each) => each.drawn)];
    const name = factor === 1 ? "this machine" : `main thread ${factor} times slower`;
    line(name, ...columns.flatMap((times) => [times.sort((a, b) => a - b)[times.length >> 1], times.at(-1)].map((time) => (time ?? 0).toFixed(1))));
    await page.context().close();
  }
  await browser.close();
  await site.stop();
}

/** Ten choruses from 32 riffs over twelve bars twice, asked of the module as the page does it. */
async function suggestions() {
  console.log(`\nTime to suggest ten choruses from 32 riffs over twelve bars played twice, in the browser's module, in milliseconds`);
  console.log(`(median of ${RUNS}; the limit is 150)\n`);
  const site = await openSite();
  const browser = await launch();
  const page = await browser.newPage();
  const glue = fileURLToPath(new URL("../www/pkg/riffloom.js", import.meta.url));
  await page.route("**/glue.js", (route) => route.fulfill({ path: glue, contentType: "text/javascript" }));
  await page.goto(site.address);
  await pageReady(page);
  for (const adventure of ["plain", "some", "bold"]) {
    const times = await page.evaluate(askForChoruses, { adventure, runs: RUNS });
    times.sort((a, b) => a - b);
    const [least, middle, most] = [times[0], times[RUNS >> 1], times[RUNS - 1]].map((time) => (time ?? 0).toFixed(1));
    console.log(`${adventure.padEnd(28)}${String(middle).padStart(11)}   (${least} to ${most})`);
  }
  await browser.close();
  await site.stop();
}

/**
 * Runs in the page.
 * @param {{ adventure: string, runs: number }} what
 */
async function askForChoruses({ adventure, runs }) {
  const { default: init, App } = await import(new URL("glue.js", location.href).href);
  await init({ module_or_path: "riffloom_bg.wasm" });
  let dice = 1;
  // D. Lehmer's generator with the multiplier of Park and Miller, CACM 31(10), 1988.
  const roll = (/** @type {number} */ sides) => {
    dice = (dice * 48271) % 2147483647;
    return Math.floor(dice / 7) % sides;
  };
  const scale = ["G4", "Bb4", "C5", "Db5", "D5", "F5", "G5"];
  const hex = (/** @type {number} */ number) => number.toString(16).padStart(16, "0");
  const riff = (/** @type {number} */ number) => {
    const beats = 4 + roll(3) * 2;
    const notes = [];
    for (let at = roll(2); at < beats * 2 - 1; at += 1 + roll(3)) {
      notes.push({ onset: at * 5040, length: 5040, pitch: scale[roll(scale.length)] });
    }
    const text = JSON.stringify({ version: 1, revision: 1, id: hex(number), name: `Riff ${number}`, start: 0, beat: 10080, divisions: Array(beats).fill(2), notes });
    return { id: hex(number), revision: 1, text };
  };
  const ids = Array.from({ length: 32 }, (_, index) => index + 1);
  const app = new App(ids.map(riff), hex(99));
  app.apply({ "set-chorus-times": { times: 2 } });
  app.apply({ "set-adventure": { adventure } });
  for (const id of ids) app.apply({ "ask-riff": { id: hex(id), on: true } });
  const times = [];
  for (let run = 0; run < runs; run++) {
    const begun = performance.now();
    const { message } = app.apply("suggest-chorus");
    times.push(performance.now() - begun);
    if (message) throw new Error(message);
  }
  return times;
}
