// The harness itself, on a page that plays and breaks in ways known beforehand.
import assert from "node:assert/strict";
import { fileURLToPath } from "node:url";
import { accessibilityFindings, browserTest, slowTimers, stallMainThread } from "./lib.mjs";
import { lateStarts, recording, tap, tapReady } from "./tap.mjs";

const folder = fileURLToPath(new URL("fixture", import.meta.url));

/** Frames of the context's clock that are not silent. */
function soundingFrames({ mono, firstFrame }) {
  return [...mono.keys()].filter((frame) => Math.abs(mono[frame]) > 0.1).map((frame) => firstFrame + frame);
}

browserTest(
  "the recorder hears each click in the frame it was meant for",
  { folder, prepare: tap, timed: true },
  async ({ page, site }) => {
    await page.goto(site.address);
    await page.click("#play");
    await tapReady(page);
    await page.waitForTimeout(1500);
    const heard = await recording(page);
    const meant = JSON.parse((await page.getAttribute("body", "data-frames")) ?? "[]");
    assert.deepEqual(soundingFrames(heard), meant);
    assert.equal(heard.lost, 0);
    assert.equal(heard.channels.length, 2);
    assert.equal(heard.asked.length, 8);
    assert.deepEqual(lateStarts(heard.asked, 0.005), []);
  },
);

browserTest("a start that is asked for too late is noticed", { folder, prepare: tap }, async ({ page, site }) => {
  await page.goto(site.address);
  await page.click("#play");
  await tapReady(page);
  await page.click("#late");
  assert.equal(lateStarts((await recording(page)).asked, 0.005).length, 1);
});

browserTest(
  "a stall of the main thread loses nothing of the recording",
  { folder, prepare: tap, timed: true },
  async ({ page, site }) => {
    await page.goto(site.address);
    await page.click("#play");
    await tapReady(page);
    const began = Date.now();
    await stallMainThread(page, { busy: 400, period: 500 });
    await page.waitForTimeout(700);
    await page.evaluate(() => 0);
    assert.ok(Date.now() - began >= 900, "the main thread was not blocked");
    await page.waitForTimeout(700);
    const heard = await recording(page);
    assert.equal(heard.lost, 0);
    assert.equal(soundingFrames(heard).length, 8);
  },
);

browserTest(
  "timers come as seldom as told",
  { folder, prepare: (context) => slowTimers(context, 1000), timed: true },
  async ({ page, site }) => {
    await page.goto(site.address);
    await page.waitForTimeout(2500);
    const ticks = Number(await page.textContent("#ticks"));
    assert.ok(ticks >= 1 && ticks <= 3, `${ticks} ticks in 2.5 s`);
  },
);

browserTest("the server can be stopped and come back", { folder }, async ({ context, page, site, problems }) => {
  await page.goto(site.address);
  await site.stop();
  await assert.rejects(page.goto(site.address));
  await site.start();
  const again = await context.newPage();
  await again.goto(site.address);
  assert.equal(await again.title(), "A page that the harness knows by heart");
  problems.expect(/ERR_CONNECTION/);
});

/**
 * Each problem is brought about in the page and must be among those noticed.
 * @type {[string, () => void, RegExp][]}
 */
const PROBLEMS = [
  ["an error in the console", () => console.error("oh dear"), /console: oh dear/],
  [
    "an exception",
    () =>
      void setTimeout(() => {
        throw new Error("oh no");
      }),
    /exception: .*oh no/,
  ],
  ["a rejected promise", () => void Promise.reject(new Error("not that")), /exception: .*not that/],
  ["a style that the policy forbids", () => document.body.setAttribute("style", "color: red"), /policy: style-src/],
  ["an image from elsewhere", () => void (new Image().src = "http://elsewhere.test/x.png"), /policy: img-src/],
  ["a request to elsewhere", () => void fetch("http://elsewhere.test/").catch(() => {}), /policy: connect-src/],
];
for (const [name, cause, pattern] of PROBLEMS) {
  browserTest(`${name} is a problem`, { folder }, async ({ page, site, problems }) => {
    await page.goto(site.address);
    assert.deepEqual(problems.unexpected, []);
    await page.evaluate(cause);
    await page.waitForTimeout(200);
    assert.match(problems.unexpected.join("\n"), pattern);
    problems.expect(/./);
  });
}

browserTest("axe-core finds an unnamed button, and nothing on a clean page", { folder }, async ({ page, site }) => {
  await page.goto(site.address);
  assert.deepEqual(await accessibilityFindings(page), []);
  await page.evaluate(() => document.querySelector("main")?.append(document.createElement("button")));
  assert.match((await accessibilityFindings(page)).join("\n"), /button-name/);
});
