// See scripts/shots.
import { mkdirSync, readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { parseArgs } from "node:util";
import { launch, openSite } from "../tests/browser/chromium.mjs";
import { openDemo, pageReady } from "../tests/browser/page.mjs";
import { press, STATES } from "../tests/browser/states.mjs";

/** What a school laptop's browser leaves, and with fewer bars of its own; a phone, the narrowest phone, a projector. */
const SIZES = ["1366x620", "1366x768", "390x844", "320x568", "1920x1080"];
const SCHEMES = /** @type {const} */ (["light", "dark"]);

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
