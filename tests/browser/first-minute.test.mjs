// The first minute on the page: what was done is ticked off.
import assert from "node:assert/strict";
import { browserTest } from "./lib.mjs";
import { pageReady } from "./page.mjs";

browserTest("each step of the first minute is ticked off when it was done", async ({ page, site }) => {
  await page.goto(site.address);
  await pageReady(page);
  const steps = page.locator(".first-minute li");
  const done = () => steps.evaluateAll((all) => all.map((step) => step.classList.contains("done")));
  assert.deepEqual(await done(), [false, false, false, false, false]);

  await page.getByRole("button", { name: "Hear two bars" }).click();
  await page.locator(".first-minute li.done").first().waitFor();
  assert.deepEqual(await done(), [true, false, false, false, false]);
  await page.getByRole("button", { name: "Stop" }).click();

  await page.locator(".key.home").first().click();
  assert.deepEqual(await done(), [true, true, true, false, false]);

  // Its first note, three half steps higher.
  const note = await page.locator(".token").first().boundingBox();
  assert.ok(note);
  await page.mouse.move(note.x + 8, note.y + 12);
  await page.mouse.down();
  await page.mouse.move(note.x + 8, note.y - 20, { steps: 4 });
  await page.mouse.up();
  assert.deepEqual(await done(), [true, true, true, true, false]);

  await page.getByRole("button", { name: "Play with the band" }).click();
  await page.locator(".first-minute li.done").nth(4).waitFor();
  assert.deepEqual(await done(), [true, true, true, true, true]);
});
