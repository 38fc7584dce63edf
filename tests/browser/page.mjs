// What is done to a page, or asked of it, in more than one test; also for the bench and the pictures.
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";

/**
 * Makes the main thread `factor` times slower (workers and sound keep their speed).
 * @param {import("playwright-core").Page} page
 * @param {number} factor
 */
export async function throttleCpu(page, factor) {
  const session = await page.context().newCDPSession(page);
  await session.send("Emulation.setCPUThrottlingRate", { rate: factor });
}

/** How long four million steps of a loop take on the machine that the figures of the benches come from, in milliseconds. */
const LOOP_TAKES = 67;

/**
 * Makes the main thread as slow as a computer `factor` times slower than the one that the figures come from: on a machine
 * that is slower by itself, or busy with other things, there is less to do. Resolves to the rate that was set.
 * @param {import("playwright-core").Page} page
 * @param {number} factor
 */
export async function slowComputer(page, factor) {
  const takes = await page.evaluate(() => {
    const times = Array.from({ length: 15 }, () => {
      const began = performance.now();
      let value = 0;
      for (let step = 0; step < 4e6; step++) value = (value * 1.0001 + step) % 7;
      return value < 0 ? 0 : performance.now() - began;
    });
    return times.sort((a, b) => a - b)[7] ?? 0;
  });
  const rate = Math.min(factor, Math.max(1, (factor * LOOP_TAKES) / takes));
  await throttleCpu(page, rate);
  return rate;
}

/**
 * Blocks the main thread for `busy` of every `period` milliseconds, as a slow laptop does. Resolves at once.
 * @param {import("playwright-core").Page} page
 * @param {{ busy: number, period: number }} times
 */
export function stallMainThread(page, times) {
  return page.evaluate(({ busy, period }) => {
    setInterval(() => {
      for (const end = performance.now() + busy; performance.now() < end;);
    }, period);
  }, times);
}

/**
 * Lets no timer of the pages or their workers come more often than every `atLeast` milliseconds, as in a hidden tab.
 * Call it before the page is opened.
 * @param {import("playwright-core").BrowserContext} context
 * @param {number} atLeast
 */
export async function slowTimers(context, atLeast) {
  const script = `for (const name of ["setTimeout", "setInterval"]) {
    const timer = globalThis[name];
    globalThis[name] = (call, delay, ...rest) => timer(call, Math.max(delay ?? 0, ${atLeast}), ...rest);
  }\n`;
  await context.addInitScript({ content: script });
  await context.route("**/workers/*.js", async (route) => {
    const response = await route.fetch();
    await route.fulfill({ response, body: script + (await response.text()) });
  });
}

/**
 * Waits until the first key can sound: the page sets the mark `riffloom:ready` then. Resolves to the milliseconds
 * from navigation to the mark.
 * @param {import("playwright-core").Page} page
 */
export async function pageReady(page) {
  const mark = await page.waitForFunction(() => performance.getEntriesByName("riffloom:ready")[0]?.startTime);
  return /** @type {number} */ (await mark.jsonValue());
}

/**
 * What a download brought.
 * @param {import("playwright-core").Download} download
 */
export async function downloaded(download) {
  const pieces = [];
  for await (const piece of await download.createReadStream()) pieces.push(piece);
  return Buffer.concat(pieces);
}

/**
 * Writes this many different riffs into the browser's storage, behind the page's back: load the page anew afterwards.
 * @param {import("playwright-core").Page} page on the site
 * @param {number} riffs
 */
export function fillNotebook(page, riffs) {
  return page.evaluate(async (riffs) => {
    const core = /** @type {typeof import("../../www/pkg/riffloom.js")} */ (
      await import(/** @type {any} */ ("/__core__.js"))
    );
    await core.default({ module_or_path: "/riffloom_bg.wasm" });
    const id = (/** @type {number} */ number) => number.toString(16).padStart(16, "0");
    const app = new core.App([], id(1));
    /** @type {any[]} */
    const records = [app.record(id(1))];
    let seed = 1;
    for (let riff = 2; riff <= riffs; riff++) {
      app.apply({ "new-riff": { id: id(riff) } });
      for (let step = 0; step < 8; step++) {
        seed = (seed * 48_271) % 2_147_483_647;
        app.apply(seed % 3 === 0 ? "enter-rest" : { "enter-note": { midi: 55 + (seed % 17) } });
      }
      app.apply({ "rename-riff": { id: id(riff), name: `Riff ${riff}` } });
      records.push(app.record(id(riff)));
    }
    records.push(app.record("tune"), {
      id: "order",
      text: records
        .map((record) => record.id)
        .reverse()
        .join(" "),
      revision: 0,
    });
    const database = await new Promise((resolve) => {
      const asked = indexedDB.open("riffloom", 1);
      asked.onupgradeneeded = () => asked.result.createObjectStore("records", { keyPath: "id" });
      asked.onsuccess = () => resolve(asked.result);
    });
    const transaction = database.transaction("records", "readwrite");
    for (const record of records) transaction.objectStore("records").put(record);
    await new Promise((resolve) => (transaction.oncomplete = resolve));
    database.close();
  }, riffs);
}

/**
 * Waits until the page is kept for use without network: its service worker is active and controls it.
 * @param {import("playwright-core").Page} page
 */
export async function keptOffline(page) {
  await page.waitForFunction(() => navigator.serviceWorker.controller?.state === "activated");
}

const axeSource = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

/**
 * What axe-core finds on the page as it is now, or on a part of it, one line a finding; an empty list is a clean page.
 * @param {import("playwright-core").Page} page
 * @param {{ part?: string, rules?: string[] }} [asked] a selector, and the rules that are held; all of them otherwise
 * @returns {Promise<string[]>}
 */
export async function accessibilityFindings(page, { part, rules } = {}) {
  if (!(await page.evaluate(() => "axe" in globalThis))) await page.evaluate(axeSource);
  const results = await page.evaluate(
    ([within, only]) =>
      /** @type {any} */ (globalThis).axe.run(within ?? document, {
        resultTypes: ["violations"],
        ...(only && { runOnly: only }),
      }),
    /** @type {const} */ ([part, rules]),
  );
  return results.violations.flatMap(
    /** @param {{ id: string, help: string, nodes: { target: string[] }[] }} rule */
    (rule) => rule.nodes.map((node) => `${rule.id}: ${rule.help}: ${node.target.join(" ")}`),
  );
}

/**
 * Takes the small room away, so that a rest is silent to the last frame and an onset after it can be told exactly.
 * Call it before the page is opened.
 * @param {import("playwright-core").BrowserContext} context
 */
export async function withoutRoom(context) {
  await context.addInitScript(() => {
    const create = BaseAudioContext.prototype.createConvolver;
    BaseAudioContext.prototype.createConvolver = function () {
      const room = create.call(this);
      // Its way out ends here.
      room.connect = /** @type {any} */ ((/** @type {any} */ target) => target);
      return room;
    };
  });
}

/**
 * The demo riff with its tune on the Riff tab, as the first minute brings it: call it before that is skipped.
 * @param {import("playwright-core").Page} page
 */
export async function openDemo(page) {
  await page.getByRole("button", { name: "hear a riff: Porch light" }).click();
  await page.locator("body.playing").waitFor();
  await page.keyboard.press("Escape");
  await page.locator("body:not(.playing)").waitFor();
}
