// See scripts/bench.
import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { gzipSync } from "node:zlib";
import { codeByModule, packedSize, pageFiles, roomSizes } from "./sizes.mjs";
import { launch, openSite } from "../tests/browser/chromium.mjs";
import { fillNotebook, pageReady, throttleCpu } from "../tests/browser/page.mjs";
import { audioToEpoch, firstSound, soundsAsked, watchAudio } from "../tests/browser/practice-page.mjs";
import { frameCosts } from "../tests/browser/trace.mjs";

const root = fileURLToPath(new URL("..", import.meta.url));
const dist = join(root, "dist");
/** The pieces that each room of the core is made of. @type {Record<string, string[]>} */
const pieces = JSON.parse(/pieces = (\{.*\})/.exec(readFileSync(join(root, "www/pkg/doors.js"), "utf8"))?.[1] ?? "{}");
const RUNS = 5;
const PRESSES = 40;

rooms();
modules();
await visit();
await times();
await presses();
await band();
await suggestions();

/** What each part of the page weighs. */
function rooms() {
  console.log("The rooms, in bytes (each file compressed by itself, brotli 11); what rooms share stands by itself\n");
  line("", "module", "script", "style", "all");
  /** @type {number[]} */
  const small = [];
  for (const { name, module, script, style } of roomSizes(dist)) {
    const sharers = Object.keys(pieces).filter((room) => pieces[room]?.includes(name.replace(".wasm", "")));
    const all = module + script + style;
    if (!name.startsWith("chunk_")) line(name, module, script, style, all);
    else if (module >= 1000)
      line(sharers.length > 3 ? `shared by ${sharers.length} rooms` : sharers.join(", "), module, 0, 0, all);
    else small.push(module);
  }
  const bytes = small.reduce((sum, each) => sum + each, 0);
  line(`${small.length} small pieces`, bytes, 0, 0, bytes);
  const files = pageFiles(dist);
  const total = (/** @type {(bytes: Buffer) => number} */ weigh) =>
    files.reduce((sum, name) => sum + weigh(readFileSync(join(dist, name))), 0);
  console.log("\nAll that a visit downloads, in bytes\n");
  line("", "plain", "gzip -9", "brotli 11");
  line(
    `${files.length} files`,
    total((bytes) => bytes.length),
    total((bytes) => gzipSync(bytes, { level: 9 }).length),
    total(packedSize),
  );
}

/** Which modules of the core take how much of its code, before it is made smaller. */
function modules() {
  const module = join(root, "target/web/wasm32-unknown-unknown/web/riffloom.wasm");
  if (!existsSync(module)) return;
  console.log("\nThe core's code by source module, in bytes before it is made smaller and packed\n");
  for (const [name, bytes] of codeByModule(readFileSync(module))) line(name, bytes);
}

/** A first visit, from the network log of a fresh profile. */
async function visit() {
  const site = await openSite();
  const browser = await launch();
  console.log("\nA first visit, from the network log of a fresh profile\n");
  line("", "first key", "everything", "bytes to it", "all bytes");
  for (const slow of [false, true]) {
    const page = await (await browser.newContext({ viewport: { width: 390, height: 844 } })).newPage();
    if (slow) await slowNetwork(page);
    await page.goto(site.address);
    const key = await pageReady(page);
    const mark = await page.waitForFunction(() => performance.getEntriesByName("riffloom:whole")[0]?.startTime);
    const asked = await page.evaluate(() =>
      performance
        .getEntriesByType("resource")
        .map(({ name, startTime }) => ({ path: new URL(name).pathname.slice(1), startTime })),
    );
    const weigh = (/** @type {string} */ path) =>
      existsSync(join(dist, path)) ? packedSize(readFileSync(join(dist, path))) : 0;
    const sum = (/** @type {number} */ until) =>
      asked
        .filter(({ startTime }) => startTime < until)
        .reduce((all, { path }) => all + weigh(path), weigh("index.html"));
    line(
      slow ? "1.6 Mbit/s, 150 ms" : "this machine",
      `${Math.round(key)} ms`,
      `${Math.round(Number(await mark.jsonValue()))} ms`,
      sum(key),
      sum(Infinity),
    );
    await page.context().close();
  }
  await browser.close();
  await site.stop();
}

/**
 * A telephone's connection in the country: 1.6 Mbit/s down, 0.75 up, 150 ms there and back.
 * @param {import("playwright-core").Page} page
 */
async function slowNetwork(page) {
  const session = await page.context().newCDPSession(page);
  await session.send("Network.enable");
  await session.send("Network.emulateNetworkConditions", {
    offline: false,
    latency: 150,
    downloadThroughput: 1_600_000 / 8,
    uploadThroughput: 750_000 / 8,
  });
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
  console.log(
    `${PRESSES} presses; a frame has 16). "laid out": script, style and layout, until note and words have their place.`,
  );
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
          await page.getByRole("button", { name: "New riff", exact: true }).first().click();
          await page.locator(".key.home").first().focus();
          await page.waitForTimeout(300);
        }
        await page.keyboard.press(press % 2 === 0 ? "KeyA" : "KeyD");
        await page.waitForTimeout(200);
      }
      const notes = await page.locator("#strip .token").count();
      if (notes !== 8) throw new Error(`of the last 8 presses ${notes} wrote a note`);
    });
    const changed = await frameCosts(browser, async () => {
      await page.evaluate(() => {
        const word = document.querySelector(".kept") ?? document.body;
        addEventListener("keydown", (event) => event.key === "F9" && (word.textContent = `${Math.random()}`), {
          capture: true,
        });
      });
      for (let press = 0; press < PRESSES; press++) {
        await page.keyboard.press("F9");
        await page.waitForTimeout(100);
      }
    });
    const columns = [
      written.map((each) => each.laidOut),
      written.map((each) => each.drawn),
      changed.map((each) => each.drawn),
    ];
    const name = factor === 1 ? "this machine" : `main thread ${factor} times slower`;
    line(
      name,
      ...columns.flatMap((times) =>
        [times.sort((a, b) => a - b)[times.length >> 1], times.at(-1)].map((time) => (time ?? 0).toFixed(1)),
      ),
    );
    await page.context().close();
  }
  await browser.close();
  await site.stop();
}

/** From the press of Play until the first sound of the band is heard. */
async function band() {
  console.log("\nFrom the press of Play to the first sound of the band as it is heard, in milliseconds (median of");
  console.log(`${RUNS}; "first": on a page that was opened just before, where sound has to be woken)\n`);
  line("", "first", "slowest", "again", "slowest");
  const site = await openSite();
  const browser = await launch();
  for (const factor of [1, 6]) {
    /** @type {[number[], number[]]} */
    const times = [[], []];
    for (let run = 0; run < RUNS; run++) {
      const context = await browser.newContext({ viewport: { width: 1366, height: 620 } });
      await watchAudio(context);
      const page = await context.newPage();
      await page.goto(site.address);
      await pageReady(page);
      await page.evaluate(() =>
        addEventListener(
          "click",
          ({ timeStamp }) => Object.assign(globalThis, { pressed: performance.timeOrigin + timeStamp }),
          true,
        ),
      );
      if (factor > 1) await throttleCpu(page, factor);
      for (const column of times) {
        const before = await soundsAsked(page);
        await page.locator("#play").click();
        const first = await firstSound(page, before);
        column.push(
          (await audioToEpoch(page))(first) - (await page.evaluate(() => /** @type {any} */ (globalThis).pressed)),
        );
        await page.locator("#play").click();
        await page.waitForTimeout(1000);
      }
      await context.close();
    }
    const name = factor === 1 ? "this machine" : `main thread ${factor} times slower`;
    line(
      name,
      ...times.flatMap((column) =>
        [column.sort((a, b) => a - b)[RUNS >> 1], column.at(-1)].map((time) => Math.round(time ?? NaN)),
      ),
    );
  }
  await browser.close();
  await site.stop();
}

/** Ten choruses from 32 riffs over twelve bars twice: from the press until the ideas are there, the worker's start included. */
async function suggestions() {
  console.log(
    `\nFrom "Ask again" to ten choruses from 32 riffs over twelve bars played twice, in milliseconds, a worker's start`,
  );
  console.log(`included (median of ${RUNS}; the limit of the search alone is 150)\n`);
  const site = await openSite();
  const browser = await launch();
  const page = await (await browser.newContext({ viewport: { width: 1366, height: 620 } })).newPage();
  await page.goto(site.address);
  await fillNotebook(page, 32);
  await page.reload();
  await pageReady(page);
  await page.waitForFunction(() => performance.getEntriesByName("riffloom:whole")[0]);
  const press = (/** @type {string} */ name) => page.getByRole("button", { name, exact: true }).click();
  await press("Chorus");
  await page.getByRole("group", { name: "Times through the form" }).getByRole("button").last().click();
  await press("Suggest a chorus");
  const adventures = page.getByRole("group", { name: "How adventurous" }).getByRole("button");
  for (const adventure of await adventures.allTextContents()) {
    await adventures.getByText(adventure, { exact: true }).click();
    const times = [];
    for (let run = 0; run < RUNS; run++) times.push(await page.evaluate(askAgain));
    times.sort((a, b) => a - b);
    const [least, middle, most] = [times[0], times[RUNS >> 1], times[RUNS - 1]].map((time) => (time ?? 0).toFixed(0));
    console.log(`${adventure.padEnd(28)}${String(middle).padStart(11)}   (${least} to ${most})`);
  }
  await browser.close();
  await site.stop();
}

/** Runs in the page: how long it looks for choruses. */
async function askAgain() {
  const looking = /** @type {HTMLElement} */ (document.querySelector(".looking"));
  const until = (/** @type {() => boolean} */ true_) =>
    new Promise((resolve) => {
      const look = () => (true_() ? resolve(undefined) : setTimeout(look));
      look();
    });
  await until(() => looking.hidden);
  const begun = performance.now();
  [...document.querySelectorAll("button")].find((each) => each.textContent === "Ask again")?.click();
  await until(() => !looking.hidden);
  await until(() => looking.hidden);
  if (document.querySelectorAll(".idea").length === 0) throw new Error("nothing was found");
  return performance.now() - begun;
}
