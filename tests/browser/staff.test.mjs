// Riff and chorus on a staff, and sheets of paper. What is written is checked in tests/it/notation.rs; here, that it is
// drawn, said, remembered and printed. PDFs are read by pdf.js (unpdf).
import assert from "node:assert/strict";
import { extractText, getDocumentProxy } from "unpdf";
import { browserTest, openDemo, pageReady } from "./lib.mjs";
import { button } from "./riff-page.mjs";

/** @typedef {import("playwright-core").Page} Page */

/** The demo riff on the Riff tab, and nothing else. @param {Page} page @param {string} address */
async function openRiff(page, address) {
  await page.goto(address);
  await pageReady(page);
  await openDemo(page);
  await button(page, "Skip this").click();
  await page.locator("#strip .token").first().waitFor();
  await page.locator("#message").getByRole("button", { name: "Close" }).click();
}

/** @param {Page} page */
async function openStaff(page) {
  await page.locator("#staff > summary").click();
  await page.locator("#staff .engraved").waitFor();
}

/** The bars as they are said. @param {Page} page */
const said = async (page) => (await page.locator("#staff li").allTextContents()).join(" ");

browserTest("the staff opens under the strip, follows the riff, and is open the next time", async ({ page, site }) => {
  await openRiff(page, site.address);
  assert.equal(await page.locator("#staff .engraved").count(), 0);
  await openStaff(page);
  // Every note and every rest that is said is drawn; the library marks both with a class of its own.
  const words = await said(page);
  const symbols = await page.locator("#staff .engraved .vf-stavenote").count();
  assert.equal(symbols, words.match(/ note [A-G]| rest/g)?.length);
  assert.equal(words.match(/ note [A-G]/g)?.length, await page.locator("#strip .token").count());
  assert.match(
    words,
    /^Bar 1, G seven\. Eighth rest, eighth note D 5, eighth note E 5, .*eighth note B flat 4, accented/,
  );
  // One note fewer on the strip is one fewer here.
  await page.locator("#strip .token").last().click();
  await button(page, "Delete").click();
  await page.waitForFunction(() => !document.querySelector("#staff ol")?.textContent?.includes("note G"));
  await page.reload();
  await pageReady(page);
  await page.locator("#staff .engraved").waitFor();
  await page.locator("#staff > summary").click();
  await page.locator("#staff .engraved").waitFor({ state: "hidden" });
});

browserTest(
  "a part for others is written in their pitch and clef, and the names under the notes follow",
  async ({ page, site }) => {
    await openRiff(page, site.address);
    await openStaff(page);
    await page.getByLabel("Under the notes").first().selectOption("names");
    const names = () => page.locator("#staff .engraved-name").allTextContents();
    const concert = await names();
    assert.deepEqual(concert.slice(0, 3), ["D", "E", "B♭"]);
    await page.getByLabel("Written for").first().selectOption("Bb-treble");
    // A tone higher: common practice for instruments in B♭.
    await page.waitForFunction(() => document.querySelector("#staff .engraved-name")?.textContent === "E");
    assert.deepEqual((await names()).slice(0, 3), ["E", "F♯", "C"]);
    await page.getByText("Written for B♭ instruments, in A.").waitFor();
  },
);

browserTest("strings and fingers stand under the notes, are said, and go on the sheet", async ({ page, site }) => {
  await openRiff(page, site.address);
  await openStaff(page);
  const notes = await page.locator("#strip .token").count();
  const under = page.getByLabel("Under the notes").first();
  await under.selectOption("guitar");
  await page.locator("#staff .engraved-fret").first().waitFor();
  assert.equal(await page.locator("#staff .engraved-fret").count(), notes);
  assert.equal((await said(page)).match(/string \d/g)?.length, notes);
  await under.selectOption("recorder");
  // Eight holes a note, and the half that is closed of a pinched one.
  await page.locator("#staff .engraved-fret").first().waitFor({ state: "detached" });
  assert.equal(await page.locator("#staff .engraved > circle").count(), 8 * notes);
  assert.match(await said(page), /eighth note E 5, pinched thumb 1 2 3 4 5/);
  await under.selectOption("trumpet");
  await page.locator("#staff .engraved > circle").first().waitFor({ state: "detached" });
  assert.deepEqual(await page.locator("#staff .engraved-name").allTextContents(), ["0", "2", "0", "1 2", "1 2"]);
  // As it is on the page it is printed, unless another is chosen there.
  await page.locator("#staff").getByRole("button", { name: "Print…" }).click();
  const dialog = page.getByRole("dialog", { name: "Print a sheet" });
  assert.equal(await dialog.getByLabel("Under the notes").inputValue(), "trumpet");
  await dialog.getByLabel("Under the notes").selectOption("ukulele");
  const { text } = await extractText(await getDocumentProxy(new Uint8Array(await page.pdf())), { mergePages: true });
  assert.match(text, /Ukulele tablature/);
});

for (const [width, height] of /** @type {const} */ ([
  [1366, 620],
  [390, 844],
  [320, 568],
])) {
  browserTest(
    `with the staff open the page fits ${width} by ${height}`,
    { context: { viewport: { width, height } } },
    async ({ page, site }) => {
      await openRiff(page, site.address);
      await openStaff(page);
      const seen = await page.evaluate(() => ({
        across: document.documentElement.scrollWidth - innerWidth,
        keys: document.querySelector("#keyboard")?.getBoundingClientRect().bottom ?? 0,
        staff: document.querySelector("#staff .engraved")?.getBoundingClientRect().right ?? 0,
      }));
      assert.equal(seen.across, 0);
      assert.ok(seen.staff <= width, `the staff ends at ${seen.staff}`);
      if (width > 1000) assert.ok(seen.keys <= height, `the keys end at ${seen.keys}`);
    },
  );
}

browserTest(
  "with tablature or fingers under the staff the keys stay in sight on a school laptop",
  { context: { viewport: { width: 1366, height: 768 } } },
  async ({ page, site }) => {
    await openRiff(page, site.address);
    await openStaff(page);
    for (const under of ["names", "counts", "guitar", "ukulele", "recorder", "alto-sax", "trumpet"]) {
      await page.getByLabel("Under the notes").first().selectOption(under);
      await page.waitForTimeout(100);
      const keys = await page.evaluate(() => document.querySelector("#keyboard")?.getBoundingClientRect().bottom ?? 0);
      assert.ok(keys > 0 && keys <= 768, `${under}: the keys end at ${keys}`);
    }
  },
);

/** What a sheet says, page by page. @param {Page} page @param {string} format */
async function printed(page, format) {
  const pdf = await getDocumentProxy(new Uint8Array(await page.pdf({ format, preferCSSPageSize: false, margin: {} })));
  const { totalPages, text } = await extractText(pdf, { mergePages: false });
  return { totalPages, text: text.join(" ").replace(/\s+/g, " ") };
}

for (const colorScheme of /** @type {const} */ (["light", "dark"])) {
  browserTest(
    `a riff is one page on A4 and on Letter, with everything on it, from the ${colorScheme} theme`,
    { context: { colorScheme } },
    async ({ page, site }) => {
      await openRiff(page, site.address);
      await openStaff(page);
      await button(page, "Print…").first().click();
      await page.getByLabel("What", { exact: true }).selectOption("handout");
      await page.locator("#sheet-words").fill("Play it twice. Leave room in bar four.");
      for (const format of ["A4", "Letter"]) {
        const { totalPages, text } = await printed(page, format);
        assert.equal(totalPages, 1, format);
        for (const part of [
          "Porch light",
          "12-bar blues",
          "92 beats a minute",
          "Name",
          "Play it twice. Leave room in bar four.",
          "How did it go?",
          "What went well",
          "G7 G B D F",
          "C7 C E G B♭",
          "Write your own",
        ]) {
          assert.ok(text.includes(part), `${format}: “${part}” is missing in ${text}`);
        }
        // Twelve bars of the form, by their numbers.
        for (let bar = 1; bar <= 12; bar++)
          assert.match(text, new RegExp(`\\b${bar} ?[GCD]7`), `${format}: bar ${bar}`);
      }
      const paper = await page.evaluate(
        () => getComputedStyle(/** @type {Element} */ (document.querySelector(".sheet"))).color,
      );
      assert.equal(paper, "rgb(0, 0, 0)");
      // The page itself comes back.
      assert.equal(await page.evaluate(() => document.body.classList.contains("printing")), false);
    },
  );
}

browserTest("a chorus is one page, and a card a quarter of one", async ({ page, site }) => {
  await openRiff(page, site.address);
  await page.locator('.tabs [data-go="chorus"]').click();
  await button(page, "Suggest a chorus").click();
  await page.locator(".idea").first().waitFor();
  await button(page, "Take it").click();
  await page.locator("#chorus-staff > summary").click();
  await page.locator("#chorus-staff .engraved").waitFor();
  await page.locator("#chorus-staff").getByRole("button", { name: "Print…" }).click();
  const { totalPages, text } = await printed(page, "Letter");
  assert.equal(totalPages, 1);
  assert.match(text, /How did it go\?/);
  await page.getByLabel("What", { exact: true }).selectOption("card");
  assert.equal((await printed(page, "A4")).totalPages, 1);
});

/** How high the staves of the sheet are, in millimetres: four spaces of ten of the library's units. @param {Page} page */
const staves = (page) =>
  page.locator(".sheet .engraved").evaluateAll((all) =>
    all.map((each) => {
      const drawing = /** @type {SVGSVGElement} */ (each);
      return (((40 * drawing.clientHeight) / drawing.viewBox.baseVal.height) * 25.4) / 96;
    }),
  );

browserTest("a band's parts are pages for those who are chosen, and claps are there once", async ({ page, site }) => {
  await openRiff(page, site.address);
  await openStaff(page);
  await button(page, "Print…").first().click();
  await page.getByLabel("What", { exact: true }).selectOption("band");
  // Of those to choose from, "as I read it" is one of the others.
  const readers = (await page.locator("#sheet-part option").count()) - 1;
  assert.ok(!(await page.locator("#sheet-part").isVisible()), "a choice that changes nothing");
  const times = (/** @type {string} */ text, /** @type {string} */ part) => text.split(part).length - 1;
  for (const format of ["A4", "Letter"]) {
    const { text, totalPages } = await printed(page, format);
    assert.equal(totalPages, readers + 1, `${format}: a riff's parts are a page each`);
    for (const part of ["Two-note chords", "Bass, one note a chord", "Bass, two notes a chord"])
      assert.equal(times(text, part), readers, `${format}: “${part}”`);
    assert.equal(times(text, "Clap on 2 and 4"), 1, format);
  }
  // What single parts are printed in: E. Gould, *Behind Bars*, 2011 (from memory).
  assert.ok(Math.min(...(await staves(page))) >= 6.9, `${await staves(page)}`);
  const pages = page.locator(".sheet .sheet-part");
  assert.equal(await pages.count(), readers + 1);
  const heads = (/** @type {import("playwright-core").Locator} */ from) =>
    from.locator(".engraved").evaluateAll((all) => all.map((each) => each.querySelectorAll(".vf-notehead").length));
  const sum = (/** @type {number[]} */ all) => all.reduce((one, other) => one + other, 0);
  // By hand for twelve bars of four: two notes a bar, a root, a root and a fifth, after the riff's own.
  const riff = await page.locator("#staff .engraved .vf-notehead").count();
  assert.equal(sum(await heads(pages.first())), riff + 24 + 12 + 24);
  // Two claps and two rests a bar (drawn as heads are).
  assert.equal(sum(await heads(pages.last())), 48);
  // Only those that are ticked.
  const choose = page.getByRole("group", { name: "A page for those who read it" });
  for (const box of await choose.getByRole("checkbox").all()) await box.uncheck();
  assert.equal(await page.getByRole("dialog").getByRole("button", { name: "Print" }).isDisabled(), true);
  await page.getByText("Tick a page first.").waitFor();
  await choose.getByLabel("for B♭ instruments").check();
  await choose.getByLabel("claps").check();
  await printed(page, "A4");
  assert.equal(await pages.count(), 2);
});

browserTest(
  "a long chorus goes on to a second page, its staff as large, and nothing is cut",
  async ({ page, site }) => {
    await openRiff(page, site.address);
    await page.locator('.tabs [data-go="chorus"]').click();
    await button(page, "Suggest a chorus").click();
    await page.locator(".idea").first().waitFor();
    await button(page, "Take it").click();
    for (let time = 1; time < 3; time++) await button(page, "Once more through the form").click();
    await page.locator("#chorus-staff > summary").click();
    await page.locator("#chorus-staff .engraved").waitFor();
    await page.locator("#chorus-staff").getByRole("button", { name: "Print…" }).click();
    for (const kind of ["handout", "band", "card"]) {
      await page.getByLabel("What", { exact: true }).selectOption(kind);
      for (const format of ["A4", "Letter"]) {
        const { text } = await printed(page, format);
        assert.match(text, /D7/, `${kind}, ${format}`);
        // No line of a staff is higher than a page, and none is cut at its foot.
        const cut = await page
          .locator(".sheet .sheet-card")
          .evaluateAll((cards) => cards.filter((card) => card.scrollHeight > card.clientHeight).length);
        assert.equal(cut, 0, kind);
      }
      const least = { handout: 7.8, band: 6.9, card: 5.2 }[kind] ?? 0;
      assert.ok(Math.min(...(await staves(page))) >= least, `${kind}: ${await staves(page)}`);
    }
  },
);
