// A chorus on the page: built from riffs, suggested, changed, played, passed on; by pointer and by keys alone.
import assert from "node:assert/strict";
import { accessibilityFindings, browserTest, pageReady } from "./lib.mjs";
import { button, saved, tabTo, takeLink, writeRiff } from "./riff-page.mjs";

/** @typedef {import("playwright-core").Page} Page */

const RIFFS = [
  { name: "Ferry bell", steps: [67, 70, 72, null, 70, 67, null, null] },
  { name: "Long stairs", steps: [74, 72, null, 70, 67, null, 65, 67] },
  { name: "Harbour", steps: [62, null, 67, null, 65, 67, null, null] },
];

/** Opens the page and writes three riffs. @param {Page} page @param {string} address */
async function openWithRiffs(page, address) {
  await page.goto(address);
  await pageReady(page);
  await button(page, "Skip this").click();
  for (const { name, steps } of RIFFS) {
    await writeRiff(page, steps);
    await page.getByLabel("Name of the riff").fill(name);
    await page.keyboard.press("Enter");
  }
}

/** What stands in the chorus, in words: riff, place, change, what follows. @param {Page} page */
const stands = (page) =>
  page
    .locator("#chorus-lines button[data-band]")
    .evaluateAll((bands) => bands.map((band) => band.getAttribute("aria-label")));

/** Every note on the lines: its bar, place, height and role. @param {Page} page */
const notes = (page) =>
  page
    .locator("#chorus-lines .mark")
    .evaluateAll((marks) =>
      marks.map((mark) =>
        [
          mark.closest(".bar")?.getAttribute("data-bar"),
          mark.getAttribute("style"),
          mark.querySelector("svg")?.getAttribute("class"),
        ].join(" "),
      ),
    );

/** @param {Page} page */
async function link(page) {
  await button(page, "Pass it on").click();
  const address = await page.getByLabel("Link to this chorus").inputValue();
  await page.keyboard.press("Escape");
  return address;
}

/** Once what was pressed is drawn. @param {Page} page @param {(labels: (string | null)[]) => boolean} holds */
async function until(page, holds) {
  for (let tries = 0; tries < 100; tries++) {
    const now = await stands(page);
    if (holds(now)) return now;
    await page.waitForTimeout(50);
  }
  throw new Error(`never came: ${(await stands(page)).join(" | ")}`);
}

browserTest(
  "three riffs, a suggested chorus, one change, played, passed on: elsewhere it is the same",
  async ({ page, site, context }) => {
    await openWithRiffs(page, site.address);
    await button(page, "Chorus").click();
    await page.getByText("Put a riff from your notebook into bar 1.").waitFor();
    await button(page, "Suggest a chorus").click();
    await page.locator(".idea").first().waitFor();
    // Ten at most: one that leaves another share of silence than was asked for is not offered.
    const offered = await page.locator(".idea").count();
    assert.ok(offered >= 3 && offered <= 10, `${offered} suggestions`);
    assert.equal(await page.locator("#chorus-ask .reasons p").count(), 3);
    const best = await stands(page);
    await page.locator(".idea").nth(4).click();
    await until(page, (now) => now.join() !== best.join());
    await page.locator(".idea").first().click();
    await until(page, (now) => now.join() === best.join());
    assert.deepEqual(await accessibilityFindings(page), []);
    // Beside the lines it is said that this is not one's own, and the lines look it.
    const beside = page.locator("#chorus-head .summary");
    assert.equal(await beside.textContent(), "Trying idea 1. Yours is safe.");
    const stitched = () => page.locator("#chorus-lines").evaluate((lines) => getComputedStyle(lines).outlineStyle);
    assert.equal(await stitched(), "dashed");
    await button(page, "Take it").click();
    await page.locator("#chorus-ask").waitFor({ state: "hidden" });
    assert.match((await beside.textContent()) ?? "", /riffs placed/);
    assert.equal(await stitched(), "none");

    await page.locator("#chorus-lines button[data-band]").nth(1).click();
    await button(page, "Vary it here").click();
    await page
      .getByRole("group", { name: "Ways to vary it here" })
      .getByRole("button", { name: "upside down" })
      .click();
    await until(page, (now) => /upside down/.test(now[1] ?? ""));
    // Changes come on top of each other, and go one by one.
    await button(page, "Half a step higher").click();
    await until(page, (now) => /upside down, half a step up/.test(now[1] ?? ""));
    await button(page, "Undo last change: takes the last one back").click();
    await until(page, (now) => /upside down/.test(now[1] ?? "") && !/half a step/.test(now[1] ?? ""));
    assert.deepEqual(await accessibilityFindings(page), []);

    await button(page, "Play with the band").click();
    await page.locator("#chorus-lines .bar.now").waitFor();
    await button(page, "Stop").click();
    const [here, drawn, address] = [await stands(page), await notes(page), await link(page)];
    assert.ok(new URL(address).hash.length <= 401, `${new URL(address).hash.length} characters`);
    await saved(page);

    const elsewhere = await (await fresh(context)).newPage();
    await elsewhere.goto(address);
    await pageReady(elsewhere);
    await takeLink(elsewhere);
    assert.deepEqual(await until(elsewhere, (now) => now.length === here.length), here);
    assert.deepEqual(await notes(elsewhere), drawn);
    assert.equal(new URL(await link(elsewhere)).hash, new URL(address).hash);
    await elsewhere.context().close();

    // And here it is still there after closing the page.
    await page.reload();
    await pageReady(page);
    await button(page, "Chorus").click();
    assert.deepEqual(await until(page, (now) => now.length === here.length), here);
    assert.deepEqual(await notes(page), drawn);
  },
);

/** A profile that has never seen the page. @param {import("playwright-core").BrowserContext} context */
async function fresh(context) {
  const browser = context.browser();
  if (!browser) throw new Error("the browser has gone");
  return browser.newContext({ viewport: { width: 1366, height: 620 } });
}

browserTest("a riff is dragged into a bar, along its line and to another", async ({ page, site }) => {
  await openWithRiffs(page, site.address);
  await button(page, "Chorus").click();
  const bar = (/** @type {number} */ index) => page.locator(`#chorus-lines .bar[data-bar="${index}"]`);
  const riff = page.locator(".riff-card", { hasText: "Ferry bell" }).locator(".picture");
  await drag(page, await middle(riff), await at(bar(4), 0.1));
  assert.match((await until(page, (now) => now.length === 1))[0] ?? "", /^Ferry bell, bar 5, beat 1 to/);
  const band = page.locator("#chorus-lines button[data-band]");
  const from = await middle(band);
  const width = (await bar(0).boundingBox())?.width ?? 0;
  // A beat and a half later, and a line down.
  await drag(page, from, { x: from.x + (width * 3) / 8, y: (await middle(bar(8))).y + 20 });
  assert.match((await until(page, (now) => /bar 9/.test(now[0] ?? "")))[0] ?? "", /^Ferry bell, bar 9, beat 2 and to/);
  // One drag is one step back.
  await page.locator("#steps-back").getByRole("button", { name: "Undo" }).click();
  assert.match((await until(page, (now) => /bar 5/.test(now[0] ?? "")))[0] ?? "", /^Ferry bell, bar 5, beat 1 to/);
});

browserTest(
  "by keys alone: put in, moved, changed, suggested, taken, played; and it can be listened to",
  async ({ page, site }) => {
    await openWithRiffs(page, site.address);
    await tabTo(page, "Chorus");
    await page.keyboard.press("Enter");
    await page.locator("#chorus-lines .bar").first().waitFor();
    await tabTo(page, "Put it here: Long stairs in bar 1");
    await page.keyboard.press("Enter");
    await until(page, (now) => now.length === 1);
    await tabTo(page, "Put it here: Ferry bell in bar 3");
    await page.keyboard.press("Enter");
    await until(page, (now) => now.length === 2);
    await page.locator("#chorus-head .which").focus();
    await tabTo(page, /^Ferry bell, bar 3, beat 1 to/);
    await page.keyboard.press("Shift+ArrowRight");
    await until(page, (now) => /bar 3, beat 1 and to/.test(now[1] ?? ""));
    await page.keyboard.press("PageDown");
    await until(page, (now) => /bar 4, beat 1 and to/.test(now[1] ?? ""));
    await page.keyboard.press("Shift+ArrowUp");
    await until(page, (now) => /half a step up/.test(now[1] ?? ""));
    await page.keyboard.press("ArrowLeft");
    await page.waitForFunction(() => /^Long stairs/.test(document.activeElement?.getAttribute("aria-label") ?? ""));
    await page.keyboard.press("Delete");
    await until(page, (now) => now.length === 1);

    const tree = await page.locator("#chorus").ariaSnapshot();
    for (const part of [
      /region "The chorus"/,
      /group "line 1"/,
      /button "bar 1, G seven, chord 1: free"/,
      /button "bar 5, C seven, chord 4: a riff goes on"/,
      /button "Ferry bell, half a step up, bar 4, beat 1 and to bar 5, beat 4 and"/,
      /region "Riffs to put in"/,
      /region "How it hangs together"/,
    ])
      assert.match(tree, part);

    await page.locator("#chorus-head .which").focus();
    await tabTo(page, "Suggest a chorus");
    await page.keyboard.press("Enter");
    await page.waitForFunction(() => /^Idea 1\. /.test(document.activeElement?.getAttribute("aria-label") ?? ""));
    await page.keyboard.press("Tab");
    await page.keyboard.press("Enter");
    await page.waitForFunction(() => document.querySelectorAll(".idea")[1]?.getAttribute("aria-pressed") === "true");
    const second = await stands(page);
    await tabTo(page, "Take it");
    await page.keyboard.press("Enter");
    await page.locator("#chorus-ask").waitFor({ state: "hidden" });
    assert.deepEqual(await stands(page), second);
    await tabTo(page, "Play with the band");
    await page.keyboard.press("Enter");
    await page.locator("#chorus-lines .bar.now").waitFor();
    await page.keyboard.press("Enter");
    await page.locator("#chorus-lines .bar.now").waitFor({ state: "detached" });
    assert.deepEqual(await accessibilityFindings(page), []);
  },
);

browserTest("of a chorus that is looped, what comes next is a chord of the loop", async ({ page, site }) => {
  await openWithRiffs(page, site.address);
  await button(page, "Chorus").click();
  const next = () => page.locator("#next").textContent();
  await button(page, "Play with the band").click();
  // Plain twelve bars in G: after four bars of G7 comes C7.
  await page.waitForFunction(() => /^next/.test(document.querySelector("#next")?.textContent ?? ""));
  assert.match((await next()) ?? "", /^next: C7 in 1[0-6] beats$/);
  await button(page, "Stop").click();
  await page.locator("#chorus-head .looped").click();
  await page.getByRole("group", { name: "What is looped" }).getByRole("button", { name: "bars 1 to 4" }).click();
  await button(page, "Play with the band").click();
  await page.locator('#chorus-lines .bar.now[data-bar="0"]').waitFor();
  await page.waitForFunction(() => !/^count/.test(document.querySelector("#next")?.textContent ?? ""));
  assert.equal(await next(), "", "in these four bars there is no other chord");
});

browserTest(
  "what is played freely is looked at afterwards, and an idea is kept",
  { timed: true },
  async ({ page, site }) => {
    await openWithRiffs(page, site.address);
    await button(page, "Just play").click();
    await button(page, "Play with the band").click();
    await page.locator("#form .bar.now").waitFor();
    for (const [midi, rest] of /** @type {const} */ ([
      [67, 0],
      [70, 0],
      [72, 0],
      [67, 900],
      [74, 0],
      [72, 0],
      [70, 0],
      [67, 0],
    ])) {
      const box = await page.locator(`#keyboard .key[data-midi="${midi}"]`).first().boundingBox();
      if (!box) throw new Error("no such key");
      await page.mouse.move(box.x + box.width / 2, box.y + box.height * 0.85);
      await page.mouse.down();
      await page.waitForTimeout(180);
      await page.mouse.up();
      await page.waitForTimeout(150 + rest);
    }
    await button(page, "Stop").click();
    await page.getByRole("heading", { name: "What you played" }).waitFor();
    assert.ok((await page.locator(".free-lines .token").count()) > 0);
    assert.deepEqual(await accessibilityFindings(page), []);
    await page.locator(".free-ideas button").first().click();
    await page.getByText(/^“Idea from bar \d+” is in your notebook\.$/).waitFor();
    await button(page, "Notebook").click();
    // Salt wind, with which everybody begins, the three riffs, and the idea.
    await page.locator("#notebook .card .open").nth(4).waitFor();
  },
);

browserTest(
  "looking for choruses is shown, can be stopped, and begun again",
  { context: { serviceWorkers: "block" } },
  async ({ page, site, context }) => {
    // A looker that keeps its answer to itself until it is let go, so that there is time to stop it.
    await context.route("**/workers/suggester.js", async (route) => {
      const response = await route.fetch();
      const held = `const answer = self.postMessage.bind(self), letGo = new BroadcastChannel("let go");
      self.postMessage = (found) => letGo.addEventListener("message", () => answer(found));\n`;
      await route.fulfill({ response, body: held + (await response.text()) });
    });
    const letGo = () => page.evaluate(() => new BroadcastChannel("let go").postMessage(""));
    const [looking, ideas] = [page.getByRole("progressbar", { name: "Looking for choruses" }), page.locator(".idea")];
    await openWithRiffs(page, site.address);
    await button(page, "Chorus").click();
    const workers = page.workers().length;
    await button(page, "Suggest a chorus").click();
    await looking.waitFor();
    await button(page, "Stop looking").click();
    await looking.waitFor({ state: "hidden" });
    for (let wait = 0; page.workers().length > workers && wait < 50; wait++) await page.waitForTimeout(100);
    assert.equal(page.workers().length, workers, "the looker goes on");
    await letGo();
    await page.waitForTimeout(300);
    assert.equal(await ideas.count(), 0, "what was stopped was taken all the same");
    // The page goes on: the same question again, answered this time.
    await button(page, "Ask again").click();
    await looking.waitFor();
    for (let wait = 0; (await ideas.count()) === 0 && wait < 100; wait++) {
      await letGo();
      await page.waitForTimeout(100);
    }
    const offered = await ideas.count();
    assert.ok(offered >= 3 && offered <= 10, `${offered} suggestions`);
    await looking.waitFor({ state: "hidden" });
    await button(page, "Take it").click();
    await until(page, (labels) => labels.length > 0);
  },
);

browserTest("a school laptop shows all of it, a phone scrolls only down", async ({ page, site }) => {
  await page.setViewportSize({ width: 1366, height: 620 });
  await openWithRiffs(page, site.address);
  await button(page, "Chorus").click();
  await button(page, "Suggest a chorus").click();
  await page.locator(".idea").first().waitFor();
  const fits = () =>
    page.evaluate(() => [
      document.documentElement.scrollHeight <= innerHeight,
      document.documentElement.scrollWidth <= innerWidth,
    ]);
  assert.deepEqual(await fits(), [true, true]);
  await button(page, "Take it").click();
  await page.locator("#chorus-lines button[data-band]").first().click();
  await page.locator("#chorus-chosen").waitFor();
  assert.deepEqual(await fits(), [true, true]);
  for (const width of [390, 320]) {
    await page.setViewportSize({ width, height: 844 });
    assert.equal((await fits())[1], true, `${width}`);
    const play = await button(page, "Play with the band").boundingBox();
    assert.ok(play && play.y >= 0 && play.y + play.height <= 844);
  }
});

/** @typedef {{ x: number, y: number }} Point */

/** @param {import("playwright-core").Locator} locator @param {number} fraction @returns {Promise<Point>} */
async function at(locator, fraction) {
  const box = await locator.boundingBox();
  if (!box) throw new Error("it is not on the screen");
  return { x: box.x + box.width * fraction, y: box.y + box.height / 2 };
}

/** @param {import("playwright-core").Locator} locator */
const middle = (locator) => at(locator, 0.5);

/** @param {Page} page @param {Point} from @param {Point} to */
async function drag(page, from, to) {
  await page.mouse.move(from.x, from.y);
  await page.mouse.down();
  await page.mouse.move((from.x + to.x) / 2, (from.y + to.y) / 2, { steps: 3 });
  await page.mouse.move(to.x, to.y, { steps: 3 });
  await page.mouse.up();
}
