// Varying a riff on the page: the new one and the first one side by side, until one of them stays.
import assert from "node:assert/strict";
import { accessibilityFindings, browserTest, pageReady } from "./lib.mjs";

/** @typedef {import("playwright-core").Page} Page */

/** @param {Page} page @param {string} name */
const press = (page, name) => page.getByRole("button", { name, exact: true }).click();
/** @param {Page} page */
const names = (page) => page.locator("#strip .token b").allTextContents();

/** @param {Page} page @param {string} address */
async function openPorchLight(page, address) {
  await page.goto(address);
  await pageReady(page);
  await press(page, "hear a riff: Porch light");
}

browserTest("a riff is varied, compared, kept, and taken back", async ({ page, site }) => {
  await openPorchLight(page, site.address);
  const first = await names(page);
  await press(page, "Vary");
  assert.equal(await page.getByRole("group", { name: "Ways to vary" }).getByRole("button").count(), 15);
  await press(page, "backwards");
  await page.getByText("Same notes, all backwards: the rhythm too.").first().waitFor();
  assert.deepEqual(await names(page), first.toReversed());
  assert.deepEqual(await accessibilityFindings(page), []);
  await press(page, "Hear the first");
  assert.deepEqual(await names(page), first);
  await press(page, "Hear the new one");
  await press(page, "Keep it");
  assert.equal(await page.getByLabel("Name of the riff").inputValue(), "Porch light, backwards");
  assert.deepEqual(await names(page), first.toReversed());
  await page.locator("#steps-back").getByRole("button", { name: "Undo" }).click();
  assert.deepEqual(await names(page), first);
});

browserTest("going back leaves nothing behind", async ({ page, site }) => {
  await openPorchLight(page, site.address);
  const first = await names(page);
  await press(page, "Vary");
  await press(page, "upside down");
  assert.notDeepEqual(await names(page), first);
  await press(page, "Go back");
  assert.deepEqual(await names(page), first);
  await page.reload();
  await pageReady(page);
  assert.deepEqual(await names(page), first);
});

browserTest("the ways fit a school laptop, and nothing scrolls", async ({ page, site }) => {
  await page.setViewportSize({ width: 1366, height: 620 });
  await openPorchLight(page, site.address);
  await press(page, "Skip this");
  const fits = () =>
    page.evaluate(
      () => document.documentElement.scrollHeight <= innerHeight && document.documentElement.scrollWidth <= innerWidth,
    );
  await press(page, "Vary");
  const box = await page.getByRole("group", { name: "Ways to vary" }).boundingBox();
  assert.ok(box && box.y >= 0 && box.x >= 0 && box.x + box.width <= 1366, JSON.stringify(box));
  assert.ok(await fits());
  await press(page, "an answer");
  assert.ok(await fits());
});

browserTest("a tapped note opens its words, the numbers a fold further", async ({ page, site }) => {
  await openPorchLight(page, site.address);
  await page.locator("#note-1").click();
  await page.getByText("What you hear · E under each chord").waitFor();
  assert.ok(await page.locator("#words .sentences p").first().isVisible());
  const value = page.getByText("Metric complexity");
  await page.getByText("Shape of the riff").click();
  assert.ok(!(await value.isVisible()));
  await page.locator("#words").getByText("Show the numbers").click();
  assert.ok(await value.isVisible());
});
