// What the page fetches after the first key: rooms that come late, do not come, or come only when they are asked for.
import assert from "node:assert/strict";
import { browserTest, pageReady } from "./lib.mjs";

/** @typedef {import("playwright-core").Page} Page */
/** @typedef {import("playwright-core").BrowserContext} BrowserContext */

/** Everything that belongs to a room. */
const LATER = /\/rooms\//;

/**
 * Holds back everything of the rooms until `let go` is called; a service worker would fetch it past the page.
 * @param {BrowserContext} context
 */
async function holdBack(context) {
  /** @type {(value?: unknown) => void} */
  let letGo = () => {};
  const held = new Promise((resolve) => (letGo = resolve));
  await context.route(LATER, async (route) => {
    await held;
    await route.continue().catch(() => {});
  });
  return () => letGo();
}

/** @param {Page} page @param {string} name */
const tab = (page, name) => page.getByRole("navigation").getByRole("button", { name, exact: true });

for (const [name, frame, filled] of /** @type {const} */ ([
  ["Practice", "#setting", "#setting .part"],
  ["Chorus", "#chorus", "#chorus-lines .bar"],
  ["Notebook", "#notebook", "#notebook .card"],
])) {
  browserTest(
    `a tap on ${name} before its room has come opens the frame, and the room fills it`,
    async ({ context, page, site }) => {
      const letGo = await holdBack(context);
      await page.goto(site.address);
      await pageReady(page);
      await tab(page, name).click();
      assert.equal(await tab(page, name).getAttribute("aria-current"), "page");
      if (name !== "Practice") await page.locator(frame).waitFor({ state: "visible" });
      assert.equal(await page.locator(filled).count(), 0, "the room was here already");
      letGo();
      await page.locator(filled).first().waitFor({ state: "visible" });
    },
  );
}

browserTest("who plays is told as soon as its room has come", async ({ context, page, site }) => {
  const letGo = await holdBack(context);
  await page.goto(site.address);
  await pageReady(page);
  await page.getByRole("button", { name: /^Who plays:/ }).click();
  const panel = page.getByRole("group", { name: "Who plays" });
  await panel.waitFor({ state: "visible" });
  assert.equal(await panel.getByRole("switch").count(), 0, "the room was here already");
  letGo();
  await panel.getByRole("switch").first().waitFor({ state: "visible" });
});

browserTest("a command is done as soon as its room has come", async ({ context, page, site }) => {
  const letGo = await holdBack(context);
  await page.goto(site.address);
  await pageReady(page);
  await page.getByRole("button", { name: "Vary", exact: true }).first().click();
  await page.locator('.ways [data-value="retrograde"]').first().click();
  assert.equal(await page.locator("#varied").isVisible(), false);
  letGo();
  await page.locator("#varied").waitFor({ state: "visible" });
});

browserTest(
  "practising that was begun before its room had come begins when it has",
  async ({ context, page, site }) => {
    const letGo = await holdBack(context);
    await page.goto(site.address);
    await pageReady(page);
    await tab(page, "Practice").click();
    await page.getByRole("button", { name: "Start practising" }).click();
    letGo();
    await page.getByRole("button", { name: "Stop", exact: true }).waitFor();
  },
);

browserTest("notes are written and the band plays before any room has come", async ({ context, page, site }) => {
  await holdBack(context);
  await page.goto(site.address);
  await pageReady(page);
  await page.locator(".key.home").first().click();
  await page.getByRole("button", { name: "Play with the band" }).click();
  await page.getByRole("button", { name: "Stop", exact: true }).waitFor();
});

browserTest(
  "a room that does not come says so, and comes when it is asked for again",
  async ({ context, page, site, problems }) => {
    problems.expect(/ERR_FAILED|Failed to fetch|net::/);
    let isBroken = true;
    await context.route(LATER, (route) => (isBroken ? route.abort() : route.continue()));
    await page.goto(site.address);
    await pageReady(page);
    await tab(page, "Chorus").click();
    await page.getByText("This part of the page did not come").waitFor();
    isBroken = false;
    await tab(page, "Riff").click();
    await tab(page, "Chorus").click();
    await page.locator("#chorus-lines .bar").first().waitFor({ state: "visible" });
  },
);

browserTest("where every byte counts, nothing comes before it is asked for", async ({ context, page, site }) => {
  await context.addInitScript(() => {
    Object.defineProperty(Navigator.prototype, "connection", { get: () => ({ saveData: true }) });
  });
  /** @type {string[]} */
  const asked = [];
  // Those of the service worker go past the page; its own list is shorter there (sw.js).
  page.on("request", (request) => request.serviceWorker() === null && asked.push(new URL(request.url()).pathname));
  await page.goto(site.address);
  await pageReady(page);
  await page.waitForTimeout(500);
  const early = asked.filter((path) => LATER.test(path));
  assert.deepEqual(early, []);
  await tab(page, "Notebook").click();
  await page.locator("#notebook .card").first().waitFor({ state: "visible" });
  assert.ok(asked.some((path) => path.includes("/rooms/notebook")));
});
