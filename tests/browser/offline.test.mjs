// The page without a network, and the change to a newer version.
import assert from "node:assert/strict";
import { cpSync, mkdtempSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { accessibilityFindings, browserTest, keptOffline, pageReady } from "./lib.mjs";

const dist = fileURLToPath(new URL("../../dist", import.meta.url));

browserTest("the page opens, the first key can sound, and nothing is wrong", async ({ page, site }) => {
  await page.goto(site.address);
  await pageReady(page);
  assert.equal(await page.title(), "Riffloom");
  assert.deepEqual(await accessibilityFindings(page), []);
});

browserTest("after one visit the page opens with the server stopped", async ({ context, page, site, problems }) => {
  await page.goto(site.address);
  await keptOffline(page);
  await site.stop();
  problems.expect(/ERR_CONNECTION_REFUSED|ERR_FAILED/);
  await page.reload();
  await pageReady(page);
  const tab = await context.newPage();
  await tab.goto(`${site.address}?from=a-lesson`);
  await pageReady(tab);
});

browserTest("the whole page is kept, and nothing else", async ({ page, site }) => {
  await page.goto(site.address);
  await keptOffline(page);
  const kept = await page.evaluate(async () => {
    const [name, ...others] = await caches.keys();
    const requests = await (await caches.open(name)).keys();
    return { others, paths: requests.map(({ url }) => new URL(url).pathname.slice(1)).sort() };
  });
  const files = readdirSync(dist, { recursive: true, encoding: "utf8" }).filter((name) =>
    statSync(join(dist, name)).isFile(),
  );
  // Pictures for a home screen are fetched by the browser when the page is installed, the one file when it is
  // wanted, and the sheet by itself never.
  const used = files.filter((name) => !/^(sw\.js|(riffloom|sheet)\.html|icons\/.*\.png)$/.test(name));
  const expected = used.map((name) => (name === "index.html" ? "" : name));
  assert.deepEqual(kept, { others: [], paths: expected.sort() });
});

/** The type of the module by the WebAssembly JavaScript interface's web API: streaming compilation asks for it. */
browserTest("files come with the type and the policy that they need", async ({ page, site }) => {
  const type = async (/** @type {string} */ name) =>
    (await page.request.get(site.address + name)).headers()["content-type"];
  assert.match(await type(""), /^text\/html/);
  assert.match(await type("app.js"), /^text\/javascript/);
  assert.equal(await type("riffloom_bg.wasm"), "application/wasm");
  assert.match(await type("manifest.webmanifest"), /^application\/manifest\+json/);
  const policy = (await page.request.get(site.address)).headers()["content-security-policy"];
  assert.match(policy, /^default-src 'self'; .*frame-ancestors 'none'/);
  assert.equal((await page.request.get(`${site.address}nowhere.js`)).status(), 404);
});

/** A copy of dist/ that can be made newer. */
function copyOfPage() {
  const folder = mkdtempSync(join(tmpdir(), "riffloom-"));
  cpSync(dist, folder, { recursive: true });
  const change = (/** @type {string} */ name, /** @type {[RegExp, string]} */ [from, to]) => {
    const path = join(folder, name);
    const before = readFileSync(path, "utf8");
    const after = before.replace(from, to);
    assert.notEqual(after, before, `${name} has no ${from}`);
    writeFileSync(path, after);
  };
  return {
    folder,
    makeNewer() {
      change("index.html", [/<title>Riffloom/, "<title>Newer Riffloom"]);
      change("sw.js", [/"[0-9a-f]{16}"/, '"fedcba9876543210"']);
    },
    remove: () => rmSync(folder, { recursive: true }),
  };
}

const copy = copyOfPage();
browserTest(
  "a newer version waits until it is asked for, then takes the older one's place",
  { folder: copy.folder },
  async ({ t, page, site }) => {
    t.after(copy.remove);
    await page.goto(site.address);
    await keptOffline(page);
    copy.makeNewer();
    await page.evaluate(async () => {
      const registration = await navigator.serviceWorker.ready;
      await registration.update();
      const newer = registration.installing ?? registration.waiting;
      if (!newer) throw new Error("no newer version was found");
      while (newer.state === "installing")
        await new Promise((resolve) => newer.addEventListener("statechange", resolve, { once: true }));
    });
    await page.reload();
    await pageReady(page);
    assert.equal(await page.title(), "Riffloom", "the newer version came unasked");

    await page.evaluate(async () => {
      const { waiting } = await navigator.serviceWorker.ready;
      const changed = new Promise((resolve) => navigator.serviceWorker.addEventListener("controllerchange", resolve));
      waiting?.postMessage("take over");
      await changed;
    });
    await page.reload();
    await pageReady(page);
    assert.equal(await page.title(), "Newer Riffloom");
    assert.deepEqual(await page.evaluate(async () => (await caches.keys()).map((name) => name.split(" ").at(-1))), [
      "fedcba9876543210",
    ]);
  },
);
