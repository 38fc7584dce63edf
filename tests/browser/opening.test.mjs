// Whatever stands in the way, the page opens or says why it cannot.
import assert from "node:assert/strict";
import { createServer } from "node:http";
import sirv from "sirv";
import { browserTest } from "./lib.mjs";
import { pageReady } from "./page.mjs";
import { button, saved, writeRiff } from "./riff-page.mjs";

const dist = new URL("../../dist/", import.meta.url);
browserTest("the link to the keyboard is no riff", async ({ page, site }) => {
  await page.goto(`${site.address}#keyboard`);
  await pageReady(page);
  await page.keyboard.press("Tab");
  const skip = page.getByRole("link", { name: "To the keys" });
  await skip.focus();
  await page.keyboard.press("Enter");
  await page.waitForFunction(() => document.activeElement?.closest("#keyboard"));
  assert.ok(await page.locator("#message").isHidden(), (await page.locator("#message").textContent()) ?? "");
});

browserTest("opened from a file the page says where it works", async ({ page, problems }) => {
  problems.expect(/./);
  await page.goto(new URL("index.html", dist).href);
  await page.getByText("Riffloom cannot run straight from a file.").waitFor();
  assert.ok(await page.getByRole("button", { name: "Play with the band" }).isHidden());
});

browserTest("without WebAssembly the page says so", { prepare: async (context) => void (await context.addInitScript(() => delete (/** @type {any} */ (globalThis).WebAssembly))) }, async ({ page, site, problems }) => {
  problems.expect(/WebAssembly/);
  await page.goto(site.address);
  await page.getByText("This browser cannot run Riffloom").waitFor();
  assert.ok(await page.getByRole("button", { name: "Play with the band" }).isHidden());
});

browserTest("without scripts the page says so", { context: { javaScriptEnabled: false } }, async ({ page, site }) => {
  await page.goto(site.address);
  // What stands in a noscript element is passed over by searches for a text.
  const sorry = page.locator("noscript .sorry");
  await sorry.waitFor();
  assert.match((await sorry.textContent()) ?? "", /Riffloom needs JavaScript/);
  assert.ok(await page.getByRole("button", { name: "Play with the band" }).isHidden());
});

for (const part of ["app.js", "riffloom_bg.wasm"]) {
  browserTest(`where ${part} does not come, the page says so`, async ({ page, site, problems }) => {
    problems.expect(/./);
    await page.route(`**/${part}`, (route) => route.abort());
    await page.goto(site.address);
    await page.getByText("A part of Riffloom did not load.").waitFor();
    await page.unroute(`**/${part}`);
    await page.getByRole("link", { name: "try again" }).click();
    await pageReady(page);
  });
}

browserTest("under a path without its slash the page goes to the right address", async ({ t, page, problems }) => {
  const files = sirv(new URL(dist).pathname, { dev: true });
  const server = createServer((request, response) => {
    if (request.url?.split("?")[0] === "/pad") request.url = "/index.html";
    else if (request.url?.startsWith("/pad/")) request.url = request.url.slice(4);
    else return void response.writeHead(404).end();
    files(request, response);
  });
  await new Promise((resolve) => server.listen(0, "127.0.0.1", () => resolve(undefined)));
  t.after(() => server.close());
  const { port } = /** @type {import("node:net").AddressInfo} */ (server.address());
  problems.expect(/404|MIME|foreign request|Failed to load/);
  await page.goto(`http://localhost:${port}/pad?from=a-lesson`);
  await page.waitForURL(`http://localhost:${port}/pad/?from=a-lesson`);
  await pageReady(page);
});

browserTest("thirty emoji in a name make no part of the page wider than its window", async ({ page, site }) => {
  const name = "🎷".repeat(30);
  await page.goto(site.address);
  await pageReady(page);
  await writeRiff(page, [67, 70]);
  await page.getByLabel("Name of the riff").fill(name);
  await page.keyboard.press("Enter");
  await button(page, "Chorus").click();
  await page.locator("#chorus-riffs button").first().click();
  await saved(page);
  const wide = [];
  for (const [width, height] of [[320, 568], [390, 844], [1366, 620], [1920, 1080]]) {
    await page.setViewportSize({ width: Number(width), height: Number(height) });
    for (const place of ["Riff", "Practice", "Chorus", "Notebook", "Just play"]) {
      await button(page, place).click();
      const over = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
      if (over > 0) wide.push(`${place} at ${width}: ${over} px`);
    }
  }
  assert.deepEqual(wide, []);
});

browserTest("the browser's way back leads to the part that was shown before", async ({ page, site }) => {
  await page.goto(site.address);
  await pageReady(page);
  const shown = (/** @type {string} */ place) => page.waitForFunction((place) => document.body.dataset.tab === place, place);
  await button(page, "Notebook").click();
  await button(page, "Chorus").click();
  await shown("chorus");
  await page.goBack();
  await shown("notebook");
  await page.goBack();
  await shown("riff");
  await page.goForward();
  await shown("notebook");
  assert.ok(await page.locator("#notebook").isVisible());
});
