// The large view of a chorus: its lines, the riff that sounds, and the one that comes.
import assert from "node:assert/strict";
import { accessibilityFindings, browserTest, openDemo, pageReady } from "./lib.mjs";
import { button } from "./riff-page.mjs";

/** @typedef {import("playwright-core").Page} Page */

const coming = (/** @type {Page} */ page) =>
  page
    .locator(".coming figcaption")
    .evaluateAll((captions) => captions.map((caption) => caption.textContent?.trim() ?? ""));

/** What stands in the chorus, by the riffs' names in the order of time. @param {Page} page */
const placed = (page) =>
  page
    .locator("#chorus-lines button[data-band]")
    .evaluateAll((bands) => bands.map((band) => (band.getAttribute("aria-label") ?? "").split(/[,.:;]/)[0] ?? ""));

browserTest("the large view of a chorus shows the riff now and the one that comes", async ({ page, site }) => {
  await page.setViewportSize({ width: 1366, height: 768 });
  await page.goto(site.address);
  await pageReady(page);
  await openDemo(page);
  await button(page, "Skip this").click();
  await button(page, "Chorus").click();
  await button(page, "Suggest a chorus").click();
  await page.locator(".idea").first().waitFor();
  await button(page, "Take it").click();
  const riffs = await placed(page);
  assert.ok(riffs.length >= 2, riffs.join(" | "));

  await page.keyboard.press("0");
  await page.locator(".coming figure").first().waitFor();
  // Before it plays: the first, and what follows it.
  const before = await coming(page);
  assert.match(before[0] ?? "", /^first /);
  assert.match(before[1] ?? "", /^then /);
  assert.ok(await page.locator("#chorus-lines .cline").first().isVisible());
  assert.ok(!(await page.locator("#chorus-ask").isVisible()) && !(await page.locator("#keyboard").isVisible()));
  assert.deepEqual(await accessibilityFindings(page), []);

  await page.locator("#play").click();
  await page.locator(".coming .now").waitFor();
  const sounding = await coming(page);
  assert.match(sounding[0] ?? "", /^now /);
  // When the next riff sounds, what stood there as coming is the one now.
  const expected = (sounding[1] ?? "").replace(/^then /, "");
  await page.waitForFunction(
    (name) => document.querySelector(".coming .now figcaption")?.textContent?.trim() === `now ${name}`,
    expected,
    { timeout: 30_000 },
  );
  // While the band plays, call and echo begins at once, and leads back here.
  await button(page, "Call and echo").click();
  await button(page, "Call and echo").and(page.locator("[aria-pressed=true]")).waitFor();
  await page.locator(".drill .whose").getByText("Listen").waitFor();
  await page.locator("#play").click();
  await page.locator(".coming figure").first().waitFor();
  await page.keyboard.press("0");
  await page.locator(".coming").waitFor({ state: "hidden" });
  assert.ok(await page.locator("#chorus-head").isVisible());
});
