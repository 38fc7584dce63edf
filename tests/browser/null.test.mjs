// What the player's graph makes of a score, against what the core mixes of it: both at 48 kHz, before the gain of the
// whole and the limiter. The graph runs in an offline context; nothing of it is rebuilt here.
import assert from "node:assert/strict";
import { browserTest, pageReady } from "./lib.mjs";
import { button, setBand } from "./riff-page.mjs";

/** The two may differ by this much, in decibels. */
const NULL = -60;

const note = (/** @type {number} */ at, /** @type {number} */ length, /** @type {string} */ pitch, more = {}) => ({
  onset: at * 2520,
  length: length * 2520,
  pitch,
  ...more,
});
/** Two bars with what a note may have: accents, a crushed note, scoops, long and short ones. */
const NOTES = [
  note(0, 2, "G4", { accent: true }),
  note(2, 4, "Bb4", { scoop: true }),
  note(6, 1, "C5"),
  note(7, 5, "D5", { crushed: "C#5" }),
  note(16, 8, "F4", { scoop: true, accent: true }),
  note(26, 2, "B4"),
];

/** Each score: which parts play, and what else is asked for. @type {[string, string[], object[]][]} */
const SCORES = [
  ["the whole band", ["click", "drums", "bass", "comp", "solo"], [{ "set-tempo": { bpm: 138 } }]],
  ["the riff alone, with scoops", ["solo"], [{ "set-tempo": { bpm: 151 } }, { "set-feel": { feel: "straight" } }]],
  ["drums", ["drums"], [{ "set-tempo": { bpm: 97 } }, { "set-loop": { bars: [8, 12] } }]],
  [
    "bass and chords in another form",
    ["bass", "comp"],
    [{ "set-form": { form: "8-bar" } }, { "set-key": { key: "Eb" } }, { "set-tempo": { bpm: 113 } }],
  ],
];

browserTest("the player's graph and the core's mix are the same sound", async ({ page, site, t }) => {
  await page.goto(site.address);
  for (const [name, parts, commands] of SCORES) {
    const found = await page.evaluate(compare, { parts, commands, riff: NOTES });
    t.diagnostic(
      `${name}: ${found.difference.toFixed(1)} dB, at its worst frame ${found.worst.toFixed(1)} dB; ${found.starts} sounds, ${found.seconds.toFixed(1)} s, level ${found.level.toFixed(1)} dB`,
    );
    assert.ok(found.seconds > 8 && found.starts > 20, "hardly anything was compared");
    assert.ok(found.difference < NULL, `${name}: ${found.difference} dB apart`);
    assert.ok(found.worst < NULL, `${name}: ${found.worst} dB apart at the worst frame`);
    assert.ok(found.offFrame < 1e-6, `${name}: a start lies ${found.offFrame} of a frame off`);
  }
});

/**
 * Runs in the page: one time through in the graph and in the core.
 * @param {{ parts: string[], commands: object[], riff: object[] }} score
 */
async function compare({ parts, commands, riff }) {
  const rate = 48_000;
  const core = /** @type {typeof import("../../www/pkg/riffloom.js")} */ (
    await import(/** @type {any} */ ("/__core__.js"))
  );
  await core.default({ module_or_path: "/riffloom_bg.wasm" });
  const text = JSON.stringify({
    version: 1,
    revision: 1,
    id: "00000000000000aa",
    name: "Null",
    start: 0,
    beat: 10080,
    divisions: Array(8).fill(2),
    notes: riff,
  });
  const app = new core.App([{ id: "00000000000000aa", text, revision: 1 }], "00000000000000bb");
  for (const part of ["click", "drums", "bass", "comp", "solo"])
    app.apply({ "set-part": { part, on: parts.includes(part) } });
  for (const command of commands) {
    const { message, offer } = app.apply(/** @type {any} */ (command));
    // What was refused is only said; what was done may offer more.
    if (message && !offer) throw new Error(message);
  }

  // The core: two times through, of which the last ends otherwise than one that goes on; the first is compared.
  const mixing = app.mixing(core.Heard.Form, 2, 1, rate);
  /** @type {Float32Array[][]} */
  const slices = [];
  for (let slice = mixing.raw(); slice.length > 0; slice = mixing.raw()) {
    slices.push([slice.subarray(0, slice.length / 2), slice.subarray(slice.length / 2)]);
  }
  const all = [0, 1].map((side) => Float32Array.from(slices.flatMap((slice) => [...slice[side]])));
  mixing.free();

  // The graph: after the moment that the planner waits before it begins.
  const wait = 0.15 * rate;
  const once = app.trackAbout(core.Heard.Form, 1, 1).about.match(/About (\d+) seconds/);
  const frames = Math.min(Number(once?.[1]) * rate - rate, all[0].length - 2 * rate);
  const context = new OfflineAudioContext(2, wait + frames, rate);
  // In the place of the limiter.
  context.createWaveShaper = () =>
    /** @type {any} */ (Object.defineProperty(context.createGain(), "curve", { writable: true }));
  let [starts, offFrame] = [0, 0];
  const create = context.createBufferSource.bind(context);
  context.createBufferSource = () => {
    const source = create();
    const start = source.start.bind(source);
    source.start = (when = 0) => {
      starts += 1;
      offFrame = Math.max(offFrame, Math.abs(when * rate - Math.round(when * rate)));
      start(when);
    };
    return source;
  };
  app.startAudio(context);
  const give = () => {
    for (const code of app.wantedSamples()) app.giveSample(code, rate, core.renderSample(code, rate));
    app.tick();
  };
  app.play(core.Heard.Form);
  give();
  const step = 12_800;
  for (let frame = step; frame < wait + frames; frame += step) {
    context.suspend(frame / rate).then(() => {
      give();
      return context.resume();
    });
  }
  const heard = await context.startRendering();
  app.stop();

  // One gain for the whole is the master's; what is left is the difference.
  const sides = [0, 1].map((side) => heard.getChannelData(side).subarray(wait));
  let [product, power] = [0, 0];
  sides.forEach((side, index) =>
    side.forEach((value, frame) => {
      product += value * all[index][frame];
      power += all[index][frame] ** 2;
    }),
  );
  const gain = product / power;
  let [left, peak, worst] = [0, 0, 0];
  sides.forEach((side, index) =>
    side.forEach((value, frame) => {
      const difference = value - gain * all[index][frame];
      left += difference ** 2;
      peak = Math.max(peak, Math.abs(gain * all[index][frame]));
      worst = Math.max(worst, Math.abs(difference));
    }),
  );
  return {
    starts,
    offFrame,
    seconds: frames / rate,
    level: 20 * Math.log10(gain),
    difference: 10 * Math.log10(left / (power * gain * gain)),
    worst: 20 * Math.log10(worst / peak),
  };
}

/** Notes each level that a parameter is sent to, and how gently. */
async function noteTargets(/** @type {import("playwright-core").BrowserContext} */ context) {
  await context.addInitScript(() => {
    const targets = /** @type {{ value: number, glide: number }[]} */ ([]);
    Object.assign(globalThis, { __targets__: targets });
    const { setTargetAtTime } = AudioParam.prototype;
    AudioParam.prototype.setTargetAtTime = function (value, time, glide) {
      targets.push({ value, glide });
      return setTargetAtTime.call(this, value, time, glide);
    };
  });
}

/** How gently the player goes over to another gain of the whole: its time constant, in seconds. */
const GLIDE = 0.25;

browserTest(
  "the page plays at the gain that a file of the same chorus gets, before and after an edit",
  { prepare: noteTargets },
  async ({ page, site, t }) => {
    await page.goto(site.address);
    await pageReady(page);
    for (const parts of [["drums", "bass", "comp", "solo"], ["solo"]]) {
      await setBand(page, parts);
      const told = await page.evaluate(() => /** @type {any} */ (globalThis).__targets__.length);
      if (parts.length > 1) await button(page, "Play with the band").click();
      const found = await page.waitForFunction(
        ({ told, glide }) =>
          /** @type {any} */ (globalThis).__targets__
            .slice(told)
            .find((/** @type {any} */ target) => target.glide === glide),
        { told, glide: GLIDE },
      );
      const { value } = await found.jsonValue();
      // The same tune and riff, told to another instance of the core.
      const gain = await page.evaluate(async (parts) => {
        const core = /** @type {typeof import("../../www/pkg/riffloom.js")} */ (
          await import(/** @type {any} */ ("/__core__.js"))
        );
        await core.default({ module_or_path: "/riffloom_bg.wasm" });
        const app = new core.App([], "00000000000000bb");
        for (const part of ["click", "drums", "bass", "comp", "solo"])
          app.apply({ "set-part": { part, on: parts.includes(part) } });
        return app.mixing(core.Heard.Form, 1, 0, new AudioContext().sampleRate).gain();
      }, parts);
      t.diagnostic(`${parts.join(", ")}: ${(20 * Math.log10(gain)).toFixed(2)} dB`);
      assert.ok(Math.abs(value / gain - 1) < 1e-6, `${value} instead of ${gain}`);
    }
  },
);
