// The Riff screen as a person uses it: real clicks and key presses, by the names that are on the page.

import assert from "node:assert/strict";

/**
 * A riff of two bars with a rest after every note, as it is written here and as it must sound: in beats from the riff's
 * start, off-beats two thirds along as a shuffle has them (2:1), and MIDI note numbers.
 */
export const RESTED = {
  steps: [67, null, 70, null, null, 72, null, null, 62, null, null, 65, null, null, 71, null],
  onsets: [0, 1, 2 + 2 / 3, 4, 5 + 2 / 3, 7],
  midi: [67, 70, 72, 62, 65, 71],
};

/**
 * @param {import("playwright-core").Page} page
 * @param {string} name
 */
export const button = (page, name) => page.getByRole("button", { name, exact: true });

/**
 * @param {import("playwright-core").Page} page
 * @param {number} midi
 */
export const key = (page, midi) => page.locator(`#keyboard .key[data-midi="${midi}"]`).first();

/**
 * Begins a new riff and writes it: a step of the grid for each entry, null is a rest.
 * @param {import("playwright-core").Page} page
 * @param {(number | null)[]} steps
 */
export async function writeRiff(page, steps) {
  await button(page, "New riff").click();
  for (const midi of steps) {
    // A finger that plays aims at the lower part of a white key, where no black one lies over it.
    if (midi === null) await button(page, "Rest").click();
    else await key(page, midi).click({ position: await lowerPart(page, midi) });
  }
}

/**
 * @param {import("playwright-core").Page} page
 * @param {number} midi
 */
async function lowerPart(page, midi) {
  const box = await key(page, midi).boundingBox();
  if (!box) throw new Error(`no key for ${midi} on the screen`);
  return { x: box.width / 2, y: box.height * 0.85 };
}

/**
 * The notes on the strip, in words: pitch, place, length, accent.
 * @param {import("playwright-core").Page} page
 */
export function notesOnStrip(page) {
  return page
    .locator("#strip [role=option]")
    .evaluateAll((notes) => notes.map((note) => note.getAttribute("aria-label")));
}

/**
 * @param {import("playwright-core").Page} page
 * @param {number} bpm
 */
export async function setTempo(page, bpm) {
  await page.getByRole("button", { name: /^Tempo:/ }).click();
  await page.getByRole("slider", { name: /Tempo/ }).fill(String(bpm));
  await page.keyboard.press("Escape");
}

/**
 * Sets the notes to use: with all of them every key has a letter.
 * @param {import("playwright-core").Page} page
 * @param {RegExp} notes as the panel names them
 */
export async function setNotes(page, notes) {
  await page.getByRole("button", { name: /^Notes to use:/ }).click();
  await page.getByRole("group", { name: "Notes to use" }).getByRole("button", { name: notes }).click();
  await page.keyboard.press("Escape");
}

/**
 * Lets only these parts of the band play.
 * @param {import("playwright-core").Page} page
 * @param {string[]} wanted values such as "drums"
 */
export async function setBand(page, wanted) {
  await page.getByRole("button", { name: /^Who plays:/ }).click();
  const switches = page.getByRole("group", { name: "Who plays" }).getByRole("switch");
  await switches.first().waitFor();
  for (const each of await switches.all()) {
    const [value, on] = [await each.getAttribute("data-value"), (await each.getAttribute("aria-checked")) === "true"];
    if (wanted.includes(value ?? "") !== on) await each.click();
  }
  await page.keyboard.press("Escape");
}

/**
 * Has the riff played as it is written, by the keyboard: not shaped, and exactly in time.
 * @param {import("playwright-core").Page} page
 */
export async function playPlain(page) {
  await tabTo(page, /^Who plays:/);
  await page.keyboard.press("Enter");
  await tabTo(page, "More");
  await page.keyboard.press("Enter");
  await tabTo(page, "Your riff");
  await page.keyboard.press("Home");
  assert.equal(await page.locator('select[data-what="phrasing"]').inputValue(), "plain");
  await page.keyboard.press("Escape");
}

/**
 * Waits until everything is on the disk.
 * @param {import("playwright-core").Page} page
 */
export async function saved(page) {
  // What was done is said to be unsaved in the frame after the one that shows it.
  await page.evaluate(
    () => new Promise((resolve) => requestAnimationFrame(() => requestAnimationFrame(() => setTimeout(resolve)))),
  );
  await page.waitForFunction(() => document.querySelector("#kept")?.textContent === "Kept on this device");
}

/**
 * Presses Tab until the element of this name has the focus, as a person does who has no mouse.
 * @param {import("playwright-core").Page} page
 * @param {string | RegExp} name
 */
export async function tabTo(page, name) {
  const wanted = (/** @type {string} */ text) => (typeof name === "string" ? text === name : name.test(text));
  const seen = [];
  for (let presses = 0; presses < 150; presses++) {
    const here = await page.evaluate(() => {
      const element = document.activeElement;
      return (element?.getAttribute("aria-label") ?? element?.textContent ?? "").trim();
    });
    if (wanted(here)) return;
    seen.push(here);
    await page.keyboard.press("Tab");
  }
  throw new Error(`Tab never came to ${name}, only to ${[...new Set(seen)].join(" | ")}`);
}

/** What a link holds is shown before it is added: wants it. @param {import("playwright-core").Page} page */
export async function takeLink(page) {
  const seen = page.locator("dialog.link-seen");
  await seen.getByRole("button", { name: /my notebook$|^Take this tune$/ }).click();
  await seen.waitFor({ state: "detached" });
}
