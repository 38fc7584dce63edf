// Draws www/icons/*.png from www/icons/icon.svg in Chromium: node scripts/icons.mjs (after scripts/setup test).
import { readFile } from "node:fs/promises";
import { launch } from "../tests/browser/chromium.mjs";

const icons = new URL("../www/icons/", import.meta.url);
const svg = await readFile(new URL("icon.svg", icons), "utf8");
const browser = await launch();
for (const size of [192, 512]) {
  const page = await browser.newPage({ viewport: { width: size, height: size } });
  await page.setContent(`<style>body{margin:0}svg{display:block;width:100vw}</style>${svg}`);
  await page.screenshot({ path: new URL(`icon-${size}.png`, icons).pathname });
  await page.close();
}
await browser.close();
