// A minute of the whole band on a page that has a hard time. scripts/bench stalls does it for ten.
import { browserTest, slowTimers } from "./lib.mjs";
import { assertUnharmed, hardTime, told, watchStarts } from "./stalls.mjs";

async function prepare(/** @type {import("playwright-core").BrowserContext} */ context) {
  await watchStarts(context);
  await slowTimers(context, 1000);
}

browserTest(
  "the whole band through stalls, edits and a tick a second: nothing late, lost or doubled, memory flat",
  { prepare, timed: true },
  async ({ page, site, t }) => {
    await page.goto(site.address);
    const result = await hardTime(page, 60);
    for (const line of told(result)) t.diagnostic(line);
    assertUnharmed(result);
  },
);
