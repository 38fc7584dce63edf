// Two open tabs change the same riff: nothing is lost, and each goes on with what it shows.
import assert from "node:assert/strict";
import { browserTest } from "./lib.mjs";
import { pageReady } from "./page.mjs";
import { button, notesOnStrip, saved, writeRiff } from "./riff-page.mjs";

browserTest("who comes later goes on with the own riff beside the other one", async ({ page, context, site }) => {
  const pitches = async (/** @type {import("playwright-core").Page} */ tab) => (await notesOnStrip(tab)).map((label) => label?.split(",")[0]).join(" ");
  await page.goto(site.address);
  await pageReady(page);
  await writeRiff(page, [67, 70]);
  await page.getByLabel("Name of the riff").fill("Ferry bell");
  await page.keyboard.press("Enter");
  await saved(page);
  const later = await context.newPage();
  await later.goto(site.address);
  await pageReady(later);
  assert.equal(await pitches(later), "G 4 B flat 4");

  await page.bringToFront();
  await page.locator('#keyboard .key[data-midi="72"]').first().click();
  await saved(page);
  await later.bringToFront();
  await later.getByText("The notebook was changed in another tab.").waitFor();
  await later.locator('#keyboard .key[data-midi="65"]').first().click({ position: { x: 10, y: 100 } });
  await later.getByText("“Ferry bell” was changed in another tab, too. Both are kept: yours is the one you see.").waitFor();
  assert.equal(await pitches(later), "G 4 B flat 4 F 4");
  // It is written on under its new id, and stays on the desk over a reload.
  await later.locator('#keyboard .key[data-midi="67"]').first().click({ position: { x: 10, y: 100 } });
  await saved(later);
  await button(later, "Undo").click();
  await saved(later);
  assert.equal(await pitches(later), "G 4 B flat 4 F 4");
  await later.reload();
  await pageReady(later);
  assert.equal(await pitches(later), "G 4 B flat 4 F 4");
  await button(later, "Notebook").click();
  const cards = later.locator("#notebook .cards li");
  await cards.filter({ hasText: "Ferry bell" }).nth(1).waitFor();
  assert.equal(await cards.filter({ hasText: "Ferry bell" }).count(), 2);

  // The other tab has lost nothing either.
  assert.equal(await pitches(page), "G 4 B flat 4 C 5");
  await page.reload();
  await pageReady(page);
  await button(page, "Notebook").click();
  assert.deepEqual((await page.locator("#notebook .cards li small").allTextContents()).filter((text) => /3 notes/.test(text)).length, 2);
});

browserTest("what one tab threw away and took back never replaces what the other one wrote since", async ({ page, context, site }) => {
  await page.goto(site.address);
  await pageReady(page);
  await writeRiff(page, [67, 70]);
  await page.getByLabel("Name of the riff").fill("Ferry bell");
  await page.keyboard.press("Enter");
  await saved(page);
  const later = await context.newPage();
  await later.goto(site.address);
  await pageReady(later);
  await page.bringToFront();
  for (const midi of [72, 74, 76]) await page.locator(`#keyboard .key[data-midi="${midi}"]`).first().click({ position: { x: 10, y: 100 } });
  await saved(page);
  assert.equal((await notesOnStrip(page)).length, 5);

  await later.bringToFront();
  await button(later, "Notebook").click();
  await later.locator("#notebook .cards li").filter({ hasText: "Ferry bell" }).getByRole("button", { name: "Delete" }).click();
  await saved(later);
  await later.getByLabel("Undo", { exact: true }).click();
  await later.getByText("Both are kept: yours is the one you see.").waitFor();
  await saved(later);
  await later.reload();
  await pageReady(later);
  await button(later, "Notebook").click();
  const cards = later.locator("#notebook .cards li").filter({ hasText: "Ferry bell" });
  await cards.nth(1).waitFor();
  const notes = (await cards.allTextContents()).map((text) => /\d notes/.exec(text)?.[0]);
  assert.deepEqual(notes.sort(), ["2 notes", "5 notes"]);
});
