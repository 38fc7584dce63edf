// The shelf in the notebook: riffs and choruses to start from, heard before they are taken.
import assert from "node:assert/strict";
import { accessibilityFindings, browserTest, pageReady } from "./lib.mjs";
import { button } from "./riff-page.mjs";

const LIST = "#notebook .cards > li";

browserTest("a riff of the shelf is heard, taken and undone", async ({ page, site }) => {
  await page.goto(site.address);
  await pageReady(page);
  await button(page, "Notebook").click();
  await page.getByText("Riffs to start from").click();
  await page.getByRole("button", { name: "Hear it: Low hill" }).waitFor();
  assert.equal(await page.locator(".starters .steps .step").count(), 4);
  assert.equal(await page.locator(".starters .steps li").count(), 24);
  assert.equal(await page.locator(".starters .shelved li").count(), 24 + 8);
  assert.deepEqual(await accessibilityFindings(page, { part: "#notebook" }), []);
  const before = await page.locator(LIST).count();

  await page.getByRole("button", { name: "Hear it: Low hill" }).click();
  await page.getByRole("button", { name: "Stop" }).first().waitFor();
  assert.equal(await page.locator(LIST).count(), before, "hearing takes nothing");
  await page.getByRole("button", { name: "Stop" }).first().click();

  await page.getByRole("button", { name: "Take it: Low hill" }).click();
  await page.locator("#message").getByText("“Low hill” is in your notebook.").waitFor();
  await page.waitForFunction(
    ([list, count]) => document.querySelectorAll(list).length === count,
    /** @type {const} */ ([LIST, before + 1]),
  );
  assert.equal(await page.locator(`${LIST} b`).first().textContent(), "Low hill");
  await page.locator("#steps-back").getByRole("button", { name: "Undo" }).click();
  await page.waitForFunction(
    ([list, count]) => document.querySelectorAll(list).length === count,
    /** @type {const} */ ([LIST, before]),
  );

  await page.getByRole("button", { name: "Take it: Room to breathe" }).click();
  await page.locator("#chorus").waitFor();
});

browserTest("an empty riff has a door to the shelf, and one with notes has none", async ({ page, site }) => {
  await page.goto(site.address);
  await pageReady(page);
  await button(page, "Skip this").click();
  const door = button(page, "or start from a ready riff");
  assert.ok(await door.isHidden(), "a riff with notes has a door");
  await button(page, "New riff").click();
  await door.click();
  await page.locator("#notebook .starters[open] .steps li").first().waitFor();
  assert.equal(await page.evaluate(() => document.activeElement?.closest(".starters")?.tagName), "DETAILS");
  await page.getByRole("button", { name: "Take it: Low hill" }).click();
  await page.locator("#message").getByText("“Low hill” is in your notebook.").waitFor();
  await button(page, "Riff").click();
  await page.locator("#strip .token").first().waitFor();
  assert.ok(await door.isHidden(), "the door stays where it leads nowhere");
});
