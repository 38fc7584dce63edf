// A sheet that the command line wrote: it opens from a folder, without a server and a network, and prints. PDFs are read by
// pdf.js (unpdf).
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import { extractText, getDocumentProxy } from "unpdf";
import { browserTest } from "./lib.mjs";

const root = fileURLToPath(new URL("../..", import.meta.url));
const riffloom = join(process.env.CARGO_TARGET_DIR ?? join(root, "target"), "debug/riffloom");
const RIFF = "X:1\nT:Porch light\nM:4/4\nL:1/8\nK:G\nd e_B=B G2 z2|\n";
const GROUND = ["--key", "G", "--form", "12-bar", "--tempo", "92", "--feel", "shuffle"];
const TWICE = '[{"riff":0,"bar":1,"quarter":0},{"riff":0,"bar":9,"quarter":0}]';

/** What stands on the pages of a PDF. @param {import("playwright-core").Page} page @param {string} format */
async function printed(page, format) {
  const pdf = await getDocumentProxy(new Uint8Array(await page.pdf({ format, preferCSSPageSize: false, margin: {} })));
  const { totalPages, text } = await extractText(pdf, { mergePages: false });
  return { totalPages, texts: text.map((each) => each.replace(/\s+/g, " ")) };
}

browserTest("a sheet of the command line prints by itself", async ({ page, problems }) => {
  const folder = mkdtempSync(join(tmpdir(), "riffloom-"));
  try {
    await page.context().setOffline(true);
    // The file itself; whatever else it asked for would be told.
    problems.expect(/^foreign request: file:.*\/sheet\.html$/);
    const [riff, out] = [join(folder, "riff.abc"), join(folder, "sheet.html")];
    writeFileSync(riff, RIFF);
    const open = async (/** @type {string[]} */ ...words) => {
      const all = ["sheet", riff, ...GROUND, "--template", join(root, "dist/sheet.html"), "--out", out, ...words];
      execFileSync(riffloom, all, { encoding: "utf8" });
      await page.goto(String(pathToFileURL(out)));
      await page.locator(".sheet .engraved").first().waitFor();
    };
    await open("--kind", "handout", "--own", "Play </script> softly.", "--under", "counts");
    assert.equal(await page.title(), "Porch light");
    for (const format of ["A4", "Letter"]) {
      const { totalPages, texts } = await printed(page, format);
      assert.equal(totalPages, 1, format);
      const [text = ""] = texts;
      for (const part of [
        "Porch light",
        "92 beats a minute",
        "Name",
        "Play </script> softly.",
        "G7 G B D F",
        "Next time",
      ])
        assert.ok(text.includes(part), `${format}: “${part}” is missing in ${text}`);
      for (let bar = 1; bar <= 12; bar++) assert.match(text, new RegExp(`\\b${bar} ?[GCD]7`), `${format}: bar ${bar}`);
    }
    // Counting: on 1, its half, on 2, its half, on 3.
    const counts = await page.locator(".sheet .engraved-name").allTextContents();
    assert.deepEqual(counts.slice(0, 5), ["1", "&", "2", "&", "3"]);
    const cut = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
    assert.ok(cut <= 0, `${cut} pixels stand out to the side`);

    await open("--kind", "band");
    const { totalPages, texts } = await printed(page, "A4");
    assert.equal(totalPages, await page.locator(".sheet-part").count(), "a page for each who reads it");
    assert.match(texts.at(-1) ?? "", /Clap on 2 and 4\./);

    await open("--placements", TWICE, "--words", "rain/roof/rain", "--kind", "card", "--part", "Bb-treble");
    const card = (await printed(page, "Letter")).texts.join(" ");
    assert.match(card, /Written for B♭ instruments, in A\./);
  } finally {
    rmSync(folder, { recursive: true });
  }
});
