// A lesson on paper: for learners, and for a teacher who is no musician. PDFs are read by pdf.js (unpdf); the picture of the
// link is read from the sheet by the core's own test of codes (tests/it/files.rs), here it is only there and large enough.
import assert from "node:assert/strict";
import { extractText, getDocumentProxy } from "unpdf";
import { openClass } from "./class-page.mjs";
import { accessibilityFindings, browserTest, openDemo, pageReady } from "./lib.mjs";
import { button } from "./riff-page.mjs";

/** @typedef {import("playwright-core").Page} Page */

/** A lesson about the demo riff, and the dialog that prints it. @param {Page} page @param {string} address */
async function askToPrint(page, address) {
  await page.goto(address);
  await pageReady(page);
  await openDemo(page);
  await openClass(page);
  await button(page, "Make a lesson").click();
  await page.getByLabel("Title", { exact: true }).fill("Leave room");
  await page.getByLabel("“I can” statements, one a line").fill("leave two beats free\nbegin late");
  await page.locator("#lesson-words").fill("Listen to the last note.");
  await button(page, "Make the link").click();
  await page.getByText("The lesson is ready.").waitFor();
  await button(page, "Print Leave room").click();
  const dialog = page.getByRole("dialog", { name: "Print the lesson" });
  await dialog.waitFor();
  return dialog;
}

/** @param {Page} page @param {string} format */
async function printed(page, format) {
  const pdf = await getDocumentProxy(new Uint8Array(await page.pdf({ format, preferCSSPageSize: false, margin: {} })));
  const { totalPages, text } = await extractText(pdf, { mergePages: false });
  return { totalPages, text: text.join(" ").replace(/\s+/g, " ") };
}

browserTest("a lesson is printed for learners, on A4 and on Letter", async ({ page, site }) => {
  const dialog = await askToPrint(page, site.address);
  assert.deepEqual(await accessibilityFindings(page), []);
  await dialog.getByLabel("Under the notes").selectOption("names");
  for (const format of ["A4", "Letter"]) {
    const { totalPages, text } = await printed(page, format);
    assert.equal(totalPages, 1, format);
    for (const part of [
      "Leave room",
      "12-bar blues",
      "Name",
      "Listen to the last note.",
      "Hear it.",
      "Clap the rhythm along with the model.",
      "At most 8 beats, leave at least 2 beats free",
      "leave two beats free",
      "begin late",
      "Porch light",
      "Open the lesson with a camera.",
      "G7 G B D F",
      "Write your own",
    ])
      assert.ok(text.includes(part), `${format}: “${part}” is missing in ${text}`);
    for (let bar = 1; bar <= 12; bar++) assert.match(text, new RegExp(`\\b${bar} ?[GCD]7`), `${format}: bar ${bar}`);
  }
  const sheet = await page.evaluate(() => {
    const millimetres = (/** @type {number} */ pixels) => (pixels / 96) * 25.4;
    const staff = /** @type {SVGSVGElement} */ (document.querySelector(".sheet .engraved"));
    const code = document.querySelector(".sheet .sheet-code svg")?.getBoundingClientRect();
    return {
      // Four spaces of ten of the library's units.
      staff: millimetres((40 * staff.clientHeight) / staff.viewBox.baseVal.height),
      code: millimetres(code?.width ?? 0),
      notes: document.querySelectorAll(".sheet .engraved-name").length,
    };
  });
  // E. Gould, *Behind Bars*, 2011, for beginners (from memory).
  assert.ok(sheet.staff >= 9.1, `a staff of ${sheet.staff} mm`);
  // A phone reads a code from ten times its width (common practice, no source): from 40 cm.
  assert.ok(sheet.code >= 40, `a code of ${sheet.code} mm`);
  assert.equal(sheet.notes, 5);
});

browserTest("a cover teacher's sheet leads through every minute", async ({ page, site }) => {
  const dialog = await askToPrint(page, site.address);
  await dialog.getByLabel("What").selectOption("cover");
  assert.equal(await dialog.getByLabel("Written").isVisible(), false);
  for (const format of ["A4", "Letter"]) {
    const { totalPages, text } = await printed(page, format);
    assert.ok(totalPages <= 2, `${format}: ${totalPages} pages`);
    for (const part of [
      "Leave room: for a cover teacher",
      "You need not read music or play anything",
      "0 to 4",
      "32 to 40",
      "Nothing is heard",
      "a short tune of a few notes",
      "How far did you come?",
    ])
      assert.ok(text.includes(part), `${format}: “${part}” is missing in ${text}`);
  }
  // The class is there again, and so is the riff's own sheet.
  await dialog.getByRole("button", { name: "Close" }).click();
  await page.keyboard.press("Escape");
  assert.match((await printed(page, "A4")).text, /How did it go\?/);
});
