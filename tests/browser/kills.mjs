// Kills the whole browser at random moments while the page saves, or while a notebook's file comes in, and looks what is
// there afterwards: everything that the page had said to be kept. For the test of that name, and for scripts/bench kills.
import assert from "node:assert/strict";
import { spawn } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { chromium } from "playwright-core";
import { browserPath, FLAGS, openSite } from "./chromium.mjs";
import { pageReady } from "./page.mjs";
import { riffRecord, stored } from "./storage-page.mjs";

/** How long the page is left writing before it is killed, in milliseconds. */
const [SOONEST, LATEST] = [100, 1500];

/**
 * @param {number} times
 * @returns {Promise<{ said: number, found: number }[]>} for each kill the last change that the page said was kept, and
 *   the last one that was there afterwards
 */
export async function killed(times) {
  const site = await openSite();
  const profile = mkdtempSync(join(tmpdir(), "riffloom-"));
  const kills = [];
  try {
    let from = 0;
    for (let kill = 0; kill < times; kill++) {
      const said = await writeUntilKilled(site.address, profile, from);
      const found = await look(site.address, profile, said);
      kills.push({ said: said.at(-1)?.change ?? from, found });
      from = found + 1000;
    }
  } finally {
    await site.stop();
    rmSync(profile, { recursive: true, force: true, maxRetries: 5 });
  }
  return kills;
}

/**
 * Opens a browser of its own on a profile that stays.
 * @param {string} profile
 */
async function openBrowser(profile) {
  const process = spawn(
    browserPath(),
    [...FLAGS, "--headless", "--remote-debugging-port=0", `--user-data-dir=${profile}`, "about:blank"],
    { detached: true, stdio: ["ignore", "ignore", "pipe"] },
  );
  let told = "";
  const socket = await new Promise((resolve, reject) => {
    process.stderr.on("data", (data) => {
      told += data;
      const found = /DevTools listening on (ws:\S+)/.exec(told);
      if (found) resolve(found[1]);
    });
    process.once("exit", () => reject(new Error(`the browser ended: ${told}`)));
  });
  const ended = new Promise((resolve) => process.once("exit", resolve));
  const browser = await chromium.connectOverCDP(/** @type {string} */ (socket));
  const page = await /** @type {import("playwright-core").BrowserContext} */ (browser.contexts()[0]).newPage();
  return {
    page,
    /** The browser and all that it started: at once, without a word. */
    async kill() {
      globalThis.process.kill(-(process.pid ?? 0), "SIGKILL");
      await ended;
      await browser.close().catch(() => {});
    },
  };
}

/**
 * Numbers changes as fast as the page takes them: each is a riff's name, every tenth begins a new riff.
 * @param {string} address
 * @param {string} profile
 * @param {number} from
 */
async function writeUntilKilled(address, profile, from) {
  const browser = await openBrowser(profile);
  const { page } = browser;
  /** What the page said to be kept: the last change, and the last one of each riff. @type {{ change: number, finals: number[] }[]} */
  const said = [];
  await page.exposeFunction(
    "__said",
    (/** @type {number} */ change, /** @type {number[]} */ finals) => void said.push({ change, finals }),
  );
  await page.goto(address);
  await pageReady(page);
  await page.evaluate((first) => {
    let change = first;
    /** @type {number[]} */
    const finals = [];
    const kept = /** @type {HTMLElement} */ (document.querySelector("#kept"));
    new MutationObserver(() => {
      if (kept.textContent === "Kept on this device") /** @type {any} */ (globalThis).__said(change, [...finals]);
    }).observe(kept, { childList: true, characterData: true, subtree: true });
    const next = () => {
      if (++change % 10 === 0) {
        // The number to begin with is no change that was made.
        if (change - 1 > first) finals.push(change - 1);
        const fresh = [...document.querySelectorAll("button")].find((each) => each.textContent === "New riff");
        fresh?.click();
      }
      const name = /** @type {HTMLInputElement} */ (document.querySelector('input[aria-label="Name of the riff"]'));
      name.value = `change ${change}`;
      name.dispatchEvent(new Event("change", { bubbles: true }));
      setTimeout(next, Math.random() * 120);
    };
    next();
  }, from);
  await new Promise((resolve) => setTimeout(resolve, SOONEST + Math.random() * (LATEST - SOONEST)));
  await browser.kill();
  return said;
}

/**
 * What is there after all: the number of the last change.
 * @param {string} address
 * @param {string} profile
 * @param {{ change: number, finals: number[] }[]} said
 */
async function look(address, profile, said) {
  const browser = await openBrowser(profile);
  try {
    await browser.page.goto(address);
    await pageReady(browser.page);
    const changes = (await stored(browser.page)).map(({ text }) =>
      Number(/"name":"change (\d+)"/.exec(text)?.[1] ?? -1),
    );
    const last = said.at(-1);
    if (last) {
      const lost = [...last.finals, last.change].filter(
        (each) => !changes.some((found) => found === each || (each === last.change && found > each)),
      );
      assert.deepEqual(lost, [], `said to be kept up to ${last.change}, and lost`);
    }
    return Math.max(0, ...changes);
  } finally {
    await browser.kill();
  }
}

/** How many riffs a file brings in while the page is killed, and how long it is left to it, in milliseconds. */
const [BROUGHT, LONGEST] = [60, 700];

/**
 * @param {number} times
 * @returns {Promise<{ said: boolean, found: number }[]>} for each kill whether the page had said that all was kept, and how
 *   many riffs of the file were there afterwards
 */
export async function killedMerging(times) {
  const site = await openSite();
  const profile = mkdtempSync(join(tmpdir(), "riffloom-"));
  const kills = [];
  /** The names that must be there: of what was kept before. @type {Set<string>} */
  const sure = new Set();
  try {
    for (let kill = 0; kill < times; kill++) {
      const names = Array.from({ length: BROUGHT }, (_, place) => `kill ${kill}, riff ${place}`);
      const said = await mergeUntilKilled(site.address, profile, kill, names);
      if (said) for (const name of names) sure.add(name);
      const there = await namesThere(site.address, profile);
      assert.deepEqual(
        [...sure].filter((name) => !there.has(name)),
        [],
        `kill ${kill}: said to be kept, and lost`,
      );
      const found = names.filter((name) => there.has(name));
      // What has come so far was looked at and is kept from now on.
      for (const name of found) sure.add(name);
      kills.push({ said, found: found.length });
    }
  } finally {
    await site.stop();
    rmSync(profile, { recursive: true, force: true, maxRetries: 5 });
  }
  return kills;
}

/**
 * Brings a file into the notebook, and kills the browser a moment later. Gives whether the page had said that it is kept.
 * @param {string} address
 * @param {string} profile
 * @param {number} kill
 * @param {string[]} names
 */
async function mergeUntilKilled(address, profile, kill, names) {
  const browser = await openBrowser(profile);
  const { page } = browser;
  let said = false;
  await page.exposeFunction("__kept", () => void (said = true));
  await page.goto(address);
  await pageReady(page);
  const id = (/** @type {number} */ place) => (BigInt(kill + 1) * 4096n + BigInt(place)).toString(16).padStart(16, "0");
  const pitches = ["G4", "Bb4", "C5"];
  const records = Object.fromEntries(
    names.map((name, place) => [id(place), JSON.parse(riffRecord(id(place), name, pitches).text)]),
  );
  const text = JSON.stringify({ riffloom: "notebook", version: 1, records });
  await page.getByRole("button", { name: "Notebook", exact: true }).click();
  const section = page.getByRole("region", { name: "Keep it safe" });
  await section
    .locator("input[type=file]")
    .setInputFiles({ name: "notebook.json", mimeType: "application/json", buffer: Buffer.from(text) });
  await section.getByRole("button", { name: "Bring it into my notebook" }).waitFor();
  await page.evaluate(() => {
    const kept = /** @type {HTMLElement} */ (document.querySelector("#kept"));
    let begun = false;
    new MutationObserver(() => {
      begun ||= kept.textContent !== "Kept on this device";
      if (begun && kept.textContent === "Kept on this device") /** @type {any} */ (globalThis).__kept();
    }).observe(kept, { childList: true, characterData: true, subtree: true });
    [...document.querySelectorAll("button")].find((each) => each.textContent === "Bring it into my notebook")?.click();
  });
  await new Promise((resolve) => setTimeout(resolve, Math.random() * LONGEST));
  await browser.kill();
  return said;
}

/** The names of all riffs that are kept, once the page has opened with them. @param {string} address @param {string} profile */
async function namesThere(address, profile) {
  const browser = await openBrowser(profile);
  try {
    await browser.page.goto(address);
    await pageReady(browser.page);
    const texts = (await stored(browser.page)).map(({ text }) => String(text));
    return new Set(texts.flatMap((text) => /"name":"(kill \d+, riff \d+)"/.exec(text)?.[1] ?? []));
  } finally {
    await browser.kill();
  }
}
