// The page as one file: opened as a stick is, with no server and no network.
import assert from "node:assert/strict";
import { copyFileSync, mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import { Problems, accessibilityFindings, browserTest, pageReady } from "./lib.mjs";
import { standIn } from "./listen-page.mjs";
import { downloaded } from "./page.mjs";
import { button, notesOnStrip, saved } from "./riff-page.mjs";

const built = fileURLToPath(new URL("../../dist/riffloom.html", import.meta.url));

/**
 * A page of its own from a copy of the file, without a network; whatever it asks of one is a problem.
 * @param {import("playwright-core").Page} page
 * @param {Problems} problems
 * @param {(address: string) => Promise<void>} body
 */
async function fromStick(page, problems, body) {
  const stick = mkdtempSync(join(tmpdir(), "riffloom-"));
  const file = join(stick, "riffloom.html");
  copyFileSync(built, file);
  try {
    await page.context().setOffline(true);
    // The file itself; whatever else it asked for would be told.
    problems.expect(/^foreign request: file:.*\/riffloom\.html$/);
    await body(String(pathToFileURL(file)));
  } finally {
    rmSync(stick, { recursive: true });
  }
}

browserTest("the one file opens without a server, and keeps what is written", async ({ page, problems }) => {
  await fromStick(page, problems, async (address) => {
    await page.goto(address);
    await pageReady(page);
    await button(page, "New riff").click();
    await page.keyboard.press("a");
    await page.keyboard.press("s");
    const written = await notesOnStrip(page);
    assert.equal(written.length, 2, written.join(" | "));
    await saved(page);
    await page.reload();
    await pageReady(page);
    assert.deepEqual(await notesOnStrip(page), written);
    assert.deepEqual(await accessibilityFindings(page), []);
  });
});

browserTest("in the one file every part of the page is there", async ({ page, problems }) => {
  await fromStick(page, problems, async (address) => {
    await page.goto(address);
    await pageReady(page);
    // What each part's own script puts there.
    for (const [name, filled] of /** @type {[string, string][]} */ ([
      ["Practice", "#setting *"],
      ["Chorus", "#chorus-riffs *"],
      ["Notebook", "#notebook *"],
      ["Just play", "#free *"],
    ])) {
      await button(page, name).click();
      await page.locator(filled).first().waitFor({ state: "attached" });
    }
    await button(page, "Riff").click();
    await page.getByRole("region", { name: "The riff" }).getByText("Staff", { exact: true }).click();
    await page.locator("#staff svg").first().waitFor();
    // A sound file is made by a worker with an instance of its own.
    await button(page, "Pass it on").click();
    await button(page, "Make the file").click();
    await page.getByRole("link", { name: /^Save / }).waitFor({ timeout: 60_000 });
  });
});

browserTest("in the one file a take is recorded, kept and heard", { prepare: standIn }, async ({ page, problems }) => {
  await fromStick(page, problems, async (address) => {
    await page.goto(address);
    await pageReady(page);
    await button(page, "Just play").click();
    await button(page, "Record without it").click();
    await page
      .locator("#takes .takes-time")
      .getByText(/^0:0[2-9] of 10:00/)
      .waitFor();
    await button(page, "Stop and keep it").click();
    await page.locator("#takes .take").waitFor();
    await page.reload();
    await pageReady(page);
    await button(page, "Just play").click();
    await page
      .locator("#takes .take")
      .getByRole("button", { name: /^Hear it/ })
      .click();
    await page.locator("#takes .take").getByRole("button", { name: /^Stop/ }).waitFor();
    await page
      .locator("#takes .take")
      .getByRole("button", { name: /^Hear it/ })
      .waitFor();
    assert.equal(await page.locator("#takes .takes-trouble").textContent(), "");
  });
});

browserTest(
  "a link from the one file tells nothing of this device, and opens where it is pasted",
  async ({ page, problems }) => {
    await fromStick(page, problems, async (address) => {
      await page.goto(address);
      await pageReady(page);
      const written = await notesOnStrip(page);
      await button(page, "Pass it on").click();
      const link = await page.getByLabel("Link to this riff").inputValue();
      assert.match(link, /^riffloom\.html#[\w-]+$/);
      await page.keyboard.press("Escape");
      await button(page, "New riff").click();
      await button(page, "Pass it on").click();
      await page.getByLabel("Got a link? Paste it here").fill(link);
      await button(page, "Open").click();
      await page.waitForFunction(
        (count) => document.querySelectorAll("#strip .token").length === count,
        written.length,
      );
      assert.deepEqual(await notesOnStrip(page), written);
    });
  },
);

browserTest("the served page hands the one file out", async ({ page, site }) => {
  await page.goto(site.address);
  await pageReady(page);
  await page.locator("#help").click();
  await page.getByText("Without a network", { exact: true }).click();
  const [download] = await Promise.all([
    page.waitForEvent("download"),
    page.getByRole("link", { name: "Save Riffloom as one file" }).click(),
  ]);
  assert.equal(download.suggestedFilename(), "riffloom.html");
  assert.deepEqual(await downloaded(download), readFileSync(built));
});
