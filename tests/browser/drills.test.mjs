// The drills on the page: whose turn it is, what is shown and hidden, and what is said of an answer. The rules are our own
// (no source); the core's tests hold them bar by bar.
import assert from "node:assert/strict";
import { accessibilityFindings, browserTest, pageReady } from "./lib.mjs";
import { wholeSetting } from "./practice-page.mjs";
import { button, key, setTempo, writeRiff } from "./riff-page.mjs";

/** @typedef {import("playwright-core").Page} Page */

const TEMPO = 240;

/** One riff of one note, at four beats a second. */
async function prepare(/** @type {Page} */ page) {
  await pageReady(page);
  await writeRiff(page, [67]);
  await setTempo(page, TEMPO);
  // The starter riff goes, so that there is one riff to ask for.
  await button(page, "Notebook").click();
  await page.locator(".card", { hasText: "Salt wind" }).getByRole("button", { name: "Delete" }).click();
  // What is said of it lies over the keys for a while.
  await page.locator("#message").getByRole("button", { name: "Close" }).click();
  await button(page, "Practice").click();
}

/**
 * @param {Page} page
 * @param {string} part
 * @param {string} value
 */
async function choose(page, part, value) {
  await wholeSetting(page);
  await page.getByRole("button", { name: new RegExp(`^${part}:`) }).click();
  await page.locator(`#setting .panel:not([hidden]) [data-value="${value}"]`).click();
  await page.keyboard.press("Escape");
}

const whose = (/** @type {Page} */ page, /** @type {string} */ text) =>
  page.locator(".whose", { hasText: text }).waitFor();

async function press(/** @type {Page} */ page, /** @type {number} */ midi) {
  const box = await key(page, midi).boundingBox();
  if (!box) throw new Error(`no key for ${midi}`);
  await page.mouse.click(box.x + box.width / 2, box.y + box.height * 0.85);
}

browserTest(
  "echo: the notes are hidden until asked for, and an answer by ear is heard",
  { timed: true },
  async ({ page, site }) => {
    await page.goto(site.address);
    await prepare(page);
    await choose(page, "What you do", "echo");
    await page.locator(".drill").getByText("Two bars are played; you answer them by ear.").waitFor();
    await button(page, "Start practising").click();
    await whose(page, "Listen");
    assert.equal(await page.locator(".revealed").textContent(), "");
    assert.ok(
      !(await page.locator("#to-play").isVisible()) && !(await page.locator("#form .mark").first().isVisible()),
    );
    await button(page, "Show the notes").click();
    assert.equal(await page.locator(".revealed").textContent(), "G");
    await whose(page, "Your turn");
    await press(page, 67);
    await page.locator(".drill").getByText("That was it.").waitFor();
    // The next turn asks for its own look at the notes.
    assert.equal(await page.locator(".revealed").textContent(), "");
    assert.deepEqual(await accessibilityFindings(page), []);
  },
);

browserTest("cues: a riff is called for by name or by sound", async ({ page, site }) => {
  await page.goto(site.address);
  await prepare(page);
  await choose(page, "What you do", "cues");
  await button(page, "Start practising").click();
  await page.locator(".whose", { hasText: /^(Coming: Riff of 1 note|Listen: this comes next)$/ }).waitFor();
  await page.locator(".whose", { hasText: /^(Play Riff of 1 note|Play what you heard)$/ }).waitFor();
  await press(page, 67);
  await page.locator(".drill").getByText("There it was: Riff of 1 note.").waitFor();
});

browserTest(
  "find your place: the form is out of sight, and the bar that is named is compared with the band's",
  { timed: true },
  async ({ page, site }) => {
    await page.goto(site.address);
    await prepare(page);
    await setSlow(page);
    await choose(page, "What you do", "find-place");
    await button(page, "Start practising").click();
    const bar = (/** @type {number} */ number) => page.getByRole("button", { name: `Bar ${number}`, exact: true });
    await bar(12).waitFor();
    assert.ok(!(await page.locator("#form").isVisible()) && !(await page.locator("#next").isVisible()));
    assert.deepEqual(await accessibilityFindings(page), []);
    await whose(page, "Which bar is it?");
    const said = page.locator(".drill .said-line");
    // A bar lasts three seconds: the answer tells which it is, and so which is the next.
    await bar(1).click();
    await page.waitForFunction(() => /bar \d+/.test(document.querySelector(".drill .said-line")?.textContent ?? ""));
    const was = Number(/bar (\d+)/.exec((await said.textContent()) ?? "")?.[1]);
    await page.waitForTimeout(3000);
    await bar((was % 12) + 1).click();
    await page
      .locator(".drill")
      .getByText(`Yes: that was bar ${(was % 12) + 1}.`)
      .waitFor();
    // By the keyboard too.
    await bar(((was + 5) % 12) + 1).focus();
    await page.keyboard.press("Enter");
    await page
      .locator(".drill")
      .getByText(/^That was bar/)
      .waitFor();
  },
);

/** Eighty beats a minute. */
const setSlow = async (/** @type {Page} */ page) => {
  await button(page, "Riff").click();
  await setTempo(page, 80);
  await button(page, "Practice").click();
};

browserTest(
  "taking turns: both sides are drawn on the lines, and over twelve bars the beginning alternates",
  { timed: true },
  async ({ page, site }) => {
    await page.goto(site.address);
    await prepare(page);
    await choose(page, "What you do", "fours");
    await button(page, "Start practising").click();
    await whose(page, "The band");
    const sides = () =>
      page
        .locator("#form .bar")
        .evaluateAll((bars) => bars.map((bar) => (bar instanceof HTMLElement ? bar.dataset.side : "")));
    const [band, you] = ["band", "you"].map((side) => Array.from({ length: 4 }, () => side));
    assert.deepEqual(await sides(), [band, you, band].flat());
    await page.locator('#form .bar[data-bar="0"][data-side="you"]').waitFor();
    await whose(page, "Your turn");
    assert.deepEqual(await sides(), [you, band, you].flat());
  },
);

browserTest(
  "answer me: the band replies with as many notes as were played",
  { timed: true },
  async ({ page, site }) => {
    await page.addInitScript(() => {
      const { start } = AudioBufferSourceNode.prototype;
      const begun = /** @type {number[]} */ ([]);
      Object.assign(globalThis, { begun });
      AudioBufferSourceNode.prototype.start = function (when = 0, ...rest) {
        begun.push(when);
        return start.call(this, when, ...rest);
      };
    });
    await page.goto(site.address);
    await prepare(page);
    await choose(page, "What you do", "answer");
    await choose(page, "Who plays along", "off");
    await choose(page, "The click", "none");
    await button(page, "Start practising").click();
    await whose(page, "Your turn");
    await page.evaluate(() => /** @type {any} */ (globalThis).begun.splice(0));
    await press(page, 70);
    // Two steps of the grid: an eighth lasts an eighth of a second.
    await page.waitForTimeout(400);
    await press(page, 72);
    await whose(page, "The band answers");
    await whose(page, "Your turn");
    const times = await page.evaluate(() => /** @type {any} */ (globalThis).begun);
    assert.equal(times.length, 4, "two keys, and two notes of the reply");
  },
);
