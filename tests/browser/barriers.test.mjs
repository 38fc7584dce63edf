// No barriers on any tab and in any panel, light and dark; and what people change for themselves: a page of twice the size,
// colours of their own. The rules are those of axe-core, which stand for the Web Content Accessibility Guidelines 2.2.
import assert from "node:assert/strict";
import { accessibilityFindings, browserTest, openDemo, pageReady } from "./lib.mjs";
import { wholeSetting } from "./practice-page.mjs";
import { button } from "./riff-page.mjs";

/** @typedef {import("playwright-core").Page} Page */

const TABS = ["riff", "practice", "chorus", "notebook", "play"];
const openTab = (/** @type {Page} */ page, /** @type {string} */ tab) =>
  page.locator(`.tabs [data-go="${tab}"]`).click();

/** Two riffs and a chorus, one of its riffs chosen. @param {Page} page @param {string} address */
async function openFull(page, address) {
  await page.goto(address);
  await pageReady(page);
  await openDemo(page);
  await button(page, "Skip this").click();
  await openTab(page, "chorus");
  await button(page, "Suggest a chorus").click();
  await page.locator(".idea").first().waitFor();
  await button(page, "Take it").click();
  await page.locator("#chorus-lines button[data-band]").first().click();
}

/** What is wrong with the page, or a part of it, in light and in dark. @param {Page} page @param {string} [part] */
async function wrong(page, part) {
  const light = await accessibilityFindings(page, { part });
  await page.emulateMedia({ colorScheme: "dark" });
  const dark = await accessibilityFindings(page, { part, rules: ["color-contrast"] });
  await page.emulateMedia({ colorScheme: "light" });
  return [...light, ...dark.map((finding) => `dark: ${finding}`)];
}

browserTest("no barrier on any tab, and in no panel, light or dark", async ({ page, site, t }) => {
  await openFull(page, site.address);
  /** @type {Record<string, string[]>} */
  const findings = {};
  let panels = 0;
  for (const tab of TABS) {
    await openTab(page, tab);
    for (const fold of await page.locator("main details:not([open]) > summary").all())
      if (await fold.isVisible()) await fold.click();
    findings[tab] = await wrong(page);
    if (tab === "practice") await wholeSetting(page);
    for (const opener of await page.locator("button[aria-expanded]:not(.more)").all()) {
      if (!(await opener.isVisible())) continue;
      const name = (await opener.getAttribute("aria-label")) ?? (await opener.textContent());
      await opener.click();
      const folds = page.locator(".panel:not([hidden]) details:not([open]) > summary");
      while ((await folds.count()) > 0) await folds.first().click();
      findings[`${tab}: ${name}`] = await wrong(page, ".panel:not([hidden])");
      panels += 1;
      await page.keyboard.press("Escape");
    }
  }
  t.diagnostic(`${TABS.length} tabs, ${panels} panels`);
  assert.ok(panels >= 20, `only ${panels} panels were found`);
  assert.deepEqual(
    Object.entries(findings).filter(([, found]) => found.length > 0),
    [],
  );
});

/** Success criteria 1.4.4 and 1.4.10: at twice the size, and at 320 px, nothing is lost and nothing scrolls sideways. */
browserTest("the page can be twice as large, and its head keeps to one row", async ({ page, site }) => {
  await openFull(page, site.address);
  for (const [width, height] of /** @type {const} */ ([
    [683, 310],
    [960, 540],
    [701, 390],
    [744, 1133],
    [844, 390],
  ])) {
    await page.setViewportSize({ width, height });
    for (const tab of TABS) {
      await openTab(page, tab);
      const seen = await page.evaluate(() => ({
        across: document.documentElement.scrollWidth - innerWidth,
        head: document.querySelector(".top")?.getBoundingClientRect().height ?? 0,
        fixed: [...document.querySelectorAll("body *")]
          .filter((each) => getComputedStyle(each).position === "fixed" && each.getClientRects().length > 0)
          .reduce((sum, each) => sum + each.getBoundingClientRect().height, 0),
      }));
      assert.equal(seen.across, 0, `${tab} at ${width} scrolls sideways`);
      if (width > 700) assert.ok(seen.head <= 50, `${tab} at ${width}: the head is ${seen.head} px high`);
      else assert.ok(seen.fixed < height / 5, `${tab} at ${width}: ${seen.fixed} px of ${height} are always covered`);
    }
  }
});

/** With forced colours grounds are one colour: what is chosen must be told by something else (WCAG 1.4.11). */
browserTest(
  "with the colours of the system what is pressed is told from what is not",
  { context: { forcedColors: "active" } },
  async ({ page, site }) => {
    await openFull(page, site.address);
    const looks = (/** @type {string} */ selector) =>
      page
        .locator(selector)
        .first()
        .evaluate((each) => {
          const { backgroundColor, color, outlineStyle } = getComputedStyle(each);
          return [backgroundColor, color, outlineStyle].join(" ");
        });
    await openTab(page, "riff");
    await page.locator("#strip [role=option]").first().click();
    assert.notEqual(
      await looks('.tool[aria-label$="to a beat"][aria-pressed="true"]'),
      await looks('.tool[aria-label$="to a beat"][aria-pressed="false"]'),
    );
    assert.notEqual(await looks(".key.black"), await looks(".key.white"));
    await page.getByRole("button", { name: /^Form:/ }).click();
    assert.notEqual(await looks('.choice[aria-pressed="true"]'), await looks('.choice[aria-pressed="false"]'));
    await page.keyboard.press("Escape");
    await openTab(page, "chorus");
    await button(page, "Suggest a chorus").click();
    await page.locator(".idea").first().waitFor();
    assert.notEqual(await looks('.idea[aria-pressed="true"]'), await looks('.idea[aria-pressed="false"]'));
  },
);
