// Each drill, and a chorus, practised by keyboard alone: what the controls are called, where the hands are, what is said.
// What each drill says is our own (no source). That a live region is for what matters, not for each moment of something
// that runs: WAI-ARIA 1.2, aria-live "polite" (from memory).
import assert from "node:assert/strict";
import { browserTest, pageReady } from "./lib.mjs";
import { tabTo } from "./riff-page.mjs";

/** @typedef {import("playwright-core").Page} Page */

/** The fastest that the page offers, in beats a minute, so that a turn of two bars lasts two seconds. */
const BPM = 240;
/** G above middle C. */
const G = 67;

const focused = (/** @type {Page} */ page) =>
  page.evaluate(() => document.activeElement?.getAttribute("aria-label") ?? document.activeElement?.textContent ?? "");

/** @param {Page} page @param {string | RegExp} name */
async function enter(page, name) {
  await tabTo(page, name);
  await page.keyboard.press("Enter");
}

/** The computer key that plays a note. @param {Page} page @param {number} midi */
async function letter(page, midi) {
  const code = await page.locator(`#keyboard .key[data-midi="${midi}"]`).first().getAttribute("data-code");
  assert.ok(code);
  return code;
}

/** Writes a riff of one note, makes the band fast, and opens Practice. @param {Page} page */
async function prepare(page) {
  await pageReady(page);
  await enter(page, "New riff");
  await page.locator("#keyboard .key[tabindex='0']").first().waitFor();
  await tabTo(page, /^G 4\b/);
  await page.keyboard.press(await letter(page, G));
  await enter(page, /^Tempo:/);
  await tabTo(page, "Tempo, in beats a minute");
  await page.keyboard.press("End");
  await page.keyboard.press("Escape");
  await page.getByRole("button", { name: `Tempo: ${BPM}` }).waitFor();
  await openPractice(page);
}

/** @param {Page} page */
async function openPractice(page) {
  await enter(page, "Practice");
  await page
    .getByRole("navigation", { name: "Where to" })
    .locator("[aria-current=page]", { hasText: "Practice" })
    .waitFor();
}

/** Throws the starter riff away: there is one riff to ask for. @param {Page} page */
async function keepOne(page) {
  await enter(page, "Notebook");
  const starter = page.locator(".card", { hasText: "Salt wind" });
  await starter.waitFor();
  const reached = () => starter.getByRole("button", { name: "Delete" }).evaluate((it) => it === document.activeElement);
  for (let presses = 0; presses < 60 && !(await reached()); presses++) await page.keyboard.press("Tab");
  await page.keyboard.press("Enter");
  await starter.waitFor({ state: "detached" });
  await openPractice(page);
}

/** Opens a part of the sentence, takes a choice, and closes it. @param {Page} page @param {RegExp} part @param {RegExp} choice */
async function choose(page, part, choice) {
  if (!(await page.getByRole("button", { name: part }).isVisible())) await enter(page, /^more$/);
  await enter(page, part);
  await page.getByRole("button", { name: part, expanded: true }).waitFor();
  await enter(page, choice);
  // A panel of one list closes by its choice, one of several by Escape.
  if (await page.getByRole("button", { name: part, expanded: true }).isVisible()) {
    await page.getByRole("button", { name: choice, pressed: true }).waitFor();
    await page.keyboard.press("Escape");
  }
  assert.match(await focused(page), part, "the hands are back on what was opened");
  await page.getByRole("button", { name: part, expanded: false }).waitFor();
}

/** Notes what the live region is given, from here on. @param {Page} page */
async function listen(page) {
  await page.evaluate(() => {
    const words = /** @type {string[]} */ ([]);
    const live = /** @type {HTMLElement} */ (document.getElementById("said"));
    Object.assign(globalThis, { words });
    new MutationObserver(() => words.push(live.textContent ?? "")).observe(live, {
      childList: true,
      characterData: true,
      subtree: true,
    });
  });
  assert.equal(await page.locator("#said").getAttribute("aria-live"), "polite");
}
const words = (/** @type {Page} */ page) =>
  page.evaluate(() => /** @type {string[]} */ (/** @type {any} */ (globalThis).words));
const whose = (/** @type {Page} */ page, /** @type {RegExp} */ text) =>
  page.getByRole("region", { name: "The drill" }).locator(".whose", { hasText: text }).waitFor();
const hears = (/** @type {Page} */ page, /** @type {RegExp} */ text) =>
  page.waitForFunction(
    (source) =>
      /** @type {any} */ (globalThis).words.some((/** @type {string} */ each) => new RegExp(source).test(each)),
    text.source,
  );

/** Starts; the hands are then where one answers. @param {Page} page @param {RegExp} hands */
async function start(page, hands) {
  await listen(page);
  await enter(page, "Start practising");
  await page.getByRole("button", { name: "Stop", exact: true }).waitFor();
  assert.match(await focused(page), hands);
}

/** Stops from wherever the hands are; they are then on what starts it again. @param {Page} page */
async function stop(page) {
  await page.keyboard.press("Escape");
  await page.getByRole("button", { name: "Start practising" }).waitFor();
  assert.equal(await focused(page), "Start practising");
}

/**
 * Lets the run go on for eight beats and counts what was said in all of it. A cue has the most to say: what comes, that it
 * is one's turn, what came of it, in four bars. A run here reaches into the second of them, so five at the most; what spoke
 * on each beat would say eight in the eight beats alone.
 * @param {Page} page
 */
async function saysLittle(page) {
  await page.waitForTimeout((8 * 60_000) / BPM);
  assert.ok(await page.getByRole("button", { name: "Stop", exact: true }).isVisible(), "it still runs");
  const all = await words(page);
  assert.ok(all.length <= 5, JSON.stringify(all));
}

browserTest("echo, by keyboard alone", { timed: true }, async ({ page, site }) => {
  await page.goto(site.address);
  await prepare(page);
  await keepOne(page);
  await choose(page, /^What you do:/, /^Echo/);
  await start(page, /^G 4\b/);
  await whose(page, /^Your turn$/);
  await page.keyboard.press(await letter(page, G));
  await hears(page, /^That was it\.$/);
  await tabTo(page, "Show the notes");
  await page.keyboard.press("Space");
  await page.getByRole("button", { name: "Show the notes", pressed: true }).waitFor();
  await saysLittle(page);
  await stop(page);
});

browserTest("cues, by keyboard alone", { timed: true }, async ({ page, site }) => {
  await page.goto(site.address);
  await prepare(page);
  await keepOne(page);
  await choose(page, /^What you do:/, /^Cues/);
  await start(page, /^G 4\b/);
  await whose(page, /^Play /);
  await hears(page, /^Play (Riff of 1 note|what you heard)$/);
  await page.keyboard.press(await letter(page, G));
  await hears(page, /^There it was: Riff of 1 note\.$/);
  await saysLittle(page);
  await stop(page);
});

browserTest("find your place, by keyboard alone", { timed: true }, async ({ page, site }) => {
  await page.goto(site.address);
  await prepare(page);
  await choose(page, /^What you do:/, /^Find your place/);
  await start(page, /^Bar 1$/);
  const bars = page.getByRole("group", { name: "Which bar is it?" });
  assert.equal(await bars.getByRole("button", { name: /^Bar \d+$/ }).count(), 12);
  await page.keyboard.press("ArrowDown");
  await page.keyboard.press("ArrowRight");
  assert.equal(await focused(page), "Bar 6");
  await whose(page, /^Which bar is it\?$/);
  await page.keyboard.press("Enter");
  await hears(page, /^(Yes: that was bar 6\.|That was bar \d+\. Listen for where the chord changes\.)$/);
  // One press of Tab leads out of the bars, and one back to the bar that was named.
  await page.keyboard.press("Tab");
  assert.ok(!(await focused(page)).startsWith("Bar "));
  await page.keyboard.press("Shift+Tab");
  assert.equal(await focused(page), "Bar 6");
  await saysLittle(page);
  await stop(page);
});

for (const [name, choice, turn] of /** @type {const} */ ([
  ["taking turns", /^Take turns, two bars each/, /^Your turn$/],
  ["answer me", /^Answer me/, /^Your turn$/],
])) {
  browserTest(`${name}, by keyboard alone`, { timed: true }, async ({ page, site }) => {
    await page.goto(site.address);
    await prepare(page);
    await choose(page, /^What you do:/, choice);
    await start(page, /^G 4\b/);
    await whose(page, turn);
    await page.keyboard.down(await letter(page, G));
    await page.locator(`#keyboard .key.down[data-midi="${G}"]`).first().waitFor();
    await page.keyboard.up(await letter(page, G));
    // Nothing is judged here: whose turn it is follows.
    await whose(page, /^The band( answers)?$/);
    await saysLittle(page);
    await stop(page);
  });
}

browserTest("a chorus is built and practised by keyboard alone", { timed: true }, async ({ page, site }) => {
  await page.goto(site.address);
  await prepare(page);
  await enter(page, "Chorus");
  await tabTo(page, /^Bar 1\b/i);
  await page.keyboard.press("Enter");
  await enter(page, /^Put it here: Riff of 1 note in bar 1$/);
  await page.locator("#chorus-lines button[data-band]").first().waitFor();
  await enter(page, "Practise it");
  await page.getByRole("button", { name: /^What you practise: Chorus with/ }).waitFor();
  await choose(page, /^Going on:/, /^one time, then stop/);
  await start(page, /^G 4\b/);
  await page.locator("#form .bar.now").waitFor();
  await page.keyboard.press(await letter(page, G));
  await saysLittle(page);
  await stop(page);
  await page.getByRole("region", { name: "The last time through" }).getByRole("heading").waitFor();
  await hears(page, /\S/);
  assert.equal((await words(page)).length, 1, "what came of it, once");
});
