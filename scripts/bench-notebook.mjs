// See scripts/bench notebook: how the page does with as many riffs as a notebook holds, beside one with a single riff.
import { launch, openSite } from "../tests/browser/chromium.mjs";
import { fillNotebook, pageReady, throttleCpu } from "../tests/browser/page.mjs";
import { frameCosts, whenShown } from "../tests/browser/trace.mjs";

const RUNS = 5;
const PRESSES = 100;
const SLOWER = 6;
const NOTEBOOKS = [1, 1000];

const site = await openSite();
const browser = await launch();
console.log(
  `A notebook of one riff and of ${NOTEBOOKS[1]}: what the main thread spends, ${SLOWER} times slower, in milliseconds\n`,
);
line("", ...NOTEBOOKS.flatMap((riffs) => [`${riffs}, median`, "slowest"]));
/** @type {Record<string, number[][]>} */
const rows = {};
const elements = [];
for (const riffs of NOTEBOOKS) {
  const page = await (await browser.newContext({ viewport: { width: 1366, height: 620 } })).newPage();
  await page.goto(site.address);
  if (riffs > 1) await fillNotebook(page, riffs);
  await page.reload();
  await pageReady(page);
  if (riffs === 1) await page.getByRole("button", { name: "Skip this" }).click();
  await throttleCpu(page, SLOWER);
  note("a key that writes, drawn", await writing(page));
  const found = await shelf(page);
  for (const [name, times] of Object.entries(found)) note(name, times);
  elements.push(await page.evaluate(() => document.querySelectorAll("*").length));
  await page.context().close();
}
for (const [name, columns] of Object.entries(rows))
  line(name, ...columns.flatMap((times) => [at(times, 0.5), at(times, 1)].map((time) => time.toFixed(1))));
const keys = rows["a key that writes, drawn"] ?? [];
line("  99 of 100 presses within", ...keys.flatMap((times) => [at(times, 0.99).toFixed(1), ""]));
line("elements on the page then", ...elements.flatMap((count) => [String(count), ""]));
await browser.close();
await site.stop();

/**
 * @param {string} name
 * @param {number[]} times
 */
function note(name, times) {
  (rows[name] ??= []).push(times.sort((a, b) => a - b));
}

/**
 * @param {number[]} times rising
 * @param {number} part from 0 to 1
 */
function at(times, part) {
  return times[Math.min(times.length - 1, Math.floor(part * times.length))] ?? NaN;
}

/** @param {string[]} cells */
function line(...cells) {
  const [name = "", ...figures] = cells;
  console.log(name.padEnd(28) + figures.map((figure) => figure.padStart(14)).join(""));
}

/**
 * What a key press that writes a note costs the main thread until the frame that shows it is handed over.
 * @param {import("playwright-core").Page} page
 */
async function writing(page) {
  const costs = await frameCosts(browser, async () => {
    for (let press = 0; press < PRESSES; press++) {
      // A riff holds eight notes before it grows: begin again before that.
      if (press % 8 === 0) {
        await page.getByRole("button", { name: "New riff", exact: true }).first().click();
        await page.locator(".key.home").first().focus();
        await page.waitForTimeout(500);
      }
      await page.keyboard.press(press % 2 === 0 ? "KeyA" : "KeyD");
      await page.waitForTimeout(200);
    }
    const notes = await page.locator("#strip .token").count();
    if (notes !== ((PRESSES - 1) % 8) + 1) throw new Error(`${notes} notes stand there after ${PRESSES} presses`);
    // What was begun is thrown away, so that the notebook is as full as it was.
    for (let begun = 0; begun < Math.ceil(PRESSES / 8); begun++) await page.keyboard.press("Control+z");
  });
  return costs.map((cost) => cost.drawn);
}

/**
 * From the click to the frame that shows what came of it.
 * @param {import("playwright-core").Page} page
 */
async function shelf(page) {
  /** @type {Record<string, number[]>} */
  const found = { "Notebook shown": [], "a riff deleted there": [], "and had back": [] };
  const list = "#notebook .cards";
  // By their marks in the page: to look for names among a thousand cards takes half a minute there.
  const [deleting, undoing] = [
    page.locator(`${list} > li`).first().getByRole("button", { name: "Delete" }),
    page.locator("#steps-back").getByRole("button", { name: "Undo" }),
  ];
  for (let run = 0; run < RUNS; run++) {
    const steps = /** @type {const} */ ([
      ["Notebook shown", page.locator("[data-go='notebook']"), false],
      ["a riff deleted there", deleting, true],
      ["and had back", undoing, true],
    ]);
    for (const [name, button, changes] of steps) {
      found[name]?.push(await whenShown(page, button, list, changes));
      await page.waitForTimeout(1000);
    }
    await page.locator("[data-go='riff']").click();
    await page.waitForTimeout(500);
  }
  return found;
}
