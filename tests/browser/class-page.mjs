// What tests of the class do on its page.
import { button } from "./riff-page.mjs";

/** @typedef {import("playwright-core").Page} Page */

/** @param {Page} page */
export async function openClass(page) {
  await button(page, "Pass it on").click();
  await button(page, "For a class…").click();
  await page.getByRole("dialog", { name: "Class" }).waitFor();
}

/** Collects in `seen` of the window whose turn is shown on the board, in their order. @param {Page} page */
export function watchTurns(page) {
  return page.evaluate(() => {
    /** @type {string[]} */
    const seen = [];
    Object.assign(window, { seen });
    new MutationObserver(() => {
      const name = document.querySelector(".wall .answer.sounds .open b")?.textContent;
      if (name && seen.at(-1) !== name) seen.push(name);
    }).observe(document.querySelector(".wall") ?? document, { subtree: true, attributes: true });
  });
}
