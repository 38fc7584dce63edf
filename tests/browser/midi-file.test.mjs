// A riff as a file of music, and as a picture, out of "Pass it on" and back through the notebook; the link as a QR code that fills the window.
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
  // Where the panel has room, it lies open.
  assert.equal(await scan.evaluate((fold) => /** @type {HTMLDetailsElement} */ (fold).open), true);
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

/**
 * What is saved of a picture.
 * @param {import("playwright-core").Page} page
 * @param {string} value its value in the list
 * @param {string} name what the file is called
 */
async function picture(page, value, name) {
  await page.getByLabel("A file", { exact: true }).selectOption(value);
  const save = page.getByRole("button", { name: `Save “${name}”` });
  await save.waitFor();
  const [download] = await Promise.all([page.waitForEvent("download"), save.click()]);
  assert.equal(download.suggestedFilename(), name);
  return downloaded(download);
}

browserTest("staff and weave are saved as pictures that stand by themselves", async ({ page, site }) => {
  await page.goto(site.address);
  await pageReady(page);
  await writeRiff(page, [67, 70, 72]);
  await page.getByLabel("Name of the riff").fill("Ferry bell");
  await page.keyboard.press("Enter");
  await button(page, "Pass it on").click();
  const drawn = (await picture(page, "staff.svg", "Ferry bell in G.svg")).toString();
  const woven = (await picture(page, "weave.svg", "Ferry bell in G, weave.svg")).toString();
  // Nothing in them is left to a sheet or to the page: colours are numbers, and each lies on a ground of its own.
  for (const text of [drawn, woven]) {
    assert.doesNotMatch(text, / (class|style|id)=|var\(|currentColor/);
    assert.match(text, /^<svg [^>]*viewBox="[^"]+"[^>]*><rect [^>]*fill="rgb\(/);
  }
  assert.match(drawn, /<text [^>]*font-weight="700"[^>]*>G7<\/text>/);
  // The dark theme changes nothing on paper.
  await page.emulateMedia({ colorScheme: "dark" });
  assert.equal((await picture(page, "staff.svg", "Ferry bell in G.svg")).toString(), drawn);
  assert.equal((await picture(page, "weave.svg", "Ferry bell in G, weave.svg")).toString(), woven);

  // PNG, third edition (W3C), section 11.2.1: width and height behind the signature and the name of the first chunk. Two
  // dots for each unit of the drawing, and as the browser itself draws it: dark notes on white.
  const dots = await picture(page, "staff.png", "Ferry bell in G.png");
  assert.equal(dots.subarray(0, 16).toString("hex"), "89504e470d0a1a0a0000000d49484452");
  const [, width, height] = /width="(\d+)" height="(\d+)"/.exec(drawn) ?? [];
  assert.deepEqual([dots.readUInt32BE(16), dots.readUInt32BE(20)], [2 * Number(width), 2 * Number(height)]);
  const shares = await page.evaluate(async (text) => {
    const bytes = Uint8Array.from(atob(text), (sign) => sign.charCodeAt(0));
    const bitmap = await createImageBitmap(new Blob([bytes], { type: "image/png" }));
    const context = new OffscreenCanvas(bitmap.width, bitmap.height).getContext("2d");
    if (!context) throw new Error("no canvas");
    context.drawImage(bitmap, 0, 0);
    const { data } = context.getImageData(0, 0, bitmap.width, bitmap.height);
    let [dark, white] = [0, 0];
    for (let at = 0; at < data.length; at += 4) {
      dark += Number((data[at] ?? 0) < 64);
      white += Number((data[at] ?? 0) > 250);
    }
    return [dark, white].map((count) => count / (data.length / 4));
  }, dots.toString("base64"));
  const [dark = 0, white = 0] = shares;
  assert.ok(dark > 0.005 && dark < 0.2 && white > 0.7, String(shares));
});
