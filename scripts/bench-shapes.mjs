// See scripts/bench. How far the six shapes of notes are from one another in grey, seen from far away: each is drawn by the
// page at the size of a mark in a bar and at the size of one in the large view, made grey, and blurred; printed is the mean
// absolute difference of each pair over the field of the drawing, in hundredths of the way from black to white.
//
// The blur's standard deviation is an eighth of the drawing's size: about what an eye that resolves one minute of arc (the
// "normal" line of an eye chart, ISO 8596) leaves of marks of 12 px on a laptop at three metres, and of 24 px on a picture
// of two metres at ten.
import { launch, openSite } from "../tests/browser/chromium.mjs";
import { pageReady } from "../tests/browser/page.mjs";

const NAMES = ["in the chord", "blue note", "coming next", "outside", "both", "frayed"];
const site = await openSite();
const browser = await launch();
for (const scheme of /** @type {const} */ (["light", "dark"])) {
  const page = await browser.newPage({ colorScheme: scheme });
  await page.goto(site.address);
  await pageReady(page);
  for (const size of [12, 24]) console.log(`${scheme}, ${size} px\n${table(await blurred(page, size))}`);
  await page.close();
}
await browser.close();
await site.stop();

/**
 * Each shape of the key as a field of grey, blurred.
 * @param {import("playwright-core").Page} page
 * @param {number} size of the drawing, in CSS pixels
 */
async function blurred(page, size) {
  await page.evaluate((size) => {
    document.getElementById("measured")?.remove();
    const row = document.createElement("div");
    row.id = "measured";
    row.style.cssText = `position:fixed;inset:0 auto auto 0;z-index:99;display:flex;background:var(--cloth)`;
    for (const shape of document.querySelectorAll(".legend .shape")) {
      const cell = document.createElement("i");
      cell.className = "mark";
      cell.style.cssText = `position:static;display:block;flex:none;box-sizing:content-box;padding:${size / 2}px;width:${size}px;height:${size}px`;
      cell.append(shape.cloneNode(true));
      row.append(cell);
    }
    document.body.append(row);
  }, size);
  const picture = await page.locator("#measured").screenshot();
  return page.evaluate(
    async ({ picture, size }) => {
      const image = new Image();
      image.src = `data:image/png;base64,${picture}`;
      await image.decode();
      const side = 2 * size;
      const canvas = Object.assign(document.createElement("canvas"), { width: image.width, height: image.height });
      const context = /** @type {CanvasRenderingContext2D} */ (canvas.getContext("2d"));
      // Luma as in ITU-R BT.709 is what this filter makes; the blur is a Gaussian one.
      context.filter = `grayscale(1) blur(${size / 8}px)`;
      context.drawImage(image, 0, 0);
      return Array.from({ length: Math.round(image.width / side) }, (_, index) => {
        const { data } = context.getImageData(index * side, 0, side, side);
        return Array.from({ length: side * side }, (_, at) => data[4 * at] ?? 0);
      });
    },
    { picture: picture.toString("base64"), size },
  );
}

/** @param {number[][]} shapes */
function table(shapes) {
  const apart = (/** @type {number[]} */ one, /** @type {number[]} */ other) =>
    ((100 / 255) * one.reduce((sum, grey, at) => sum + Math.abs(grey - (other[at] ?? 0)), 0)) / one.length;
  const pairs = shapes.flatMap((one, index) =>
    shapes
      .slice(index + 1)
      .map((other, more) => ({ names: `${NAMES[index]} / ${NAMES[index + 1 + more]}`, by: apart(one, other) })),
  );
  pairs.sort((a, b) => a.by - b.by);
  return pairs.map(({ names, by }) => `  ${names.padEnd(28)} ${by.toFixed(2)}`).join("\n");
}
