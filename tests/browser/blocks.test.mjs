// The clock of what is recorded: blocks keep their frames while the main thread connects nodes. Chromium leaves
// `currentFrame` as it was where it cannot lock the graph, though the block is rendered as every other.
import assert from "node:assert/strict";
import { browserTest, pageReady } from "./lib.mjs";

/** A ramp counts frames: steps so small that a float of 32 bits holds each. */
const STEP = 2 ** -22;

for (const [what, path, name, begin] of /** @type {const} */ ([
  ["microphone’s", "/audio/ear.js", "ear", "listen"],
  ["recorder’s", "/__tap__.js", "tap", "run"],
]))
  browserTest(`the ${what} pieces lie where they sounded while nodes are connected`, async ({ page, site, t }) => {
    await page.goto(site.address);
    await pageReady(page);
    await page.locator("#keyboard .key").first().click();
    const { stale, places } = await page.evaluate(
      async ({ path, name, begin, step }) => {
        const context = new AudioContext();
        await context.resume();
        // How often the clock stood still, as the engine tells it: without that the test would show nothing.
        await context.audioWorklet.addModule("/__clock__.js");
        await context.audioWorklet.addModule(path);
        let stale = 0;
        const clock = new AudioWorkletNode(context, "clock");
        clock.port.onmessage = ({ data }) => (stale = data);
        const recorder = new AudioWorkletNode(context, name, { numberOfInputs: name === "ear" ? 2 : 1 });
        /** @type {{ frame: number, samples: Float32Array }[]} */
        const pieces = [];
        const take = (/** @type {any} */ data) =>
          typeof data === "object" && pieces.push({ frame: data.frame, samples: data.samples ?? data.channels[0] });
        const { port1, port2 } = new MessageChannel();
        if (begin === "listen") {
          port1.onmessage = ({ data }) => take(data);
          recorder.port.postMessage(port2, [port2]);
        } else recorder.port.onmessage = ({ data }) => take(data);
        const ramp = context.createBuffer(1, 8 * context.sampleRate, context.sampleRate);
        ramp.getChannelData(0).forEach((_, frame, all) => (all[frame] = (frame + 1) * step));
        const source = new AudioBufferSourceNode(context, { buffer: ramp });
        source.connect(recorder);
        for (const node of [recorder, clock]) node.connect(context.destination);
        source.start(context.currentTime + 0.3);
        for (const end = context.currentTime + 3; context.currentTime < end;) {
          for (let pairs = 0; pairs < 200; pairs++) {
            const [player, gain] = [new AudioBufferSourceNode(context), new GainNode(context)];
            player.connect(gain).connect(context.destination);
            player.disconnect();
            gain.disconnect();
          }
          await new Promise((next) => setTimeout(next));
        }
        await context.close();
        // The frame at which the ramp began, as each piece tells it.
        const places = pieces
          .filter(({ samples }) => samples[0] > 0)
          .map(({ frame, samples }) => frame - Math.round(samples[0] / step));
        return { stale, places };
      },
      { path, name, begin, step: STEP },
    );
    t.diagnostic(`the clock stood still ${stale} times over ${places.length} pieces`);
    assert.ok(stale > 0, "the clock never stood still: nothing was tried");
    assert.ok(places.length > 10, `only ${places.length} pieces`);
    assert.deepEqual(new Set(places).size, 1, `${new Set(places).size} places`);
  });
