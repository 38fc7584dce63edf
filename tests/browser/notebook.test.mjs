// The notebook with as many riffs as it holds: only what is in sight is made, and nothing is lost by that.
import assert from "node:assert/strict";
import { accessibilityFindings, browserTest, fillNotebook, pageReady } from "./lib.mjs";
import { button, saved } from "./riff-page.mjs";

const RIFFS = 1000;
const LIST = "#notebook .cards > li";

browserTest("a thousand riffs are all listed, and those in sight are complete", async ({ page, site }) => {
  await page.goto(site.address);
  await pageReady(page);
  await fillNotebook(page, RIFFS);
  await page.reload();
  await pageReady(page);
  await button(page, "Notebook").click();
  const listed = (/** @type {number} */ count) =>
    page.waitForFunction(
      ([list, count]) => document.querySelectorAll(list).length === count,
      /** @type {const} */ ([LIST, count]),
    );
  await listed(RIFFS);
  const names = await page.locator(`${LIST} b`).allTextContents();
  assert.deepEqual(names.slice(0, 3), ["Riff 1000", "Riff 999", "Riff 998"]);
  assert.equal(new Set(names).size, RIFFS);
  const complete = () => page.locator(`${LIST} .standing`).count();
  assert.ok((await complete()) >= 8 && (await complete()) < 120, `${await complete()} cards were made`);
  assert.deepEqual(await accessibilityFindings(page, { part: "#notebook" }), []);

  // Far down: it is complete once it comes into sight, and the browser's own search finds it.
  const last = page.locator(LIST).last();
  await last.scrollIntoViewIfNeeded();
  await last.getByRole("button", { name: "Practise it" }).waitFor();
  assert.ok(
    await page.evaluate(() => /** @type {any} */ (window).find("Riff 512")),
    "the page's text has a riff that is out of sight",
  );

  // By the keyboard: from card to card, also where only the name is there yet; what takes the place of a riff that is
  // deleted has the focus, and what was deleted comes back to its place.
  await page.locator(LIST).nth(400).locator(".open").focus();
  await page.locator(LIST).nth(400).getByRole("button", { name: "Delete" }).waitFor();
  const focused = () => page.evaluate(() => document.activeElement?.querySelector("b")?.textContent);
  assert.equal(await focused(), "Riff 600", "the focus stays while the card is made");
  await page.locator(LIST).nth(400).getByRole("button", { name: "Delete" }).press("Enter");
  await listed(RIFFS - 1);
  assert.equal(await focused(), "Riff 599");
  await page.locator("#message").getByRole("button", { name: "Undo" }).click();
  await listed(RIFFS);
  assert.equal(await page.locator(`${LIST} b`).nth(400).textContent(), "Riff 600");
  await saved(page);
});

browserTest("a card follows its riff: its name, its key, its place", async ({ page, site }) => {
  await page.goto(site.address);
  await pageReady(page);
  await button(page, "Notebook").click();
  const card = page.locator(LIST, { hasText: "Salt wind" });
  await card.getByRole("button", { name: "Rename" }).click();
  await page.getByLabel("New name").fill("Harbour steps");
  await page.keyboard.press("Enter");
  await page.locator(LIST, { hasText: "Harbour steps" }).getByRole("button", { name: "Rename" }).waitFor();
  const picture = () => page.locator(`${LIST} .woven-band`).first().innerHTML();
  const before = await picture();
  await page.getByRole("button", { name: /^Key:/ }).click();
  await page.getByRole("group", { name: "Key" }).locator('[data-value="A"]').click();
  await page.keyboard.press("Escape");
  // Its cloth is of the key in which it stands, whatever key the desk is in.
  await page.getByRole("button", { name: "Key: A" }).waitFor();
  assert.equal(await picture(), before);

  // It sounds without leaving the notebook, and is practised by one tap.
  await page.locator(LIST).first().getByRole("button", { name: "Hear it" }).click();
  await button(page, "Stop").waitFor();
  assert.ok(await page.locator("#notebook").isVisible());
  await page.locator(LIST).first().getByRole("button", { name: "Practise it" }).click();
  await button(page, "Start practising").waitFor();
});
