// See scripts/shots.
import { mkdirSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { launch, openSite } from "../tests/browser/chromium.mjs";
import { pageReady } from "../tests/browser/page.mjs";

/** What a school laptop's browser leaves, a phone, the narrowest phone, a projector. */
const SIZES = [
  { width: 1366, height: 620 },
  { width: 1366, height: 768 },
  { width: 390, height: 844 },
  { width: 320, height: 568 },
  { width: 1920, height: 1080 },
];
const SCHEMES = /** @type {const} */ (["light", "dark"]);

const folder = fileURLToPath(new URL("../target/shots/", import.meta.url));
mkdirSync(folder, { recursive: true });
const site = await openSite();
const browser = await launch();
for (const viewport of SIZES) {
  for (const colorScheme of SCHEMES) {
    const context = await browser.newContext({ viewport, colorScheme, reducedMotion: "reduce" });
    const page = await context.newPage();
    await page.goto(site.address);
    await pageReady(page);
    const name = `${viewport.width}x${viewport.height}-${colorScheme}.png`;
    await page.screenshot({ path: folder + name });
    console.log(`target/shots/${name}`);
    await context.close();
  }
}
await pictureForReadme();
await browser.close();
await site.stop();

/** The picture in README.md: the demo riff with its words open. */
async function pictureForReadme() {
  const page = await browser.newPage({ viewport: { width: 1366, height: 768 }, reducedMotion: "reduce" });
  await page.goto(site.address);
  await pageReady(page);
  await page.getByRole("button", { name: "I’m on my way" }).click();
  await page.getByRole("button", { name: "Notebook" }).click();
  await page.getByRole("button", { name: "Add the demo riff" }).click();
  await page.locator("#words > details > summary").first().click();
  await page.screenshot({ path: fileURLToPath(new URL("riffloom.png", import.meta.url)) });
  console.log("scripts/riffloom.png");
  await page.close();
}
