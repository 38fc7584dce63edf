// A riff as a file of music out of "Pass it on" and back through the notebook; the link as a QR code that fills the window.
// What is in the file is held by tests/it/files.rs and tests/reference.
import assert from "node:assert/strict";
import { accessibilityFindings, browserTest, downloaded, pageReady } from "./lib.mjs";
import { button, saved, writeRiff } from "./riff-page.mjs";

browserTest("a riff goes out as a file and comes back as a riff", async ({ page, site }) => {
  await page.goto(site.address);
  await pageReady(page);
  await writeRiff(page, [67, 70, 72]);
  await page.getByLabel("Name of the riff").fill("Ferry bell");
  await page.keyboard.press("Enter");
  await button(page, "Pass it on").click();
  const save = page.getByRole("button", { name: "Save “Ferry bell in G.mid”" });
  await save.waitFor();
  assert.deepEqual(await accessibilityFindings(page, { part: "#pass-panel" }), []);
  const [download] = await Promise.all([page.waitForEvent("download"), save.click()]);
  assert.equal(download.suggestedFilename(), "Ferry bell in G.mid");
  const bytes = await downloaded(download);
  assert.equal(bytes.subarray(0, 4).toString("latin1"), "MThd");
  await page.getByLabel("With the band").check();
  await page.getByRole("button", { name: /^Save “Ferry bell, 12-bar blues in G, 76\.mid”/ }).waitFor();

  await page.getByLabel("A file", { exact: true }).selectOption("musicxml");
  assert.ok(await page.getByLabel("With the band").isHidden());
  const print = page.getByRole("button", { name: "Save “Ferry bell in G.musicxml”" });
  const [printed] = await Promise.all([page.waitForEvent("download"), print.click()]);
  assert.equal(printed.suggestedFilename(), "Ferry bell in G.musicxml");
  const score = await downloaded(printed);
  assert.match(score.toString(), /<work-title>Ferry bell<\/work-title>[^]*<kind text="7">dominant<\/kind>/);

  await page.getByLabel("A file", { exact: true }).selectOption("abc");
  await page.getByRole("button", { name: "Save “Ferry bell in G.abc”" }).waitFor();

  await page.getByLabel("A file", { exact: true }).selectOption("mxl");
  const pack = page.getByRole("button", { name: "Save “Ferry bell in G.mxl”" });
  const [packed] = await Promise.all([page.waitForEvent("download"), pack.click()]);
  assert.equal((await downloaded(packed)).subarray(0, 2).toString("latin1"), "PK");

  const scan = page.locator(".scan");
  await scan.locator("summary").click();
  const code = scan.getByRole("button");
  await code.click();
  const { width, height } = /** @type {{ width: number, height: number }} */ (await code.boundingBox());
  assert.deepEqual([width, height], [1366, 768]);
  await page.keyboard.press("Escape");
  assert.equal(await code.getAttribute("aria-pressed"), "false");

  await page.keyboard.press("Escape");
  await button(page, "Notebook").click();
  const keeping = page.getByRole("region", { name: "Keep it safe" });
  await keeping.locator("input[type=file]").setInputFiles({ name: "ferry.mid", mimeType: "audio/midi", buffer: bytes });
  await keeping.getByText("“Ferry bell” is in G, in 4/4, at 76.").waitFor();
  await button(page, "Add it as a riff").click();
  await page.locator("#message").getByText("“Ferry bell” is in your notebook.").waitFor();
  await saved(page);
  assert.equal(
    (await page.locator("#notebook [data-riff] b").allTextContents()).filter((name) => name === "Ferry bell").length,
    2,
  );

  await keeping.locator("input[type=file]").setInputFiles({ name: "ferry.musicxml", mimeType: "", buffer: score });
  await keeping.getByText("A MusicXML file").waitFor();
  await button(page, "Add it as a riff").click();
  await page.locator("#message").getByText("“Ferry bell” is in your notebook.").waitFor();

  await keeping
    .locator("input[type=file]")
    .setInputFiles({ name: "ferry.mid", mimeType: "audio/midi", buffer: bytes.subarray(0, 20) });
  await keeping.getByText("This file cannot be opened").waitFor();
});
