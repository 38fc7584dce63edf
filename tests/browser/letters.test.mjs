// A computer keyboard plays: from the first press, wherever the focus is, but not where a person types. That letters can be
// turned off: WCAG 2.1, success criterion 2.1.4. What each letter plays is our own (no source).
import assert from "node:assert/strict";
import { browserTest, openDemo, pageReady } from "./lib.mjs";
import { button, saved, tabTo } from "./riff-page.mjs";

/** @typedef {import("playwright-core").Page} Page */

/** Counts the sounds that a key makes: each is started at once. @param {import("playwright-core").BrowserContext} context */
async function countKeys(context) {
  await context.addInitScript(() => {
    Object.assign(window, { sounded: 0 });
    const { start } = AudioBufferSourceNode.prototype;
    AudioBufferSourceNode.prototype.start = function (when = 0, ...rest) {
      if (when - this.context.currentTime < 0.003) /** @type {any} */ (window).sounded += 1;
      return start.call(this, when, ...rest);
    };
  });
}
const sounded = (/** @type {Page} */ page) => page.evaluate(() => /** @type {any} */ (window).sounded);
const down = (/** @type {Page} */ page) =>
  page
    .locator("#keyboard .keys .key.down")
    .evaluateAll((keys) => keys.map((each) => each.querySelector("b")?.textContent));

/** Presses a letter; whether it made a sound. @param {Page} page @param {string} code */
async function sounds(page, code) {
  const before = await sounded(page);
  await page.keyboard.down(code);
  await page.waitForTimeout(120);
  const after = await sounded(page);
  await page.keyboard.up(code);
  return after > before;
}

browserTest(
  "letters sound with nothing clicked before, and say on the keys which they are",
  { prepare: countKeys },
  async ({ page, site }) => {
    await page.goto(site.address);
    await pageReady(page);
    assert.equal(
      await page.locator("#keyboard.letters").count(),
      1,
      "with a mouse and no touch screen they are there at once",
    );
    await page.keyboard.down("KeyS");
    // Three notes in G: G, B flat, C.
    await page.waitForFunction(() => document.querySelector("#keyboard .key.down b")?.textContent === "B♭");
    await page.keyboard.up("KeyS");
    assert.deepEqual(await down(page), []);
    // The very first press wakes the sound; it may be over before the device runs.
    assert.ok(await sounds(page, "KeyS"));
    assert.equal(await page.locator("#keyboard.letters .key[data-code='KeyS']").getAttribute("data-letter"), "S");
    assert.equal(await sounds(page, "KeyK"), false, "a letter without a note");
  },
);

browserTest(
  "letters sound while the band plays, whichever button has the focus; Escape stops everywhere",
  { prepare: countKeys },
  async ({ page, site }) => {
    await page.goto(site.address);
    await pageReady(page);
    for (const place of ["Riff", "Practice", "Chorus", "Just play"]) {
      await button(page, place).click();
      if (place === "Chorus") {
        await page.locator("#chorus-riffs button").first().click();
      }
      await page.locator("#play").click();
      await button(page, "Stop").waitFor();
      await button(page, "Help").focus();
      assert.ok(await sounds(page, "KeyA"), `no sound on ${place}`);
      await button(page, "Stop").waitFor();
      await page.keyboard.press("Escape");
      await button(page, "Stop").waitFor({ state: "detached" });
    }
  },
);

browserTest(
  "letters are typed where a person types; Space and Enter stay with the button",
  { prepare: countKeys },
  async ({ page, site }) => {
    await page.goto(site.address);
    await pageReady(page);
    await button(page, "New riff").click();
    const name = page.getByRole("textbox", { name: "Name of the riff" });
    await name.fill("");
    await name.focus();
    const before = await sounded(page);
    await page.keyboard.type("asd");
    assert.equal(await name.inputValue(), "asd");
    assert.equal(await sounded(page), before);
    await button(page, "Help").focus();
    await page.keyboard.press("Enter");
    await page.getByRole("region", { name: "Help" }).waitFor();
    // The switch, which is kept.
    const letters = page.getByRole("switch", { name: /Letters play notes/ });
    await letters.click();
    assert.equal(await letters.getAttribute("aria-checked"), "false");
    await page.keyboard.press("Escape");
    assert.equal(await sounds(page, "KeyA"), false);
    await page.reload();
    await pageReady(page);
    assert.equal(await sounds(page, "KeyA"), false);
    await button(page, "Help").click();
    await letters.click();
    await page.keyboard.press("Escape");
    await sounds(page, "KeyA");
    assert.ok(await sounds(page, "KeyA"));
  },
);

browserTest(
  "from the top of the page to the first written note in four presses, and it is told",
  async ({ page, site }) => {
    await page.goto(site.address);
    await pageReady(page);
    const presses = ["Tab", "Tab", "Enter", "KeyA"];
    for (const press of presses) await page.keyboard.press(press);
    await page.locator("#strip [role=option]").waitFor();
    assert.equal(await page.locator("#said").textContent(), "G, bar 1, beat 1, in the chord");
    // Nothing of keeping is said over it.
    await saved(page);
    assert.equal(await page.locator("#kept").getAttribute("role"), null);
    assert.equal(await page.locator("#said").textContent(), "G, bar 1, beat 1, in the chord");
    // After "New riff" the hands are on the keys too.
    await tabTo(page, "New riff").catch(() => page.locator(".tool", { hasText: "New riff" }).focus());
    await page.keyboard.press("Enter");
    assert.ok(await page.evaluate(() => document.activeElement?.matches("#keyboard .key.home")));
  },
);

browserTest(
  "a change of chord is said where that is wished, and nothing else while it plays",
  async ({ page, site }) => {
    await page.goto(site.address);
    await pageReady(page);
    await openDemo(page);
    // The first minute has things to say of its own.
    await button(page, "Skip this").click();
    await page.evaluate(() => {
      const said = /** @type {string[]} */ ([]);
      Object.assign(window, { said });
      const observer = new MutationObserver(() => said.push(document.querySelector("#said")?.textContent ?? ""));
      observer.observe(/** @type {Node} */ (document.querySelector("#said")), {
        childList: true,
        characterData: true,
        subtree: true,
      });
    });
    const said = () => page.evaluate(() => /** @type {any} */ (window).said);
    const bar = (/** @type {number} */ index) => page.locator(`#form .bar.now[data-bar="${index}"]`).waitFor();
    await button(page, "Play with the band").click();
    await bar(1);
    await page.keyboard.press("Escape");
    assert.deepEqual(await said(), []);
    await button(page, "Help").click();
    await page.getByRole("switch", { name: /Say each new chord/ }).click();
    await page.keyboard.press("Escape");
    await button(page, "Play with the band").click();
    await bar(3);
    await page.keyboard.press("Escape");
    // IV in bar 2, then I for two bars (common practice).
    assert.deepEqual(await said(), ["G seven", "C seven", "G seven"]);
  },
);
