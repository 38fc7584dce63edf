// The whole notebook as one file: one press writes it, another profile reads it, and the second time nothing is doubled.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { accessibilityFindings, browserTest, downloaded, openProfile, pageReady } from "./lib.mjs";
import { button, saved, writeRiff } from "./riff-page.mjs";

/** @typedef {import("playwright-core").Page} Page */

const section = (/** @type {Page} */ page) => page.getByRole("region", { name: "Keep it safe" });
const names = (/** @type {Page} */ page) => page.locator("#notebook [data-riff] b").allTextContents();

/**
 * @param {Page} page
 * @param {string} name
 */
async function writeNamed(page, name) {
  await writeRiff(page, [67, 70]);
  await page.getByLabel("Name of the riff").fill(name);
  await page.keyboard.press("Enter");
}

async function saveAll(/** @type {Page} */ page) {
  const [download] = await Promise.all([
    page.waitForEvent("download"),
    section(page).getByRole("button", { name: "Save it all to a file" }).click(),
  ]);
  return { name: download.suggestedFilename(), text: (await downloaded(download)).toString("utf8") };
}

/**
 * @param {Page} page
 * @param {string} name
 * @param {string} text
 */
async function open(page, name, text) {
  await section(page)
    .locator("input[type=file]")
    .setInputFiles({ name, mimeType: "application/json", buffer: Buffer.from(text) });
  await section(page).locator(".opened").waitFor();
  return (await section(page).locator(".opened p").allTextContents()).join(" ");
}

browserTest("one press saves all of it, and another device has it with two", async ({ page, site }) => {
  await page.goto(site.address);
  await pageReady(page);
  await writeNamed(page, "Ferry bell");
  await button(page, "Notebook").click();
  await saved(page);
  await section(page).getByText("on this device only").waitFor();
  const { name, text } = await saveAll(page);
  assert.match(name, /^Riffloom notebook \d{4}-\d\d-\d\d\.json$/);
  const { riffloom, records } = JSON.parse(text);
  assert.equal(riffloom, "notebook");
  assert.ok(Object.values(records).some((record) => record.name === "Ferry bell"));
  await section(page).getByText("You saved it to a file today.").waitFor();

  const { page: other, problems } = await openProfile(site.address);
  await other.goto(site.address);
  await pageReady(other);
  await writeNamed(other, "Stile");
  await button(other, "Notebook").click();
  const told = await open(other, name, text);
  assert.match(told, /It holds \d riffs?\./);
  assert.deepEqual(await accessibilityFindings(other, { part: ".keeping" }), []);
  assert.ok(!(await names(other)).includes("Ferry bell"), "nothing comes before it is asked for");
  await button(other, "Bring it into my notebook").click();
  await other
    .locator("#message")
    .getByText(/came in/)
    .waitFor();
  const both = await names(other);
  assert.ok(both.includes("Ferry bell") && both.includes("Stile"));
  assert.equal(both.filter((each) => each === "Salt wind").length, 1, "the starter is not doubled");
  await saved(other);

  // A reload keeps it, and the same file brings nothing more.
  await other.reload();
  await pageReady(other);
  await button(other, "Notebook").click();
  await other.locator("#notebook [data-riff] b").getByText("Ferry bell").waitFor();
  assert.match(await open(other, name, text), /All of it is here already/);
  await section(other).getByRole("button", { name: "Close" }).click();
  assert.deepEqual(problems.unexpected, []);
  await other.context().close();
});

browserTest("a file as the first version wrote it reads, and what is none says why", async ({ page, site }) => {
  await page.goto(site.address);
  await pageReady(page);
  await button(page, "Notebook").click();
  assert.match(await open(page, "holiday.json", '{"riffloom": "notebook", "ver'), /damaged/);
  assert.match(await open(page, "holiday.json", '{"hotel": 1}'), /holds no Riffloom notebook/);
  const first = readFileSync(new URL("../data/records/notebook-1.json", import.meta.url), "utf8");
  assert.match(await open(page, "notebook.json", first), /It holds 3 riffs and 1 chorus\./);
  await button(page, "Bring it into my notebook").click();
  await page.locator("#notebook [data-riff] b").getByText("Porch light").waitFor();
  await saved(page);
  await page.reload();
  await pageReady(page);
  await button(page, "Notebook").click();
  await page.locator("#notebook [data-riff] b").getByText("Porch light").waitFor();
  await page.locator("#choruses").getByText("Slow gate").first().waitFor();
});
