// What the browser tests share. A test is written as
//
//   browserTest("plays", async ({ page, site }) => { await page.goto(site.address); … });
//
// and gets a server of its own (so an origin of its own), a fresh profile, and a watch on everything that goes wrong.
import assert from "node:assert/strict";
import { after, test } from "node:test";
import { launch, openSite } from "./chromium.mjs";

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
      if (message.type() === "error") this.#seen.push(`console: ${message.text()} (${message.location().url})`);
    });
    context.on("weberror", (event) => this.#seen.push(`exception: ${event.error().stack ?? event.error().message}`));
    context.on("request", (request) => {
      const url = new URL(request.url());
      if (url.origin !== origin && !["data:", "blob:"].includes(url.protocol)) this.#seen.push(`foreign request: ${url}`);
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

/** The one browser of a test file, started when first needed. */
const shared = {
  /** @type {Promise<import("playwright-core").Browser> | null} */
  browser: null,
};
after(async () => (await shared.browser)?.close());

/**
 * @typedef {object} Visit
 * @property {import("node:test").TestContext} t
 * @property {Awaited<ReturnType<typeof openSite>>} site
 * @property {import("playwright-core").BrowserContext} context
 * @property {import("playwright-core").Page} page
 * @property {Problems} problems
 *
 * @param {string} name
 * @param {((visit: Visit) => Promise<void>) | { folder?: string, context?: import("playwright-core").BrowserContextOptions, prepare?: (context: import("playwright-core").BrowserContext) => Promise<void> }} options
 *   `folder` to serve instead of dist/, options of the profile, and what to do to it before its page is made
 * @param {(visit: Visit) => Promise<void>} [body]
 */
export function browserTest(name, options, body) {
  if (typeof options === "function") return browserTest(name, {}, options);
  return test(name, { timeout: 180_000 }, async (t) => {
    const site = await openSite(options.folder);
    t.after(() => site.stop());
    const profile = await openProfile(site.address, options);
    t.after(() => profile.context.close());
    await body?.({ t, site, ...profile });
    assert.deepEqual(profile.problems.unexpected, [], "the page had problems of its own");
  });
}

/**
 * A fresh profile with one empty page; its caller closes the context.
 * @param {string} address
 * @param {{ context?: import("playwright-core").BrowserContextOptions, prepare?: (context: import("playwright-core").BrowserContext) => Promise<void> }} options
 */
export async function openProfile(address, options = {}) {
  shared.browser ??= launch();
  const context = await (await shared.browser).newContext({ viewport: { width: 1366, height: 768 }, ...options.context });
  const problems = new Problems();
  await problems.watch(context, new URL(address).origin);
  await options.prepare?.(context);
  return { context, page: await context.newPage(), problems };
}
