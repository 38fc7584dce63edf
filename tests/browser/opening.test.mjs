// Whatever stands in the way, the page opens or says why it cannot.
import assert from "node:assert/strict";
import { createServer } from "node:http";
import sirv from "sirv";
import { browserTest } from "./lib.mjs";
import { pageReady } from "./page.mjs";
import { button, key, saved, writeRiff } from "./riff-page.mjs";
import { beforeThePage, riffRecord, store, stored } from "./storage-page.mjs";

const dist = new URL("../../dist/", import.meta.url);
const GOOD = riffRecord("00000000000000aa", "Ferry bell", ["G4", "Bb4"]);
/** By their ids, as texts. @param {import("./storage-page.mjs").Raw[]} records */
const byId = (records) => new Map(records.map((record) => [String(record.id), record]));

/** Records that no version of the page wrote. */
const ODD = [
  { ...riffRecord("00000000000000b1", "no revision", ["G4"]), revision: undefined },
  { ...riffRecord("00000000000000b2", "below zero", ["G4"]), revision: -1 },
  { ...riffRecord("00000000000000b3", "not whole", ["G4"]), revision: 1.5 },
  { id: 7, text: "{}", revision: 1 },
  { id: [1, "two"], text: "{}", revision: 1 },
  { id: "00000000000000b4", text: { version: 1 }, revision: 1 },
  { id: "00000000000000b5", revision: 1 },
  {
    id: "00000000000000b6",
    text: riffRecord("00000000000000b6", "half \ud83c", ["G4"]).text.replace("\\ud83c", "\ud83c"),
    revision: 1,
  },
  { id: "00000000000000b7\udc00", text: "{}", revision: 1 },
  { id: "past-00000000000000b1", text: 5, revision: 1 },
  { id: "chorus-00000000000000b8", text: null, revision: 1 },
  { id: "tune", text: "no tune", revision: 1 },
  { id: "order", text: ["00000000000000aa"], revision: 0 },
];

browserTest("odd records are left alone and told of, and storage is used all the same", async ({ page, site }) => {
  await beforeThePage(page, site.address);
  await store(page, [GOOD, ...ODD]);
  const before = byId(await stored(page));
  await page.goto(site.address);
  await pageReady(page);
  await page
    .getByText(`${ODD.length} kept items could not be read. They are left as they are. Everything else is here.`)
    .waitFor();
  assert.equal(await page.locator("#kept").textContent(), "Kept on this device");
  await key(page, 72).click({ position: { x: 10, y: 100 } });
  await page.getByRole("button", { name: /^Tempo:/ }).click();
  await page.getByRole("slider", { name: /Tempo/ }).fill("111");
  await page.keyboard.press("Escape");
  await saved(page);
  const after = byId(await stored(page));
  for (const { id } of ODD) assert.deepEqual(after.get(String(id)), before.get(String(id)));
  // What this page keeps in their place is there after a reload.
  await page.reload();
  await pageReady(page);
  await page.getByRole("button", { name: "Tempo: 111" }).waitFor();
  assert.equal(await page.locator("#strip [role=option]").count(), 3);
});

browserTest("a bad record of the order alone costs nothing", async ({ page, site }) => {
  for (const text of [5, "not an order", "\ud800"]) {
    await beforeThePage(page, site.address);
    await store(page, [GOOD, { id: "order", text, revision: 0 }]);
    await page.goto(site.address);
    await pageReady(page);
    await page.getByText("1 kept item could not be read. It is left as it is. Everything else is here.").waitFor();
    assert.equal(await page.locator("#kept").textContent(), "Kept on this device");
  }
});

browserTest("what a newer version wrote is never written over", async ({ page, site }) => {
  const newer = [
    riffRecord("00000000000000c1", "Newer", ["G4"], 2),
    { id: "chorus-00000000000000c2", text: '{"version":2,"weave":[]}', revision: 9 },
    { id: "tune", text: '{"version":2,"key":"G"}', revision: 1 },
    { id: "past-00000000000000aa", text: '{"version":2,"times":[]}', revision: 1 },
    { id: "order", text: '{"version":2,"shelves":[]}', revision: 1 },
  ];
  await beforeThePage(page, site.address);
  await store(page, [GOOD, ...newer]);
  await page.goto(site.address);
  await pageReady(page);
  // The order has no version of its own: it is one that does not read.
  await page.getByText("from a newer Riffloom. They are left as they are. Everything else is here.").waitFor();
  await writeRiff(page, [67, 70]);
  await button(page, "Chorus").click();
  await button(page, "Riff").click();
  await page.getByRole("button", { name: /^Tempo:/ }).click();
  await page.getByRole("slider", { name: /Tempo/ }).fill("87");
  await page.keyboard.press("Escape");
  await saved(page);
  const after = byId(await stored(page));
  for (const record of newer) assert.deepEqual(after.get(record.id), record);
  await page.reload();
  await pageReady(page);
  await page.getByRole("button", { name: "Tempo: 87" }).waitFor();
  assert.equal(
    await page.locator("#strip [role=option]").count(),
    2,
    "the riff that was written last lies on the desk",
  );
});

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
  await page.getByText("Without a network open riffloom.html").waitFor();
  assert.ok(await page.getByRole("button", { name: "Play with the band" }).isHidden());
});

browserTest(
  "without WebAssembly the page says so",
  {
    prepare: async (context) =>
      void (await context.addInitScript(() => delete (/** @type {any} */ (globalThis).WebAssembly))),
  },
  async ({ page, site, problems }) => {
    problems.expect(/WebAssembly/);
    await page.goto(site.address);
    await page.getByText("This browser cannot run Riffloom").waitFor();
    assert.ok(await page.getByRole("button", { name: "Play with the band" }).isHidden());
  },
);

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

browserTest(
  "where the browser refuses sound, Play says what can be done",
  {
    prepare: async (context) =>
      void (await context.addInitScript(() => {
        globalThis.AudioContext = /** @type {any} */ (
          function () {
            throw new DOMException("no more of them", "NotSupportedError");
          }
        );
      })),
  },
  async ({ page, site }) => {
    await page.goto(site.address);
    await pageReady(page);
    await button(page, "Play with the band").click();
    await page
      .getByText("This browser gives no sound now. Close other tabs or programs that use sound, then press Play again.")
      .waitFor();
    assert.equal(await page.locator("#play").textContent(), "Play with the band");
  },
);

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
  for (const [width, height] of [
    [320, 568],
    [390, 844],
    [1366, 620],
    [1920, 1080],
  ]) {
    await page.setViewportSize({ width: Number(width), height: Number(height) });
    for (const place of ["Riff", "Practice", "Chorus", "Notebook", "Just play"]) {
      await button(page, place).click();
      const over = await page.evaluate(
        () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
      );
      if (over > 0) wide.push(`${place} at ${width}: ${over} px`);
    }
  }
  assert.deepEqual(wide, []);
});

browserTest("the browser's way back leads to the part that was shown before", async ({ page, site }) => {
  await page.goto(site.address);
  await pageReady(page);
  const shown = (/** @type {string} */ place) =>
    page.waitForFunction((place) => document.body.dataset.tab === place, place);
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
