// See scripts/bench lights: ten minutes of what the first test of tests/browser/along.test.mjs does for a quarter of one.
import { launch, openSite } from "../tests/browser/chromium.mjs";
import { compareLights, forgetLights, seenLights, watchLights } from "../tests/browser/lights.mjs";
import { openDemo, pageReady, stallMainThread } from "../tests/browser/page.mjs";
import { button, setBand, setTempo } from "../tests/browser/riff-page.mjs";

const MINUTES = Number(process.argv[2] ?? 10);
const TEMPOS = [132, 92, 160, 72];

const site = await openSite();
const browser = await launch();
const context = await browser.newContext({ viewport: { width: 1366, height: 768 } });
await watchLights(context);
const page = await context.newPage();
await page.goto(site.address);
await pageReady(page);
await openDemo(page);
await forgetLights(page);
await setBand(page, ["solo"]);
await page.locator("#strip [role=option]").first().click();
console.log(
  `The riff alone for ${MINUTES} minutes, the main thread stalled for 0.35 s in 1.5, an edit every two seconds, another`,
);
console.log("tempo every ten\n");
await button(page, "Play with the band").click();
await stallMainThread(page, { busy: 350, period: 1500 });
const began = Date.now();
for (let edit = 1; Date.now() - began < 60_000 * MINUTES; edit++) {
  await page.waitForTimeout(2000);
  await button(page, "Accent").click();
  if (edit % 5 === 0) await setTempo(page, TEMPOS[(edit / 5) % TEMPOS.length] ?? 92);
}
const { notes, wrong, worst } = compareLights(await seenLights(page));
console.log(
  `${notes} notes; ${wrong.length} lights or onsets without the other; a light at most ${(1000 * worst).toFixed(0)} ms behind its onset, in a frame that was stalled`,
);
for (const line of wrong) console.log(`  ${line}`);
await browser.close();
await site.stop();
if (wrong.length > 0) process.exit(1);
