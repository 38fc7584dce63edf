// A call into the core that breaks off in its middle: the page says so, keeps the work, and starts the core anew.
import assert from "node:assert/strict";
import { browserTest } from "./lib.mjs";
import { pageReady } from "./page.mjs";
import { button, key, notesOnStrip, saved, writeRiff } from "./riff-page.mjs";
import { roomsOfCore, sparing } from "./storage-page.mjs";

/**
 * Wraps the module's imports and exports as the browser hands them to the page: once `__break(name)` was called, the
 * next call of that export breaks off within its first call out of the module, as a panic does: without unwinding, so
 * that everything it had borrowed stays borrowed. The page knows nothing of it.
 * @param {import("playwright-core").BrowserContext} context
 */
const breakable = async (context) =>
  void (await context.addInitScript(() => {
    let [armed, inside] = ["", false];
    /** @type {any} */ (globalThis).__break = (/** @type {string} */ name) => (armed = name);
    /** What the wrapped exports stand for: a piece of a room is put in beside the exports themselves. @type {Map<any, any>} */
    const plain = new Map();
    const wrapImports = (/** @type {any} */ imports) => {
      if (imports.__wasm_split) return { __wasm_split: plain.get(imports.__wasm_split) };
      for (const group of Object.values(imports)) {
        for (const [name, call] of Object.entries(/** @type {any} */ (group))) {
          if (typeof call !== "function") continue;
          /** @type {any} */ (group)[name] = (/** @type {any[]} */ ...given) => {
            if (inside) {
              [armed, inside] = ["", false];
              throw new WebAssembly.RuntimeError("unreachable");
            }
            return call(...given);
          };
        }
      }
      return imports;
    };
    const wrapExports = (/** @type {any} */ exports) => {
      const wrapped = new Proxy(
        {},
        {
          get(_, name) {
            const call = exports[name];
            if (typeof call !== "function") return call;
            return (/** @type {any[]} */ ...given) => {
              inside = name === armed;
              try {
                return call(...given);
              } finally {
                inside = false;
              }
            };
          },
        },
      );
      plain.set(wrapped, exports);
      return wrapped;
    };
    const stream = WebAssembly.instantiateStreaming;
    WebAssembly.instantiateStreaming = async (source, imports) => {
      const { module, instance } = await stream(source, wrapImports(imports));
      return { module, instance: /** @type {any} */ ({ exports: wrapExports(instance.exports) }) };
    };
    const { Instance, instantiate } = WebAssembly;
    WebAssembly.instantiate = /** @type {any} */ (
      async (/** @type {any} */ source, /** @type {any} */ imports) => {
        const made = /** @type {any} */ (await instantiate(source, wrapImports(imports)));
        return { module: source, instance: { exports: wrapExports((made.instance ?? made).exports) } };
      }
    );
    WebAssembly.Instance = /** @type {any} */ (
      function (/** @type {WebAssembly.Module} */ module, /** @type {any} */ imports) {
        return { exports: wrapExports(new Instance(module, wrapImports(imports)).exports) };
      }
    );
  }));

/** @param {import("playwright-core").Page} page @param {string} name */
const breakIn = (page, name) => page.evaluate((each) => /** @type {any} */ (globalThis).__break(each), name);
const SAID = "Something went wrong, and Riffloom began anew. All you wrote is here; steps to undo are not.";

browserTest(
  "a panic on a key press loses no note, and writing goes on",
  { prepare: breakable },
  async ({ page, site, problems }) => {
    problems.expect(/unreachable/);
    await page.goto(site.address);
    await pageReady(page);
    await writeRiff(page, [67, 70, 72]);
    // Before anything of the last press was written.
    await page.evaluate(() => {
      /** @type {any} */ (globalThis).__break("app_apply");
      const press = (/** @type {number} */ midi) => {
        const each = document.querySelector(`#keyboard .key[data-midi="${midi}"]`);
        for (const type of ["pointerdown", "pointerup"])
          each?.dispatchEvent(new PointerEvent(type, { bubbles: true, pointerId: 1, isPrimary: true }));
      };
      press(74);
    });
    await page.getByText(SAID).waitFor();
    assert.equal((await notesOnStrip(page)).length, 3);
    await key(page, 67).click({ position: { x: 10, y: 100 } });
    await saved(page);
    assert.equal((await notesOnStrip(page)).length, 4);
    await page.reload();
    await pageReady(page);
    assert.equal((await notesOnStrip(page)).length, 4);
  },
);

browserTest(
  "a panic before the room that reads records has come loses nothing either",
  {
    prepare: async (context) => {
      await breakable(context);
      await sparing(context);
    },
  },
  async ({ page, site, problems }) => {
    problems.expect(/unreachable|started anew/);
    await page.goto(site.address);
    await pageReady(page);
    await writeRiff(page, [67, 70]);
    await saved(page);
    await key(page, 72).click({ position: { x: 10, y: 100 } });
    await saved(page);
    assert.deepEqual(await roomsOfCore(page), [], "what is written on a first visit is saved without a room");
    await breakIn(page, "app_apply");
    await key(page, 74).click({ position: { x: 10, y: 100 } });
    await page.getByText(SAID).waitFor();
    assert.equal((await notesOnStrip(page)).length, 3);
    await key(page, 74).click({ position: { x: 10, y: 100 } });
    await saved(page);
    await page.reload();
    await pageReady(page);
    assert.equal((await notesOnStrip(page)).length, 4);
  },
);

browserTest(
  "a panic in the middle of playing stops the sound, and Play plays again",
  { prepare: breakable },
  async ({ page, site, problems }) => {
    problems.expect(/unreachable/);
    await page.addInitScript(() => {
      const Context = AudioContext;
      /** @type {any} */ (globalThis).__contexts = [];
      globalThis.AudioContext = class extends Context {
        /** @param {AudioContextOptions} [given] */
        constructor(given) {
          super(given);
          /** @type {any} */ (globalThis).__contexts.push(this);
        }
      };
    });
    await page.goto(site.address);
    await pageReady(page);
    await writeRiff(page, [67, 70]);
    await button(page, "Play with the band").click();
    await page.waitForFunction(() => document.querySelector("#form .bar.now"));
    await breakIn(page, "app_tick");
    await page.getByText(SAID).waitFor();
    await button(page, "Play with the band").waitFor();
    await page.waitForFunction(() => /** @type {any} */ (globalThis).__contexts[0].state === "closed");
    assert.equal((await notesOnStrip(page)).length, 2);
    await button(page, "Play with the band").click();
    await page.waitForFunction(() => document.querySelector("#form .bar.now"));
    assert.equal(await page.evaluate(() => /** @type {any} */ (globalThis).__contexts.at(-1).state), "running");
    await key(page, 72).click({ position: { x: 10, y: 100 } });
    await button(page, "Stop").click();
  },
);

browserTest(
  "a panic while the page opens keeps it from nothing",
  { prepare: breakable },
  async ({ page, site, problems }) => {
    problems.expect(/unreachable/);
    await page.goto(site.address);
    await pageReady(page);
    await writeRiff(page, [67, 70]);
    await saved(page);
    await page.addInitScript(() => /** @type {any} */ (globalThis).__break("app_new"));
    await page.reload();
    await pageReady(page);
    assert.equal((await notesOnStrip(page)).length, 2);
  },
);

browserTest(
  "a panic while saving is no fault of the storage",
  { prepare: breakable },
  async ({ page, site, problems }) => {
    problems.expect(/unreachable/);
    await page.goto(site.address);
    await pageReady(page);
    await writeRiff(page, [67, 70]);
    await saved(page);
    await breakIn(page, "app_record");
    await key(page, 72).click({ position: { x: 10, y: 100 } });
    await page.getByText(SAID).waitFor();
    await saved(page);
    await page.reload();
    await pageReady(page);
    assert.equal((await notesOnStrip(page)).length, 3);
  },
);

browserTest(
  "a panic on another part of the page leaves it there",
  { prepare: breakable },
  async ({ page, site, problems }) => {
    problems.expect(/unreachable/);
    await page.goto(site.address);
    await pageReady(page);
    await writeRiff(page, [67, 70]);
    await button(page, "Chorus").click();
    await page.locator("#chorus-riffs button").first().click();
    await page.waitForFunction(() => document.querySelectorAll("#chorus-lines button[data-band]").length === 1);
    await breakIn(page, "app_rest");
    await page.locator("#chorus-riffs button").first().click();
    await page.getByText(SAID).waitFor();
    // The command itself was done before the call that broke.
    await page.waitForFunction(() => document.querySelectorAll("#chorus-lines button[data-band]").length === 2);
    await page.locator("#chorus-riffs button").first().click();
    await page.waitForFunction(() => document.querySelectorAll("#chorus-lines button[data-band]").length === 3);
    await saved(page);
  },
);

browserTest(
  "what breaks again and again is told, and asked for no more",
  { prepare: breakable },
  async ({ page, site, problems }) => {
    problems.expect(/unreachable|started anew/);
    await page.goto(site.address);
    await pageReady(page);
    await writeRiff(page, [67, 70]);
    for (let times = 0; times < 4; times++) {
      await breakIn(page, "app_apply");
      await page.keyboard.press("Tab");
      await page
        .evaluate(() => /** @type {HTMLElement} */ (document.querySelector("#tools button:not([disabled])")).click())
        .catch(() => {});
    }
    await page
      .getByText("Something keeps going wrong. What you wrote is kept. Load the page again to go on.")
      .waitFor();
    await button(page, "Reload").click();
    await pageReady(page);
    assert.equal((await notesOnStrip(page)).length, 2);
  },
);

browserTest(
  "a panic in the worker that looks for suggestions is told",
  {
    prepare: async (context) => {
      const script = 'WebAssembly.instantiate = async () => { throw new WebAssembly.RuntimeError("unreachable"); };\n';
      await context.route("**/workers/suggester.js", async (route) => {
        const response = await route.fetch();
        await route.fulfill({ response, body: script + (await response.text()) });
      });
    },
  },
  async ({ page, site, problems }) => {
    problems.expect(/unreachable/);
    await page.goto(site.address);
    await pageReady(page);
    await writeRiff(page, [67, 70]);
    await button(page, "Chorus").click();
    await button(page, "Suggest a chorus").click();
    await page.getByText("Nothing was found. Choose fewer riffs and ask again.").waitFor();
    await button(page, "Ask again").waitFor();
  },
);
