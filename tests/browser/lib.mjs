// What the browser tests share. A test is written as
//
//   browserTest("plays", async ({ page, site }) => { await page.goto(site.address); … });
//
// and gets a server of its own (so an origin of its own), a fresh profile, and a watch on everything that goes wrong.
import assert from "node:assert/strict";
import { existsSync, readFileSync } from "node:fs";
import { availableParallelism, loadavg } from "node:os";
import { after, test } from "node:test";
import { launch, openSite, sharedBrowser } from "./chromium.mjs";

export { launch, openSite };
export * from "./page.mjs";

/**
 * Everything that goes wrong in a profile's pages: errors in the console, exceptions, breaches of the content security
 * policy, requests to another origin.
 */
export class Problems {
  /** @type {string[]} */
  #seen = [];
  /** @type {RegExp[]} */
  #expected = [];

  /**
   * @param {import("playwright-core").BrowserContext} context
   * @param {string} origin
   */
  async watch(context, origin) {
    context.on("console", (message) => {
      // A file that is no page has no picture of its own.
      if (message.type() === "error" && !message.location().url.endsWith("/favicon.ico"))
        this.#seen.push(`console: ${message.text()} (${message.location().url})`);
    });
    context.on("weberror", (event) => this.#seen.push(`exception: ${event.error().stack ?? event.error().message}`));
    context.on("request", (request) => {
      const url = new URL(request.url());
      if (url.origin !== origin && !["data:", "blob:"].includes(url.protocol))
        this.#seen.push(`foreign request: ${url}`);
    });
    await context.addInitScript(() => {
      document.addEventListener("securitypolicyviolation", (event) =>
        console.error(`policy: ${event.effectiveDirective} forbids ${event.blockedURI}`),
      );
    });
  }

  /**
   * Problems that a test brings about on purpose.
   * @param {RegExp[]} patterns
   */
  expect(...patterns) {
    this.#expected.push(...patterns);
  }

  /** Those that nobody expected. */
  get unexpected() {
    return this.#seen.filter((problem) => !this.#expected.some((pattern) => pattern.test(problem)));
  }
}

/** The browser of a test file, opened when first needed: the one of the whole run where there is one. */
const shared = {
  /** @type {Promise<import("playwright-core").Browser> | null} */
  browser: null,
};
after(async () => (await shared.browser)?.close());

/** After how long a test is taken to hang, in milliseconds; on a busy machine one may take minutes. */
const PATIENCE = 600_000;

/** Which tests of a file a run is about, "timed" or "untimed" ones; all of them where nothing is said. */
const wanted = process.env.TESTS_OF_KIND;

/** How often a test that measures time is tried on a machine that is held up. */
const TRIES = 4;

/** Thrown by a test that found the machine unfit for it, by no fault of the page: a device that gave something else than it was told to. */
export class MachineUnfit extends Error {}

/**
 * @typedef {object} Visit
 * @property {import("node:test").TestContext} t
 * @property {Awaited<ReturnType<typeof openSite>>} site
 * @property {import("playwright-core").BrowserContext} context
 * @property {import("playwright-core").Page} page
 * @property {Problems} problems
 *
 * @typedef {object} Options
 * @property {string} [folder] to serve instead of dist/
 * @property {import("playwright-core").BrowserContextOptions} [context] of the profile
 * @property {(context: import("playwright-core").BrowserContext) => Promise<void>} [prepare] what to do to the profile before its page is made
 * @property {boolean} [timed] whether it measures time as it goes by, and so is tried again where the machine was busy with other work
 * @property {boolean} [takesMinutes] whether the run of all files begins with it (scripts/test-page.mjs)
 *
 * @param {string} name
 * @param {((visit: Visit) => Promise<void>) | Options} options
 * @param {(visit: Visit) => Promise<void>} [body]
 */
export function browserTest(name, options, body) {
  if (typeof options === "function") return browserTest(name, {}, options);
  const once = (/** @type {import("node:test").TestContext} */ t) => visit(t, options, body);
  if (options.timed) return timedTest(name, once);
  if (wanted !== "timed") test(name, { timeout: PATIENCE }, once);
}

/**
 * A test that measures time as it goes by: it is tried again where the machine was busy with other work. Files that have
 * one run by themselves.
 * @param {string} name
 * @param {(t: import("node:test").TestContext) => Promise<void>} run
 */
export function timedTest(name, run) {
  if (wanted === "untimed") return;
  test(name, { timeout: TRIES * PATIENCE }, async (t) => {
    for (let tries = TRIES; ; tries--) {
      const waits = machineWaits();
      try {
        return await run(t);
      } catch (error) {
        if (tries === 1 || !(error instanceof MachineUnfit || waits())) throw error;
        t.diagnostic(`tried again, as the machine was busy with other work: ${String(error).slice(0, 300)}`);
      }
    }
  });
}

/**
 * One try of a test.
 * @param {import("node:test").TestContext} t
 * @param {Options} options
 * @param {((visit: Visit) => Promise<void>) | undefined} body
 */
async function visit(t, options, body) {
  const site = await openSite(options.folder);
  try {
    const profile = await openProfile(site.address, options);
    try {
      await body?.({ t, site, ...profile });
      assert.deepEqual(profile.problems.unexpected, [], "the page had problems of its own");
    } finally {
      await profile.context.close();
    }
  } finally {
    await site.stop();
  }
}

/**
 * Begins to watch whether programs wait for a processor: the answer is yes where some did for more than half of the time.
 * Linux counts that; elsewhere the length of the queue has to do.
 */
function machineWaits() {
  const file = "/proc/pressure/cpu";
  if (!existsSync(file)) return () => (loadavg()[0] ?? 0) > 1.5 * availableParallelism();
  const waited = () => Number(/total=(\d+)/.exec(readFileSync(file, "utf8"))?.[1]) / 1000;
  const [before, began] = [waited(), performance.now()];
  return () => waited() - before > 0.5 * (performance.now() - began);
}

/**
 * A fresh profile with one empty page; its caller closes the context.
 * @param {string} address
 * @param {{ context?: import("playwright-core").BrowserContextOptions, prepare?: (context: import("playwright-core").BrowserContext) => Promise<void> }} options
 */
export async function openProfile(address, options = {}) {
  shared.browser ??= sharedBrowser();
  const context = await (
    await shared.browser
  ).newContext({ viewport: { width: 1366, height: 768 }, ...options.context });
  const problems = new Problems();
  await problems.watch(context, new URL(address).origin);
  await options.prepare?.(context);
  return { context, page: await context.newPage(), problems };
}
