// Every state of the page, and the way from one to the next: for the pictures (scripts/shots) and for the test of barriers.
import { openDemo, pageReady } from "./page.mjs";

/** @typedef {import("playwright-core").Page} Page */

export const press = (/** @type {Page} */ page, /** @type {string | RegExp} */ name) =>
  page
    .getByRole("button", { name, exact: typeof name === "string" })
    .first()
    .click();
const tab = (/** @type {Page} */ page, /** @type {string} */ name) => page.locator(`.tabs [data-go="${name}"]`).click();
const wait = (/** @type {Page} */ page, /** @type {string} */ selector) => page.locator(selector).first().waitFor();
/** On a phone the sentence is folded. */
const unfold = async (/** @type {Page} */ page) => {
  const brief = page.locator("#brief");
  if ((await brief.isVisible()) && (await brief.getAttribute("aria-expanded")) === "false") await brief.click();
};
const fold = async (/** @type {Page} */ page) => {
  await page.keyboard.press("Escape");
  const brief = page.locator("#brief");
  if ((await brief.isVisible()) && (await brief.getAttribute("aria-expanded")) === "true") await brief.click();
};
const panel = (/** @type {string | RegExp} */ name) => async (/** @type {Page} */ page) => {
  await fold(page);
  await unfold(page);
  await press(page, name);
};
const quiet = async (/** @type {Page} */ page) => {
  const close = page.locator("#message").getByRole("button", { name: "Close" });
  if (await close.isVisible()) await close.click();
};
const stop = async (/** @type {Page} */ page) => {
  if (await page.evaluate(() => document.body.classList.contains("playing"))) await page.locator("#play").click();
};
const leaveLarge = async (/** @type {Page} */ page) => {
  if (await page.evaluate(() => document.body.classList.contains("large"))) await page.keyboard.press("0");
};
const inNewKey = async (/** @type {Page} */ page) => {
  await panel(/^Key:/)(page);
  await page.locator(".panel:not([hidden]) .choice").nth(5).click();
  await fold(page);
};

/** Every state of the page, in the order in which one leads to the next. @type {[string, (page: Page) => Promise<unknown>][]} */
export const STATES = [
  ["first-minute", async () => {}],
  ["riff", async (page) => press(page, "Skip this")],
  [
    "riff-demo",
    async (page) => {
      await page.evaluate(() => localStorage.removeItem("riffloom first minute"));
      await page.reload();
      await pageReady(page);
      await openDemo(page);
      await press(page, "Skip this");
    },
  ],
  ["riff-note", async (page) => (await quiet(page), await page.locator("#strip .token").nth(1).click())],
  [
    "riff-staff",
    async (page) => (await page.locator("#staff > summary").click(), await wait(page, "#staff .engraved")),
  ],
  ["riff-vary", async (page) => (await page.locator("#staff > summary").click(), await press(page, "Vary"))],
  [
    "riff-varied",
    async (page) => (
      await page.locator(".panel:not([hidden]) button:not(.shut)").first().click(),
      await wait(page, "#varied:not([hidden])")
    ),
  ],
  [
    "riff-playing",
    async (page) => {
      await page.keyboard.press("Escape");
      await press(page, /Go back|Put it back|Back to the first/).catch(() => {});
      await page.locator("#play").click();
      await wait(page, "#form .bar.now");
      await page.waitForTimeout(2600);
    },
  ],
  ["riff-key-panel", async (page) => (await stop(page), await panel(/^Key:/)(page))],
  ["riff-form-panel", panel(/^Form:/)],
  ["riff-band-panel", panel(/^Who plays:/)],
  ["riff-instrument-panel", panel(/^What I play:/)],
  ["riff-empty", async (page) => (await fold(page), await press(page, "New riff"))],
  [
    "riff-neck",
    async (page) => {
      await page.locator("#steps-back button").first().click();
      await panel(/^What I play:/)(page);
      await page
        .locator(".panel:not([hidden])")
        .getByRole("button", { name: /^guitar/i })
        .click();
      await fold(page);
    },
  ],
  [
    "pass",
    async (page) => {
      await panel(/^What I play:/)(page);
      await page
        .locator(".panel:not([hidden])")
        .getByRole("button", { name: /^keyboard/i })
        .click();
      await fold(page);
      await quiet(page);
      await press(page, "Pass it on");
      await page.waitForTimeout(300);
    },
  ],
  ["help", async (page) => (await page.keyboard.press("Escape"), await press(page, "Help"))],
  [
    "large",
    async (page) => {
      await page.keyboard.press("Escape");
      // A narrow window has no large view.
      if (!(await page.locator("#large").isVisible())) return;
      await page.locator("#large").click();
      await page.locator("#play").click();
      await wait(page, "#form .bar.now");
      await page.waitForTimeout(2600);
    },
  ],
  [
    "large-nameless",
    async (page) => {
      if (await page.locator("#large").isHidden()) await page.keyboard.press("9");
    },
  ],
  [
    "practice",
    async (page) => (
      await stop(page),
      await leaveLarge(page),
      await page.keyboard.press("Escape"),
      await tab(page, "practice"),
      await wait(page, "#to-play .strip")
    ),
  ],
  [
    "practising",
    async (page) => (
      await page.locator("#play").click(),
      await wait(page, "#form .bar.now"),
      await page.waitForTimeout(1600)
    ),
  ],
  [
    "practice-after",
    async (page) => {
      // Not what is written, but near it: there is something to say.
      for (const key of "adsadagsa") {
        await page.keyboard.press(key);
        await page.waitForTimeout(330);
      }
      await page.locator("#play").click();
      await page.waitForTimeout(500);
    },
  ],
  [
    "practice-numbers",
    async (page) => {
      const numbers = page
        .locator("#after summary, #after button")
        .filter({ hasText: /numbers/i })
        .first();
      if (await numbers.isVisible()) await numbers.click();
    },
  ],
  [
    "chorus-empty",
    async (page) => (
      await tab(page, "chorus"),
      await wait(page, "#chorus-lines .bar"),
      await page.evaluate(() => scrollTo(0, 0))
    ),
  ],
  ["chorus-ideas", async (page) => (await press(page, "Suggest a chorus"), await wait(page, ".idea"))],
  ["chorus", async (page) => press(page, "Take it")],
  [
    "chorus-staff",
    async (page) => (
      await page.locator("#chorus-staff > summary").click(),
      await wait(page, "#chorus-staff .engraved"),
      await page.locator("#chorus-staff").scrollIntoViewIfNeeded()
    ),
  ],
  ["sheet-dialog", async (page) => page.locator("#chorus-staff").getByRole("button", { name: "Print…" }).click()],
  [
    "chorus-chosen",
    async (page) => (
      await page.keyboard.press("Escape"),
      await page.locator("#chorus-staff > summary").click(),
      await quiet(page),
      await page.locator("#chorus-lines button[data-band]").nth(1).click()
    ),
  ],
  ["notebook", async (page) => (await tab(page, "notebook"), await wait(page, "#notebook .card .open"))],
  [
    "look-back",
    async (page) => {
      const back = page.getByRole("button", { name: "Look back" }).first();
      if (await back.isVisible()) await back.click();
      await page.waitForTimeout(200);
    },
  ],
  [
    "just-play",
    async (page) => (
      await tab(page, "play"),
      await page.evaluate(() => scrollTo(0, 0)),
      await page.waitForTimeout(200)
    ),
  ],
  [
    "just-playing",
    async (page) => {
      await page.locator("#play").click();
      await wait(page, "#form .bar.now");
      for (const key of "adfdasdfg") {
        await page.keyboard.press(key);
        await page.waitForTimeout(300);
      }
    },
  ],
  ["just-play-after", async (page) => (await page.locator("#play").click(), await page.waitForTimeout(600))],
  ["riff-message", async (page) => (await tab(page, "riff"), await inNewKey(page))],
];
