// See scripts/shots.
import { mkdirSync, readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { parseArgs } from "node:util";
import { launch, openSite } from "../tests/browser/chromium.mjs";
import { openDemo, pageReady } from "../tests/browser/page.mjs";

/** @typedef {import("playwright-core").Page} Page */

/** What a school laptop's browser leaves, and with fewer bars of its own; a phone, the narrowest phone, a projector. */
const SIZES = ["1366x620", "1366x768", "390x844", "320x568", "1920x1080"];
const SCHEMES = /** @type {const} */ (["light", "dark"]);

const press = (/** @type {Page} */ page, /** @type {string | RegExp} */ name) =>
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
const STATES = [
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
      await page.locator(".panel:not([hidden]) button").first().click(),
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

const { values } = parseArgs({
  options: {
    size: { type: "string" },
    scheme: { type: "string" },
    only: { type: "string" },
    out: { type: "string" },
    sheet: { type: "boolean" },
  },
});
const wanted = (/** @type {string | undefined} */ said, /** @type {readonly string[]} */ all) =>
  said?.split(",") ?? all;
const folder = values.out ?? fileURLToPath(new URL("../target/shots/", import.meta.url));
mkdirSync(folder, { recursive: true });
const site = await openSite();
const browser = await launch();
for (const size of wanted(values.size, SIZES))
  for (const scheme of wanted(values.scheme, SCHEMES)) await walk(size, /** @type {"light" | "dark"} */ (scheme));
if (!values.only && !values.size) await pictureForReadme();
await browser.close();
await site.stop();

/**
 * Goes from state to state, and takes a picture of each that is asked for.
 * @param {string} size
 * @param {"light" | "dark"} colorScheme
 */
async function walk(size, colorScheme) {
  const [width = 0, height = 0] = size.split("x").map(Number);
  const context = await browser.newContext({
    viewport: { width, height },
    colorScheme,
    reducedMotion: "reduce",
    hasTouch: width < 701,
  });
  const page = await context.newPage();
  page.setDefaultTimeout(12_000);
  page.on("pageerror", (error) => console.error(`${size} ${colorScheme}: ${error.message}`));
  await page.goto(site.address);
  await pageReady(page);
  const only = wanted(
    values.only,
    STATES.map(([name]) => name),
  );
  const last = STATES.findLastIndex(([name]) => only.includes(name));
  /** @type {string[]} */
  const taken = [];
  for (const [name, goThere] of STATES.slice(0, last + 1)) {
    try {
      await goThere(page);
    } catch (error) {
      console.error(`${size} ${colorScheme} ${name}: ${String(error).split("\n")[0]}`);
    }
    if (!only.includes(name)) continue;
    await page.mouse.move(0, 0);
    const path = `${folder}/${name}-${size}-${colorScheme}.png`;
    await page.screenshot({ path });
    taken.push(path);
  }
  console.log(`${size} ${colorScheme}: ${taken.length} pictures in ${folder}`);
  if (values.sheet) await sheet(taken, width, `${folder}/sheet-${size}-${colorScheme}`);
  await context.close();
}

/**
 * Puts pictures side by side, a few on each sheet, so that they can be looked at together.
 * @param {string[]} paths
 * @param {number} width of each
 * @param {string} name
 */
async function sheet(paths, width, name) {
  const each = width < 701 ? 6 : 4;
  const columns = width < 701 ? 6 : 2;
  const page = await browser.newPage({ viewport: { width: width < 701 ? columns * (width + 12) : 1900, height: 400 } });
  for (let first = 0; first < paths.length; first += each) {
    const pictures = paths.slice(first, first + each).map((path) => {
      const title = path.slice(path.lastIndexOf("/") + 1);
      return `<figure><figcaption>${title}</figcaption><img src="data:image/png;base64,${readFileSync(path).toString("base64")}"></figure>`;
    });
    await page.setContent(
      `<style>body{margin:0;background:#888;display:grid;gap:8px;grid-template-columns:repeat(${columns},1fr);font:14px sans-serif}figure{margin:0}img{width:100%;display:block}</style>${pictures.join("")}`,
    );
    await page.screenshot({ path: `${name}-${first / each + 1}.png`, fullPage: true });
  }
  await page.close();
}

/** The picture in README.md: the demo riff and the words about it. */
async function pictureForReadme() {
  const page = await browser.newPage({ viewport: { width: 1366, height: 768 }, reducedMotion: "reduce" });
  await page.goto(site.address);
  await pageReady(page);
  await openDemo(page);
  await press(page, "Skip this");
  await page.getByText("What you hear").first().waitFor();
  if (
    !(await page
      .locator("#words > details")
      .first()
      .evaluate((each) => /** @type {HTMLDetailsElement} */ (each).open))
  )
    await page.locator("#words > details > summary").first().click();
  await page.screenshot({ path: fileURLToPath(new URL("riffloom.png", import.meta.url)) });
  console.log("scripts/riffloom.png");
  await page.close();
}
