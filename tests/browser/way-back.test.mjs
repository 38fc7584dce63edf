// What a person comes back to after the page was loaded again, and what a link asks.
import assert from "node:assert/strict";
import { browserTest } from "./lib.mjs";
import { pageReady } from "./page.mjs";
import { button, key, saved, setTempo, takeLink, writeRiff } from "./riff-page.mjs";

const notes = (/** @type {import("playwright-core").Page} */ page) => page.locator("#strip [role=option]").count();
const link = async (/** @type {import("playwright-core").Page} */ page) => {
  await button(page, "Pass it on").click();
  const address = await page.getByLabel("Link to this riff").inputValue();
  await page.keyboard.press("Escape");
  return address;
};
const riffs = async (/** @type {import("playwright-core").Page} */ page) => {
  await button(page, "Notebook").click();
  await page.locator("#notebook .card .open").first().waitFor();
  return page.locator("#notebook .cards > li").count();
};

browserTest("steps can be taken back after a reload", async ({ page, site }) => {
  await page.goto(site.address);
  await pageReady(page);
  await writeRiff(page, [67, 70]);
  await setTempo(page, 90);
  await setTempo(page, 96);
  await saved(page);
  await page.waitForFunction(() => performance.getEntriesByName("riffloom:whole").length > 0);
  await page.reload();
  await pageReady(page);
  assert.equal(await notes(page), 2);
  // However often the tempo was changed, it is one step.
  await button(page, "Undo").click();
  await page.getByRole("button", { name: "Tempo: 76" }).waitFor();
  await button(page, "Undo").click();
  assert.equal(await notes(page), 1);
});

browserTest("a riff that nobody has written yet is new enough", async ({ page, site }) => {
  await page.goto(site.address);
  await pageReady(page);
  for (let press = 0; press < 3; press += 1) await button(page, "New riff").click();
  await key(page, 67).click();
  assert.equal(await riffs(page), 2, "the first riff, and the new one");
});

browserTest(
  "a link stays in the address, brings its riff once, and asks for the instrument",
  async ({ page, site }) => {
    await page.goto(site.address);
    await pageReady(page);
    await page.getByRole("button", { name: /^What I play:/ }).click();
    await page.getByRole("button", { name: /^alto sax/ }).click();
    await writeRiff(page, [67, 70]);
    const address = await link(page);
    const visitor = await page.context().browser()?.newContext();
    assert.ok(visitor);
    const pupil = await visitor.newPage();
    await pupil.goto(address);
    await pageReady(pupil);
    await takeLink(pupil);
    const question = pupil.locator("#message").getByText("This was made for alto sax. What do you play?");
    await question.waitFor();
    // Whoever comes with a link has something else to begin with.
    assert.equal(await pupil.locator(".first-minute").isVisible(), false);
    await pupil.locator("#message").getByRole("button", { name: "alto sax" }).click();
    await pupil.getByRole("button", { name: "What I play: alto sax" }).waitFor();
    await pupil.getByText("your E sounds as G").first().waitFor();
    await saved(pupil);
    assert.equal(new URL(pupil.url()).hash, new URL(address).hash);
    const before = await riffs(pupil);
    await pupil.reload();
    await pageReady(pupil);
    assert.equal(await riffs(pupil), before);
    assert.equal(await question.isVisible(), false, "it asks once");
    // Opened in another tab of the same person: still one riff.
    const again = await visitor.newPage();
    await again.goto(address);
    await pageReady(again);
    await again.getByRole("button", { name: "What I play: alto sax" }).waitFor();
    assert.equal(await riffs(again), before);
    await visitor.close();
  },
);
