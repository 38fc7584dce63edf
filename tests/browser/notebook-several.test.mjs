// Several riffs ticked at once: sent, printed, saved, labelled and deleted; and how one riff was before.
import assert from "node:assert/strict";
import { accessibilityFindings, browserTest, downloaded, fillNotebook, openProfile, pageReady } from "./lib.mjs";
import { button, key, saved, takeLink } from "./riff-page.mjs";
import { stored } from "./storage-page.mjs";

/** @typedef {import("playwright-core").Page} Page */

const LIST = "#notebook .cards > li";
const names = (/** @type {Page} */ page) => page.locator(`${LIST} b`).allTextContents();
const bar = (/** @type {Page} */ page) => page.getByRole("region", { name: "Ticked riffs" });
const card = (/** @type {Page} */ page, /** @type {string} */ name) =>
  page.locator(LIST).filter({ has: page.getByText(name, { exact: true }) });

/** Waits until so many notes stand on the strip. @param {Page} page @param {number} count */
const tokens = (page, count) =>
  page.waitForFunction((count) => document.querySelectorAll("#strip .token").length === count, count);

/** A notebook of seven riffs, the newest first. @param {Page} page @param {string} address */
async function seven(page, address) {
  await page.goto(address);
  await pageReady(page);
  await fillNotebook(page, 7);
  await page.reload();
  await pageReady(page);
  await button(page, "Notebook").click();
  await page.waitForFunction(([list]) => document.querySelectorAll(`${list} .standing`).length === 7, [LIST]);
}

/** Ticks three, the first by mouse and the others by the keyboard alone. @param {Page} page */
async function tickThree(page) {
  await button(page, "Tick several").click();
  await page.getByLabel("Tick Riff 7").check();
  await page.getByLabel("Tick Riff 5").focus();
  await page.keyboard.press("Space");
  await page.getByLabel("Tick Riff 3").focus();
  await page.keyboard.press("Space");
  await bar(page).getByText("3 ticked").waitFor();
}

browserTest("three ticked riffs go out as a link, on paper and as a file", async ({ page, site }) => {
  await seven(page, site.address);
  await tickThree(page);
  assert.deepEqual(await accessibilityFindings(page, { part: "#notebook" }), []);
  await bar(page).getByRole("button", { name: "Send" }).press("Enter");
  const link = await bar(page).getByLabel("Link: The ticked riffs").inputValue();
  const { page: other } = await openProfile(site.address);
  await other.goto(link);
  await pageReady(other);
  await other.locator("dialog.link-seen").waitFor();
  assert.equal(await other.locator("dialog.link-seen figure").count(), 3);
  await takeLink(other);
  await other.getByText("3 riffs are in your notebook").waitFor();
  await button(other, "Notebook").click();
  await other.waitForFunction(([list]) => document.querySelectorAll(list).length === 4, [LIST]);
  assert.deepEqual((await names(other)).slice(0, 3), ["Riff 7", "Riff 5", "Riff 3"]);
  await saved(other);

  await page.evaluate(() => (window.print = () => {}));
  await bar(page).getByRole("button", { name: "Print…" }).click();
  await page.locator("body.printing").waitFor();
  await page.emulateMedia({ media: "print" });
  const sheet = await page.evaluate(() => document.body.innerText);
  await page.emulateMedia({ media: null });
  assert.deepEqual(sheet.match(/^Riff \d$/gm), ["Riff 7", "Riff 5", "Riff 3"]);
  await page.evaluate(() => dispatchEvent(new Event("afterprint")));
  await page.locator("body:not(.printing)").waitFor();

  const [download] = await Promise.all([
    page.waitForEvent("download"),
    bar(page).getByRole("button", { name: "Save as a file" }).click(),
  ]);
  const { records } = JSON.parse((await downloaded(download)).toString("utf8"));
  const inFile = Object.values(records).filter((record) => record.notes);
  assert.deepEqual(inFile.map((record) => record.name).sort(), ["Riff 3", "Riff 5", "Riff 7"]);
  assert.deepEqual(
    Object.keys(records).filter((id) => !/^[0-9a-f]{16}$/.test(id)),
    ["order"],
  );
});

browserTest(
  "three ticked riffs are deleted at once, and one undo brings them back to their places",
  async ({ page, site }) => {
    await seven(page, site.address);
    const before = await names(page);
    // Those that are not looked for now stay ticked.
    await tickThree(page);
    await page.getByLabel("Find a riff by its name").fill("Riff 3");
    await page.waitForFunction(([list]) => document.querySelectorAll(list).length === 1, [LIST]);
    await bar(page).getByText("3 ticked").waitFor();
    await bar(page).getByRole("button", { name: "Delete" }).click();
    // Of so few none needs to be looked for: all of them are shown.
    await page.waitForFunction(([list]) => document.querySelectorAll(list).length === 4, [LIST]);
    await page.locator("#message").getByText("The ticked riffs are deleted.").waitFor();
    await page.locator("#message").getByRole("button", { name: "Undo" }).click();
    await page.waitForFunction(([list]) => document.querySelectorAll(list).length === 7, [LIST]);
    assert.deepEqual(await names(page), before);
    await bar(page).getByText("Tick the riffs that you mean.").waitFor();
    await saved(page);
  },
);

browserTest(
  "labels are put on, looked for and taken off, and nobody else sees anything of them",
  async ({ page, site }) => {
    await seven(page, site.address);
    assert.equal(await page.getByLabel("Only with this label").isVisible(), false);
    // The way to the first label is on the card of the riff that is open.
    const ways = page.locator(LIST).getByRole("button", { name: "Label…" });
    assert.equal(await ways.count(), 1);
    await ways.click();
    await page.getByLabel("Label", { exact: true }).fill("by myself");
    await page.keyboard.press("Enter");
    await page.locator(`${LIST}.chosen`).getByText("by myself").waitFor();
    await page.getByRole("button", { name: "Take off the label “by myself”" }).click();
    await page.waitForFunction(([list]) => !document.querySelector(`${list} .labels`), [LIST]);
    await tickThree(page);
    await bar(page).getByRole("button", { name: "Label…" }).click();
    await page.keyboard.type("Tuesday group");
    await page.keyboard.press("Enter");
    await bar(page).getByText("“Tuesday group” is on.").waitFor();
    await bar(page).getByRole("button", { name: "Done" }).click();
    await card(page, "Riff 6").getByRole("button", { name: "Label…" }).click();
    await page.getByLabel("Label", { exact: true }).fill("slow");
    await page.keyboard.press("Enter");
    await card(page, "Riff 6").getByText("slow").waitFor();
    assert.deepEqual(await accessibilityFindings(page, { part: "#notebook" }), []);
    const filter = page.getByLabel("Only with this label");
    assert.deepEqual(await filter.locator("option").allTextContents(), [
      "any label, or none",
      "slow (1)",
      "Tuesday group (3)",
    ]);
    await filter.selectOption("Tuesday group");
    await page.waitForFunction(([list]) => document.querySelectorAll(list).length === 3, [LIST]);
    assert.deepEqual(await names(page), ["Riff 7", "Riff 5", "Riff 3"]);
    await saved(page);
    const kept = (await stored(page)).filter((record) => record.text.includes("Tuesday group"));
    assert.equal(kept.length, 3);

    await page.reload();
    await pageReady(page);
    await button(page, "Notebook").click();
    await filter.selectOption("Tuesday group");
    await card(page, "Riff 5").getByRole("button", { name: "Take off the label “Tuesday group”" }).click();
    await page.waitForFunction(([list]) => document.querySelectorAll(list).length === 2, [LIST]);
    await page.locator("#steps-back").getByRole("button", { name: "Undo" }).click();
    await page.waitForFunction(([list]) => document.querySelectorAll(list).length === 3, [LIST]);
    await saved(page);
  },
);

browserTest(
  "a riff that was heard and changed has an earlier version, which is heard and taken back",
  async ({ page, site }) => {
    await page.goto(site.address);
    await pageReady(page);
    await button(page, "Skip this").click();
    await button(page, "Notebook").click();
    await page.locator(LIST).getByRole("button", { name: "Practise it" }).waitFor();
    assert.equal(await page.getByRole("button", { name: "Earlier versions" }).count(), 0);
    await button(page, "Riff").click();
    const before = await page.locator("#strip .token").count();
    await key(page, 67).click();
    await page.waitForFunction((count) => document.querySelectorAll("#strip .token").length > count, before);
    await saved(page);
    assert.ok(
      (await stored(page)).some((record) => record.id.startsWith("versions-")),
      "it is kept",
    );
    await page.reload();
    await pageReady(page);
    await button(page, "Notebook").click();
    await page.locator(LIST).getByRole("button", { name: "Earlier versions" }).click();
    const earlier = page.getByRole("region", { name: "Earlier versions of Salt wind" });
    await earlier.getByText(/^Then: G .* is new\.$/).waitFor();
    assert.deepEqual(await accessibilityFindings(page, { part: "#notebook" }), []);
    await earlier.getByRole("button", { name: /^Hear it: Until/ }).click();
    await page.locator("body.playing").waitFor();
    await page.locator("body:not(.playing)").waitFor();
    await earlier.getByRole("button", { name: /^Take this one back/ }).click();
    await page.locator("#message").getByText("“Salt wind” is as it was.").waitFor();
    await button(page, "Riff").click();
    await tokens(page, before);
    await page.locator("#steps-back").getByRole("button", { name: "Undo" }).click();
    await tokens(page, before + 1);
    await saved(page);
  },
);
