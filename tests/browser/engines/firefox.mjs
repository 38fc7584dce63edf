// Firefox, by WebDriver BiDi.
import { existsSync } from "node:fs";
import { join } from "node:path";
import puppeteer from "puppeteer-core";

const PROGRAMS = ["firefox-esr", "firefox"].flatMap((name) =>
  (process.env.PATH ?? "").split(":").map((folder) => join(folder, name)),
);

/**
 * Starts Firefox; the variable FIREFOX names another one.
 * @param {{ dark?: boolean }} options
 * @returns {Promise<import("./engine.mjs").Engine>}
 */
export async function openFirefox({ dark = false } = {}) {
  const executablePath = process.env.FIREFOX ?? PROGRAMS.find((path) => existsSync(path));
  if (!executablePath) throw new Error("no Firefox found: run scripts/setup engines, or set FIREFOX to its path");
  const browser = await puppeteer.launch({
    browser: "firefox",
    executablePath,
    headless: true,
    defaultViewport: { width: 1366, height: 620 },
    extraPrefsFirefox: {
      // Without it no sound begins on a machine that has no sound server.
      "media.cubeb.force_mock_context": true,
      "layout.css.prefers-color-scheme.content-override": dark ? 0 : 1,
    },
  });
  const [page = await browser.newPage()] = await browser.pages();
  return {
    name: await browser.version(),
    async goto(address) {
      await page.goto(address);
    },
    async reload() {
      await page.reload();
    },
    run: (body, ...rest) => /** @type {any} */ (page.evaluate(/** @type {any} */ (body), ...rest)),
    async mouse(moves) {
      for (const move of moves) {
        if (move === "down") await page.mouse.down();
        else if (move === "up") await page.mouse.up();
        else if ("to" in move) await page.mouse.move(move.to.x, move.to.y);
        else await new Promise((resolve) => setTimeout(resolve, move.wait));
      }
    },
    async press(key, shift) {
      if (shift) await page.keyboard.down(shift);
      await page.keyboard.press(/** @type {import("puppeteer-core").KeyInput} */ (key));
      if (shift) await page.keyboard.up(shift);
    },
    async resize(width, height) {
      await page.setViewport({ width, height });
    },
    picture: async () => Buffer.from(await page.screenshot()),
    close: () => browser.close(),
  };
}
