// See scripts/bench stalls: ten minutes of what tests/browser/stalls.test.mjs does for one.
import { launch, openSite } from "../tests/browser/chromium.mjs";
import { slowTimers } from "../tests/browser/page.mjs";
import { assertUnharmed, hardTime, told, watchStarts } from "../tests/browser/stalls.mjs";

const MINUTES = Number(process.argv[2] ?? 10);

const site = await openSite();
const browser = await launch();
const context = await browser.newContext({ viewport: { width: 1366, height: 768 } });
await watchStarts(context);
await slowTimers(context, 1000);
const page = await context.newPage();
await page.goto(site.address);
console.log(`The whole band for ${MINUTES} minutes, the main thread stalled for one second in three, an edit every two`);
console.log("seconds, timers once a second\n");
const result = await hardTime(page, 60 * MINUTES);
for (const line of told(result)) console.log(line);
await browser.close();
await site.stop();
assertUnharmed(result);
