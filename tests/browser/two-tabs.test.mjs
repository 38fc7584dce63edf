// Two open tabs change the same riff: nothing is lost, and each goes on with what it shows.
import assert from "node:assert/strict";
import { browserTest } from "./lib.mjs";
import { pageReady } from "./page.mjs";
import { button, notesOnStrip, saved, writeRiff } from "./riff-page.mjs";
import { roomsOfCore, sparing } from "./storage-page.mjs";

browserTest("who comes later goes on with the own riff beside the other one", async ({ page, context, site }) => {
  const pitches = async (/** @type {import("playwright-core").Page} */ tab) =>
    (await notesOnStrip(tab)).map((label) => label?.split(",")[0]).join(" ");
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
  await later
    .locator('#keyboard .key[data-midi="65"]')
    .first()
    .click({ position: { x: 10, y: 100 } });
  await later
    .getByText("“Ferry bell” was changed in another tab, too. Both are kept: yours is the one you see.")
    .waitFor();
  assert.equal(await pitches(later), "G 4 B flat 4 F 4");
  // It is written on under its new id, and stays on the desk over a reload.
  await later
    .locator('#keyboard .key[data-midi="67"]')
    .first()
    .click({ position: { x: 10, y: 100 } });
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
  // A card is filled in once it comes into sight.
  await page.locator("#notebook .cards li .about", { hasText: "3 notes" }).nth(1).waitFor();
  assert.deepEqual(
    (await page.locator("#notebook .cards li .about").allTextContents()).filter((text) => /3 notes/.test(text)).length,
    2,
  );
});

browserTest(
  "what one tab threw away and took back never replaces what the other one wrote since",
  async ({ page, context, site }) => {
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
    for (const midi of [72, 74, 76])
      await page
        .locator(`#keyboard .key[data-midi="${midi}"]`)
        .first()
        .click({ position: { x: 10, y: 100 } });
    await saved(page);
    assert.equal((await notesOnStrip(page)).length, 5);

    await later.bringToFront();
    await button(later, "Notebook").click();
    const cards = later.locator("#notebook .cards li").filter({ hasText: "Ferry bell" });
    await cards.getByRole("button", { name: "Delete" }).click();
    await later.getByText("“Ferry bell” was changed in another tab, so it stays in your notebook.").waitFor();
    await cards.filter({ hasText: "5 notes" }).waitFor();
    await button(later, "Undo").click();
    await saved(later);
    for (const tab of [page, later]) {
      await tab.bringToFront();
      await tab.reload();
      await pageReady(tab);
      await button(tab, "Notebook").click();
      const about = tab.locator("#notebook .cards li").filter({ hasText: "Ferry bell" }).locator(".about");
      // A card is filled in once it comes into sight.
      await about.nth(1).waitFor();
      const notes = await about.allTextContents();
      assert.deepEqual(notes.map((text) => /\d notes/.exec(text)?.[0]).sort(), ["2 notes", "5 notes"]);
    }
  },
);

browserTest("a chorus that two tabs changed is kept twice", async ({ page, context, site }) => {
  const open = async (/** @type {import("playwright-core").Page} */ tab) => {
    await tab.goto(site.address);
    await pageReady(tab);
    await button(tab, "Chorus").click();
  };
  await open(page);
  await page.locator("#chorus-riffs button").first().click();
  await saved(page);
  const later = await context.newPage();
  await open(later);
  await page.bringToFront();
  await page.locator("#chorus-riffs button").first().click();
  await saved(page);
  await later.bringToFront();
  // Elsewhere than in the other tab: the same in both would be no change to keep twice.
  await later.locator('#chorus-lines .bar[data-bar="8"]').click();
  for (let times = 0; times < 2; times++) await later.locator("#chorus-riffs button").first().click();
  await later.getByText("Both are kept: yours is the one you see.").waitFor();
  await saved(later);
  const placed = (/** @type {import("playwright-core").Page} */ tab) =>
    tab.locator("#chorus-lines button[data-band]").count();
  assert.deepEqual([await placed(page), await placed(later)], [2, 3]);
  await later.reload();
  await pageReady(later);
  await button(later, "Chorus").click();
  assert.equal(await placed(later), 3);
  await button(later, "Notebook").click();
  assert.equal(await later.locator("#choruses .cards li").count(), 2);
});

browserTest(
  "what another tab wrote is read first where the room for that has not come",
  { prepare: sparing },
  async ({ page, context, site }) => {
    const later = await context.newPage();
    for (const tab of [page, later]) {
      await tab.goto(site.address);
      await pageReady(tab);
    }
    await page.bringToFront();
    await writeRiff(page, [67, 70]);
    await saved(page);
    await later.bringToFront();
    await writeRiff(later, [72, 74, 76]);
    await saved(later);
    assert.notDeepEqual(await roomsOfCore(later), []);
    await later.reload();
    await pageReady(later);
    await button(later, "Notebook").click();
    const notes = async () =>
      (await later.locator("#notebook .cards li .about").allTextContents()).map((text) => /\d notes/.exec(text)?.[0]);
    await later.locator("#notebook .cards li .about").nth(3).waitFor();
    for (const written of ["2 notes", "3 notes"]) assert.ok((await notes()).includes(written), `${await notes()}`);
  },
);
