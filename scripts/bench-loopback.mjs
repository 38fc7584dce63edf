// Holds the delay that the page finds to the one that a recorder of the bench's own finds, through a real device: the sound
// server PulseAudio with a loudspeaker whose sound comes in again as a microphone. See scripts/bench loopback.
import { spawn } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as pause } from "node:timers/promises";
import { launch, openSite } from "../tests/browser/chromium.mjs";
import { pageReady } from "../tests/browser/page.mjs";
import { watchAudio } from "../tests/browser/practice-page.mjs";

const TIMES = Number(process.argv[2] ?? 5);
/** Milliseconds that the two may be apart. */
const APART = 3;
/** A marker begins where it is so loud beside its loudest: nothing else sounds in this loop. */
const LOUD = 0.05;
/** How often a loop that moves is tried again. */
const MOST_TRIES = 4;

const home = mkdtempSync(join(tmpdir(), "riffloom-"));
const server = soundServer(home);
const site = await openSite();
const env = { ...process.env, PULSE_SERVER: `unix:${home}/native`, XDG_RUNTIME_DIR: home };
const browser = await launch({ env, ignoreDefaultArgs: ["--mute-audio"] });
let failed = false;
try {
  await pause(1000);
  console.log("The delay from the loudspeaker to the microphone, in milliseconds, through a sound server's own loop\n");
  console.log("by the bench   by the page   apart");
  let moved = 0;
  for (let time = 0; time < TIMES;) {
    const context = await browser.newContext({ permissions: ["microphone"] });
    await watchAudio(context);
    await context.addInitScript(() => {
      // The very node that the page listens to: another one on the same stream may be later by tens of milliseconds.
      const { createMediaStreamSource } = AudioContext.prototype;
      AudioContext.prototype.createMediaStreamSource = function (stream) {
        const source = createMediaStreamSource.call(this, stream);
        Object.assign(globalThis, { source });
        return source;
      };
      const { start } = AudioBufferSourceNode.prototype;
      AudioBufferSourceNode.prototype.start = function (when = 0, ...rest) {
        /** @type {any} */ (globalThis).played?.push({ when, buffer: this.buffer });
        return start.call(this, when, ...rest);
      };
    });
    const page = await context.newPage();
    await page.goto(site.address);
    await pageReady(page);
    const measured = await both(page);
    await context.close();
    if (!measured) {
      if (++moved > MOST_TRIES * TIMES) throw new Error("the loop's own delay never stood still");
      continue;
    }
    time++;
    const apart = Math.abs(measured.own - measured.told);
    failed ||= !(apart <= APART);
    const column = (/** @type {number} */ value) => value.toFixed(1).padStart(12);
    console.log(`${column(measured.own)}  ${column(measured.told)}  ${column(apart).slice(6)}`);
  }
  if (moved > 0) console.log(`\n${moved} times the loop's own delay moved meanwhile, and the page said so`);
} finally {
  await browser.close();
  await site.stop();
  server.kill();
  rmSync(home, { recursive: true, force: true });
}
if (failed) {
  console.error(`more than ${APART} ms apart`);
  process.exitCode = 1;
}

/**
 * What the page finds, and what the bench finds of the same sounds on the same stream: null where the loop's own delay moved
 * meanwhile, as it does on a machine that is busy, and the page said so.
 * @param {import("playwright-core").Page} page
 */
async function both(page) {
  await page.locator("#listen").click();
  await page.getByRole("switch", { name: /^Listen with the microphone/ }).click();
  await page.locator("#listen.on").waitFor();
  await page.evaluate(async () => {
    const seen = /** @type {any} */ (globalThis);
    const audio = /** @type {AudioContext} */ (seen.audio);
    await audio.audioWorklet.addModule("/__tap__.js");
    const tap = new AudioWorkletNode(audio, "tap");
    seen.pieces = [];
    tap.port.onmessage = ({ data }) =>
      data.channels && seen.pieces.push({ frame: data.frame, samples: data.channels[0] });
    seen.source.connect(tap).connect(audio.destination);
    seen.played = [];
  });
  const part = page.getByRole("region", { name: "Delay" });
  await part.getByRole("button", { name: "Measure the delay" }).click();
  const said = part.locator("p").filter({ hasText: /takes \d+ ms|nothing was changed/ });
  await said.waitFor();
  const told = Number(/takes (\d+) ms/.exec((await said.textContent()) ?? "")?.[1]);
  if (Number.isNaN(told)) return null;
  const late = await page.evaluate((loud) => {
    const seen = /** @type {any} */ (globalThis);
    const { sampleRate } = /** @type {AudioContext} */ (seen.audio);
    /** @type {{ frame: number, samples: Float32Array }[]} */
    const pieces = seen.pieces;
    /** @type {{ when: number, buffer: AudioBuffer }[]} */
    const played = seen.played;
    return played.map(({ when, buffer }) => {
      const sound = buffer.getChannelData(0);
      const peak = sound.reduce((most, sample) => Math.max(most, Math.abs(sample)), 0);
      const begins = when * sampleRate + sound.findIndex((sample) => Math.abs(sample) > loud * peak);
      for (const { frame, samples } of pieces) {
        const at = samples.findIndex((sample, index) => frame + index > begins && Math.abs(sample) > loud * peak);
        if (at >= 0) return (1000 * (frame + at - begins)) / sampleRate;
      }
      return NaN;
    });
  }, LOUD);
  return { told, own: late.sort((a, b) => a - b)[Math.floor(late.length / 2)] ?? NaN };
}

/** A sound server of its own, with a loudspeaker that nobody hears and a microphone that hears it. @param {string} home */
function soundServer(home) {
  writeFileSync(
    join(home, "loop.pa"),
    `load-module module-native-protocol-unix socket=${home}/native auth-anonymous=1
load-module module-null-sink sink_name=out rate=48000
load-module module-remap-source master=out.monitor source_name=in
set-default-sink out
set-default-source in
`,
  );
  const words = ["-n", "--exit-idle-time=-1", "--daemonize=no", "--use-pid-file=no", "--disallow-exit", "-F"];
  const started = spawn("pulseaudio", [...words, join(home, "loop.pa")], {
    stdio: "ignore",
    env: { ...process.env, HOME: home, XDG_RUNTIME_DIR: home },
  });
  started.on("error", () => {
    console.error("There is no sound server: install pulseaudio.");
    process.exit(1);
  });
  return started;
}
