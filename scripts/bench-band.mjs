// See scripts/bench band: how much of a core the page uses while the whole band plays. Linux only.
import { readFileSync, readdirSync } from "node:fs";
import { loadavg } from "node:os";
import { launch, openSite } from "../tests/browser/chromium.mjs";
import { pageReady, throttleCpu } from "../tests/browser/page.mjs";
import { button, setBand, setTempo } from "../tests/browser/riff-page.mjs";

const PARTS = ["solo", "comp", "bass", "drums", "click"];
const BEATS = 12 * 4;
/** What a thread of Chromium is called, as far as the system keeps names, and what it does for the page. */
const KINDS = /** @type {const} */ ([
  ["workers", /^DedicatedWorker/],
  ["audio", /^Audio(Output|Worklet)/],
]);

const site = await openSite();
console.log("Shares of one core while the whole band plays a form of twelve bars, in percent");
console.log("(slowed, Chromium slows the main thread alone: workers and audio are as fast as this machine)\n");
console.log(
  "beats a minute   slowed by   time through".padEnd(44) +
    ["main thread", "workers", "audio", "others"].map((name) => name.padStart(13)).join(""),
);
for (const factor of [1, 6]) for (const bpm of [76, 240]) await played(bpm, factor);
console.log(`\nload of the machine (1 minute): ${(loadavg()[0] ?? NaN).toFixed(1)}`);
await site.stop();

/**
 * Plays the form twice in a browser of its own.
 * @param {number} bpm
 * @param {number} factor
 */
async function played(bpm, factor) {
  const browser = await launch();
  const page = await browser.newPage({ viewport: { width: 1366, height: 768 } });
  await page.goto(site.address);
  await pageReady(page);
  await setTempo(page, bpm);
  await setBand(page, PARTS);
  if (factor > 1) await throttleCpu(page, factor);
  const devtools = await browser.newBrowserCDPSession();
  const { processInfo } = await devtools.send("SystemInfo.getProcessInfo");
  // The page's own process has worked most; another may stand ready for the next page.
  const renderers = processInfo.filter(({ type }) => type === "renderer").sort((a, b) => b.cpuTime - a.cpuTime);
  const pid = renderers[0]?.id ?? NaN;
  await button(page, "Play with the band").click();
  for (const time of ["first", "second"]) {
    const [before, began] = [threadTimes(pid), performance.now()];
    await page.waitForTimeout((1000 * 60 * BEATS) / bpm);
    const [after, seconds] = [threadTimes(pid), (performance.now() - began) / 1000];
    const shares = Object.keys(after).map((kind) => (100 * ((after[kind] ?? 0) - (before[kind] ?? 0))) / seconds);
    console.log(
      `${bpm}`.padEnd(17) +
        `${factor}`.padEnd(12) +
        time.padEnd(15) +
        shares.map((share) => share.toFixed(1).padStart(13)).join(""),
    );
  }
  await browser.close();
}

/**
 * Seconds that the threads of a process have had a core for, by what they do; those that ended are left out.
 * @param {number} pid
 * @returns {Record<string, number>}
 */
function threadTimes(pid) {
  /** @type {Record<string, number>} */
  const times = { main: 0, workers: 0, audio: 0, others: 0 };
  for (const thread of readdirSync(`/proc/${pid}/task`)) {
    const of = (/** @type {string} */ file) => readFileSync(`/proc/${pid}/task/${thread}/${file}`, "utf8").trim();
    const name = of("comm");
    const kind = Number(thread) === pid ? "main" : (KINDS.find(([, named]) => named.test(name))?.[0] ?? "others");
    times[kind] = (times[kind] ?? 0) + Number(of("schedstat").split(" ")[0]) / 1e9;
  }
  return times;
}
