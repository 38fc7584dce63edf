// See scripts/bench stalls: ten minutes of what tests/browser/stalls.test.mjs does for one. With a display (scripts/bench
// makes one where xvfb-run is installed) the page is really hidden behind another; else its timers are slowed.
import { launch, openSite } from "../tests/browser/chromium.mjs";
import { slowTimers } from "../tests/browser/page.mjs";
import { assertUnharmed, hardTime, told, watchStarts } from "../tests/browser/stalls.mjs";

const MINUTES = Number(process.argv[2] ?? 10);
const hides = Boolean(process.env.DISPLAY);
/** What Playwright turns off so that hidden pages run like others. */
const ALWAYS_AWAKE = [
  "--disable-backgrounding-occluded-windows",
  "--disable-renderer-backgrounding",
  "--disable-background-timer-throttling",
];

if (hides) letPagesHide();
const site = await openSite();
const browser = await launch(hides ? { headless: false, ignoreDefaultArgs: ALWAYS_AWAKE } : {});
const context = await browser.newContext({ viewport: { width: 1366, height: 768 } });
await watchStarts(context);
if (!hides) await slowTimers(context, 1000);
const page = await context.newPage();
await page.goto(site.address);
const times = hides ? "hidden behind another page" : "timers once a second";
console.log(
  `The whole band for ${MINUTES} minutes, the main thread stalled for one second in three, an edit every two`,
);
console.log(`seconds, ${times}\n`);
const result = await hardTime(page, 60 * MINUTES, hides ? hide : undefined);
for (const line of told(result)) console.log(line);
if (hides) console.log(`the page was ${await page.evaluate(() => document.visibilityState)}`);
await browser.close();
await site.stop();
assertUnharmed(result);

/** Opens another page in front. */
async function hide() {
  const other = await context.newPage();
  await other.goto(`${site.address}manifest.webmanifest`);
  await other.bringToFront();
  await page.waitForFunction(() => document.visibilityState === "hidden", null, { polling: 100 });
}

/** Playwright has Chromium treat every page as if it were looked at, and has no option for it: here that is taken back. */
function letPagesHide() {
  const { stringify } = JSON;
  JSON.stringify = function (/** @type {any} */ value, /** @type {any[]} */ ...rest) {
    const message =
      value?.method === "Emulation.setFocusEmulationEnabled" ? { ...value, params: { enabled: false } } : value;
    return stringify.call(this, message, .../** @type {[]} */ (rest));
  };
}
