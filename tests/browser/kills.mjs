// Kills the whole browser at random moments while the page saves, and looks what is there afterwards: everything that
// the page had said to be kept. For the test of that name, and for scripts/bench kills.
import assert from "node:assert/strict";
import { spawn } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { chromium } from "playwright-core";
import { browserPath, FLAGS, openSite } from "./chromium.mjs";
import { pageReady } from "./page.mjs";
import { stored } from "./storage-page.mjs";

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
