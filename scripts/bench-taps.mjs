// See scripts/bench. How many taps each job of the design takes on a laptop, from the page as it first opens: each tap is made
// on the page, and what came of it is looked at.
import assert from "node:assert/strict";
import { launch, openSite } from "../tests/browser/chromium.mjs";
import { pageReady } from "../tests/browser/page.mjs";

/** @typedef {import("playwright-core").Page} Page */

const site = await openSite();
const browser = await launch();
const page = await browser.newPage({ viewport: { width: 1366, height: 620 } });
page.setDefaultTimeout(15_000);
await page.goto(site.address);
await pageReady(page);
await page.waitForFunction(() => performance.getEntriesByName("riffloom:whole").length > 0);
let taps = 0;
const tap = async (
  /** @type {import("playwright-core").Locator} */ what,
  /** @type {{ x: number, y: number } | undefined} */ position = undefined,
) => {
  taps += 1;
  await what.click(position ? { position } : {});
};
const named = (/** @type {string | RegExp} */ name) =>
  page.getByRole("button", { name, exact: typeof name === "string" }).first();
const choice = (/** @type {string} */ value) => page.locator(`.panel:not([hidden]) [data-value="${value}"]`);
const key = (/** @type {number} */ midi) =>
  tap(page.locator(`#keyboard .key[data-midi="${midi}"]`).first(), { x: 12, y: 92 });
const notes = () => page.locator("#strip [role=option]").count();

await job("key F, a form with quick change, a two-bar riff with a rest and two accents", async () => {
  await tap(named("Skip this"));
  taps = 0;
  await tap(named(/^Key:/));
  await tap(choice("F"));
  await tap(named(/^Form:/));
  await tap(choice("two"));
  await tap(named("New riff"));
  await key(65);
  await tap(named("Accent"));
  await key(69);
  await tap(named("Rest"));
  await key(72);
  await tap(named("Accent"));
  await key(65);
  assert.equal(await notes(), 4);
  assert.equal(await page.locator("#strip .accent").count(), 2);
  await page.getByRole("button", { name: "Form: 12-bar blues with quick change" }).waitFor();
});
await job("two variations that are kept", async () => {
  for (const way of [/earlier or later/i, /upside down/i]) {
    await tap(named("Vary"));
    await tap(named(way));
    await tap(named("Keep it"));
  }
  await page.locator("#tools").waitFor();
});
await job("a chorus from three riffs", async () => {
  await tap(page.locator('.tabs [data-go="chorus"]'));
  for (let riff = 0; riff < 3; riff += 1)
    await tap(page.locator("#chorus-riffs").getByRole("button", { name: /^Put/ }).nth(riff));
  assert.ok((await page.locator("#chorus-lines button[data-band]").count()) >= 3);
});
await job("another instrument", async () => {
  await tap(page.locator('.tabs [data-go="riff"]'));
  taps = 0;
  await tap(named(/^What I play:/));
  await tap(choice("alto-sax"));
  await page.getByRole("button", { name: "What I play: alto sax" }).waitFor();
});
await job("a link", async () => {
  await tap(named("Pass it on"));
  await tap(named("Copy the link"));
  await page
    .locator("#pass-panel")
    .getByText(/Copied|Copy the marked/)
    .first()
    .waitFor();
});
await job("a sound file", async () => {
  await page.keyboard.press("Escape");
  await tap(named("Pass it on"));
  await tap(page.locator("#pass-panel").getByRole("button", { name: /^Make the (sound )?file$/ }));
  await tap(page.locator("#pass-panel a[download]").first());
});
await browser.close();
await site.stop();

/**
 * @param {string} name
 * @param {() => Promise<void>} work
 */
async function job(name, work) {
  taps = 0;
  try {
    await work();
    console.log(`${String(taps).padStart(3)} taps  ${name}`);
  } catch (error) {
    console.log(`  not done after ${taps} taps: ${name}: ${String(error).split("\n")[0]}`);
    process.exitCode = 1;
  }
}
