// Words over the lines of the chorus. Where syllables stand is checked in tests/it/verse.rs; here, that they are typed,
// moved by a tap and by keys, drawn over the form and under the notes, printed and kept.
import assert from "node:assert/strict";
import { extractText, getDocumentProxy } from "unpdf";
import { browserTest, openDemo, pageReady } from "./lib.mjs";
import { button, saved } from "./riff-page.mjs";

/** @typedef {import("playwright-core").Page} Page */

/** @param {Page} page @param {string} address */
async function openWords(page, address) {
  await page.goto(address);
  await pageReady(page);
  await openDemo(page);
  await button(page, "Skip this").click();
  await button(page, "Chorus").click();
  await page.locator("#chorus-verse > summary").click();
}

/** Waits until a syllable is said to stand there. @param {Page} page @param {number} number @param {string} expected */
const stands = (page, number, expected) =>
  page.locator(`.syllable[data-syllable="${number}"][aria-label="${expected}"]`).waitFor();

/** What stands over the form. @param {Page} page */
const over = async (page) =>
  (await page.locator(".sung").allInnerTexts()).map((line) => line.replace(/\s+/g, " ").trim());

browserTest("words are typed, repeated, moved and undone", async ({ page, site }) => {
  await openWords(page, site.address);
  const first = page.locator(".verse-line input").first();
  await first.fill("Rain on the roof");
  await first.press("Tab");
  await stands(page, 0, "Rain, bar 1, beat 1");
  await button(page, "The same again").click();
  await page.locator(".sung").nth(1).waitFor();
  assert.deepEqual(await over(page), ["Rain on the roof", "Rain on the roof"]);
  // By a tap: the syllable, then where it goes; beat 3 of bar 2 is the thirteenth of 32 half beats.
  // The line that is written has its syllables in sight.
  await first.click();
  const track = page.locator(".verse-track").first();
  await track.locator(".syllable").nth(3).click();
  const box = await track.boundingBox();
  assert.ok(box);
  await track.click({ position: { x: (box.width * 12.5) / 32, y: box.height - 8 } });
  await stands(page, 3, "roof, bar 2, beat 3");
  await track.locator(".syllable").nth(3).press("ArrowLeft");
  await stands(page, 3, "roof, bar 2, beat 2 and");
  assert.equal(await page.evaluate(() => document.activeElement?.textContent), "roof");
  assert.equal(await page.locator(".sung").first().locator("span").nth(1).innerText(), "roof");
  await button(page, "By the rule again").click();
  await stands(page, 3, "roof, bar 1, beat 4");
  await page.locator("#steps-back").getByRole("button", { name: "Undo" }).click();
  await stands(page, 3, "roof, bar 2, beat 2 and");
});

browserTest("a sung line is a riff with its words, on staff and sheet, and kept", async ({ page, site }) => {
  await openWords(page, site.address);
  await button(page, "Show me an example").click();
  await page.getByRole("button", { name: "Make it a riff" }).nth(1).click();
  await page.locator("#chorus-lines button[data-band]", { hasText: "Left my" }).waitFor();
  await page.locator("#chorus-staff > summary").click();
  const words = page.locator("#chorus-staff .engraved-word");
  await words.first().waitFor();
  assert.equal((await words.allTextContents()).join(" "), "Left my um- brel- la on the ear- ly train");
  const { text } = await extractText(await getDocumentProxy(new Uint8Array(await page.pdf())), { mergePages: true });
  assert.match(text, /songs\s+that\s+you\s+can\s+hear\s+in\s+rain/);
  await saved(page);
  await page.reload();
  await pageReady(page);
  await button(page, "Chorus").click();
  await page.locator(".sung").nth(2).waitFor();
});
