// The microphone: what is heard through it goes where keys go, and whatever fails is said.
import assert from "node:assert/strict";
import {
  assertHeardWhole,
  firstHeard,
  hearsItself,
  playInRoom,
  pressAt,
  samples,
  standIn,
  turnOn,
  watchMicrophone,
  watchNotes,
  withMicrophone,
} from "./listen-page.mjs";
import { MachineUnfit, accessibilityFindings, browserTest, pageReady, timedTest } from "./lib.mjs";
import { PORCH_LIGHT, choose, firstSound, soundsAsked, watchAudio } from "./practice-page.mjs";
import { button, notesOnStrip, saved, setTempo } from "./riff-page.mjs";

/** @typedef {import("playwright-core").Page} Page */

const told = (/** @type {Page} */ page) => page.locator("#listen-panel .ear-text");
const opens = (/** @type {Page} */ page) => page.locator("#listen");
const device = (/** @type {Page} */ page) =>
  page.evaluate(() => {
    const { asked, wanted, stream } = /** @type {any} */ (globalThis).device;
    return { asked, wanted, state: stream?.getAudioTracks()[0]?.readyState };
  });
/** What happens to the device. @param {Page} page @param {string} type */
const happens = (page, type) =>
  page.evaluate(
    (type) => void (/** @type {any} */ (globalThis).device.stream.getAudioTracks()[0].dispatchEvent(new Event(type))),
    type,
  );

browserTest(
  "the microphone is asked for on its switch alone, shows that it is on, and is released",
  { prepare: standIn },
  async ({ page, site }) => {
    await page.goto(site.address);
    await pageReady(page);
    await opens(page).click();
    const listens = page.getByRole("switch", { name: /^Listen with the microphone/ });
    await listens.waitFor();
    assert.equal((await device(page)).asked, 0, "it was opened before anybody asked");
    assert.match(
      (await told(page).textContent()) ?? "",
      /stays on this device: only its notes are kept, never the sound/,
    );
    await page.evaluate(() => {
      /** @type {any} */ (globalThis).device.noise = true;
    });
    await listens.click();
    await page.locator("#listen.on").waitFor();
    assert.equal(await opens(page).textContent(), "Mic on");
    assert.equal(await listens.getAttribute("aria-checked"), "true");
    // W3C, "Media Capture and Streams", section 4.3.8: the names of what a device may do to the sound.
    assert.deepEqual((await device(page)).wanted, {
      audio: { echoCancellation: false, noiseSuppression: false, autoGainControl: false },
    });
    await page.locator("#listen-panel").getByText("The room is quiet.").waitFor();
    assert.deepEqual(await accessibilityFindings(page, { part: "#listen-panel" }), []);
    await listens.click();
    await page.locator("#listen:not(.on)").waitFor();
    assert.equal((await device(page)).state, "ended", "the device was not let go");

    // Another part of the page that does not hear lets it go, too.
    await listens.click();
    await page.locator("#listen.on").waitFor();
    await button(page, "Notebook").click();
    await page.waitForFunction(
      () => /** @type {any} */ (globalThis).device.stream.getAudioTracks()[0].readyState === "ended",
    );
  },
);

browserTest(
  "whatever keeps the microphone from being opened is said with what to do",
  { prepare: standIn },
  async ({ page, site }) => {
    await page.goto(site.address);
    await pageReady(page);
    const written = await notesOnStrip(page);
    await opens(page).click();
    const listens = page.getByRole("switch", { name: /^Listen with the microphone/ });
    // The names: W3C, "Media Capture and Streams", section 10.2.
    for (const [name, says] of /** @type {[string, RegExp][]} */ ([
      ["NotAllowedError", /does not allow.*Allow it for this page/],
      ["NotFoundError", /No microphone was found. Plug one in/],
      ["NotReadableError", /Another program may be using it: close that one/],
      ["NotSupportedError", /does not fit.*Choose another one/],
    ])) {
      await page.evaluate((name) => {
        /** @type {any} */ (globalThis).device.fail = name;
      }, name);
      await listens.click();
      await told(page).getByText(says).waitFor();
      assert.equal(await listens.getAttribute("aria-checked"), "false", name);
    }
    // Without any of it the page is as it was, and the next press works.
    assert.deepEqual(await notesOnStrip(page), written);
    await page.evaluate(() => {
      /** @type {any} */ (globalThis).device.fail = "";
    });
    await listens.click();
    await page.locator("#listen.on").waitFor();
  },
);

browserTest(
  "a device that is silent, muted or goes away says so, also where its panel is shut",
  { prepare: standIn },
  async ({ page, site }) => {
    await page.goto(site.address);
    await pageReady(page);
    await page.evaluate(() => {
      /** @type {any} */ (globalThis).device.sounds = false;
    });
    await turnOn(page);
    await told(page)
      .getByText(/^Nothing comes from the microphone/)
      .waitFor();
    await happens(page, "mute");
    await told(page)
      .getByText(/^The microphone is muted/)
      .waitFor();
    await happens(page, "unmute");
    await told(page)
      .getByText(/^Nothing comes from the microphone/)
      .waitFor();
    await page.keyboard.press("Escape");
    await happens(page, "ended");
    await page
      .locator("#message")
      .getByText(/The microphone is gone. What you played is kept./)
      .waitFor();
    await page.locator("#listen:not(.on)").waitFor();
  },
);

browserTest(
  "where what listens does not come, that is said, and the next press tries again",
  { prepare: standIn },
  async ({ page, site, context, problems }) => {
    problems.expect(/ERR_FAILED|Failed to fetch|net::/);
    await context.route("**/listen-model.bin", (route) => route.abort());
    await page.goto(site.address);
    await pageReady(page);
    await turnOn(page);
    await page.getByText("This part of the page did not come").waitFor();
    await page.waitForFunction(
      () => /** @type {any} */ (globalThis).device.stream?.getAudioTracks()[0].readyState !== "live",
    );
    assert.equal(await page.locator("#listen.on").count(), 0);
    await context.unroute("**/listen-model.bin");
    await page.getByRole("switch", { name: /^Listen with the microphone/ }).click();
    await page.locator("#listen.on").waitFor();
  },
);

browserTest(
  "a page that is given no microphone, or no way to hear it, says so",
  { prepare: standIn },
  async ({ page, site, context }) => {
    await context.addInitScript(() => {
      AudioContext.prototype.createMediaStreamSource = () => {
        throw new DOMException("other rates", "NotSupportedError");
      };
    });
    await page.goto(site.address);
    await pageReady(page);
    await turnOn(page);
    await told(page)
      .getByText(/does not fit the sound of this browser/)
      .waitFor();
    assert.equal((await device(page)).state, "ended", "the device was not let go");
    await page.evaluate(() => Object.defineProperty(navigator, "mediaDevices", { value: undefined }));
    await page.getByRole("switch", { name: /^Listen with the microphone/ }).click();
    await told(page)
      .getByText(/gives pages no microphone here/)
      .waitFor();
  },
);

browserTest(
  "the tuner tells a low instrument, and tunes the band to it",
  { prepare: standIn },
  async ({ page, site }) => {
    await page.goto(site.address);
    await pageReady(page);
    // An A of 217.5 Hz: 20 cents below the band's, and that of a band whose A is 435.
    await page.evaluate(() => {
      /** @type {any} */ (globalThis).device.hertz = 217.5;
    });
    await turnOn(page);
    const tuner = page.getByRole("region", { name: "Tuner" });
    await tuner.getByText("Good. Now 2 more, each a different note.").waitFor();
    assert.equal(await tuner.locator(".tuner-note").textContent(), "A");
    // One note may be bent: D and C of the same low band.
    for (const [hertz, said] of [
      [290.33, "Good. Now 1 more, a different note."],
      [258.653, "All your notes are lower than the band’s."],
    ]) {
      await page.evaluate((hertz) => /** @type {any} */ (globalThis).device.play(hertz), hertz);
      await tuner.getByText(String(said)).waitFor();
    }
    await tuner.getByRole("button", { name: "Tune the band to A = 435" }).click();
    await tuner.getByText("in tune", { exact: true }).waitFor();
    assert.equal(await tuner.locator("output").textContent(), "435");
    // It is a setting of the band, and kept with it.
    await page.locator("#listen").click();
    await saved(page);
    await page.reload();
    await pageReady(page);
    await opens(page).click();
    await page.getByRole("switch", { name: /^Listen with the microphone/ }).waitFor();
    assert.equal(await page.locator(".tuner output").textContent(), "435");
  },
);

/** @param {import("playwright-core").BrowserContext} context */
async function loops(context) {
  await watchAudio(context);
  await hearsItself(context);
}

browserTest(
  "the delay is measured by the page’s own sound, and early and late hold from then on",
  { prepare: loops },
  async ({ page, site, t }) => {
    await page.goto(site.address);
    await pageReady(page);
    /** @type {number[]} */
    const told = [];
    for (const room of [0.05, 0.2]) {
      await page.evaluate((room) => {
        /** @type {any} */ (globalThis).roomSeconds = room;
      }, room);
      await turnOn(page);
      const part = page.getByRole("region", { name: "Delay" });
      await part.getByRole("button", { name: "Measure the delay" }).click();
      const text = await part.getByText(/^From the loudspeaker to the microphone it takes/).textContent();
      told.push(Number(/takes (\d+) ms, give or take \d+ ms/.exec(text ?? "")?.[1]));
      await page.getByRole("switch", { name: /^Listen with the microphone/ }).click();
      await page.locator("#listen:not(.on)").waitFor();
      await opens(page).click();
      // The next one is told anew.
      await page.locator(".ear-delay p").evaluate((told) => (told.textContent = ""));
    }
    const apart = (told[1] ?? NaN) - (told[0] ?? NaN);
    t.diagnostic(`${told.join(" and ")} ms`);
    assert.ok(Math.abs(apart - 150) <= 3, `rooms of 50 and 200 ms were measured as ${told.join(" and ")} ms`);
    await turnOn(page);
    await page.locator("#listen.on").waitFor();
    await page.keyboard.press("Escape");
    await button(page, "Practice").click();
    await page.locator("#after .delay").getByText("This device’s own delay is known and taken off.").waitFor();
  },
);

/** @param {import("playwright-core").BrowserContext} context */
async function loopsAndTells(context) {
  await loops(context);
  await watchNotes(context);
}

/** What is played beside the band: seconds after the first click of the count, half a second apart. */
const [BESIDE, EACH] = [[67, 70, 72, 74, 70, 67, 65, 67], 0.5];

/**
 * What is told as notes while the page plays for some seconds, and somebody plays beside it.
 * @param {Page} page
 * @param {() => Promise<void>} begin
 * @param {number} after seconds from the first sound to the first note that is played beside it
 */
async function toldBeside(page, begin, after) {
  const before = await soundsAsked(page);
  await page.evaluate(() => Object.assign(globalThis, { told: [] }));
  await begin();
  const first = await firstSound(page, before);
  const tones = BESIDE.map((midi, index) => ({ at: first + after + EACH * index, midi, length: 0.4 }));
  await playInRoom(page, tones);
  await clockAt(page, first + after + EACH * BESIDE.length + 1);
  await page.keyboard.press("Escape");
  await page.locator("body:not(.playing)").waitFor();
  /** @type {{ at: number, midi: number }[]} */
  const told = await page.evaluate(() => /** @type {any} */ (globalThis).told);
  const isOf = (/** @type {typeof tones[0]} */ tone) => (/** @type {typeof told[0]} */ note) =>
    note.midi === tone.midi && note.at > tone.at - 0.05 && note.at < tone.at + 0.15;
  const found = tones.filter((tone) => told.some(isOf(tone))).length;
  return { found, others: told.length - found };
}

browserTest(
  "without headphones what the page plays is no note, and what is played beside it is",
  { prepare: loopsAndTells, timed: true },
  async ({ page, site, t }) => {
    await page.goto(site.address);
    await pageReady(page);
    await turnOn(page);
    await page.locator("#listen.on").waitFor();
    await page.keyboard.press("Escape");
    // The first that the microphone hears is the count: a riff may begin at once after it.
    const count = await toldBeside(page, () => page.locator(".play-in").click(), 3.5);
    await button(page, "Just play").click();
    const play = () => page.locator("#play").click();
    const beside = await toldBeside(page, play, 9);
    // So much of the page is heard that its delay is known, and is the one that is measured.
    await opens(page).click();
    const delay = page.getByRole("region", { name: "Delay" });
    const takes = delay.getByText(/^From the loudspeaker to the microphone it takes/);
    const milliseconds = async () => Number(/takes (\d+) ms/.exec((await takes.textContent()) ?? "")?.[1]);
    const learnt = await milliseconds();
    await delay.getByRole("button", { name: "Measure the delay" }).click();
    await takes.waitFor({ state: "detached" });
    const measured = await milliseconds();
    // Who is said to wear headphones is heard as it sounds: then the band would be notes here.
    await page.getByRole("switch", { name: /^I wear headphones/ }).click();
    await page.keyboard.press("Escape");
    const worn = await toldBeside(page, play, 9);
    for (const [name, { found, others }] of Object.entries({ count, beside, worn }))
      t.diagnostic(`${name}: ${found} of ${BESIDE.length}, and ${others} of the page's own`);
    t.diagnostic(`learnt: ${learnt} ms, measured: ${measured} ms`);
    for (const { found, others } of [count, beside]) {
      assert.ok(found >= BESIDE.length - 1, `${found} of ${BESIDE.length} were heard`);
      assert.ok(others <= 1, `${others} of the page's own were told`);
    }
    assert.ok(worn.others >= 5, `only ${worn.others} of the page's own could be told at all`);
    assert.ok(Math.abs(learnt - measured) <= 3, `${learnt} ms were learnt and ${measured} ms measured`);
  },
);

const BPM = 100;
const BEAT = 60 / BPM;
/** When a tone tells the test where the file stands, and when the playing begins, in seconds of the file. */
const [SYNC, PLAYING] = [4, 16];
/** A bar is counted before bar 1. */
const COUNT_IN = 4 * BEAT;

/** Nobody's finger is later than this on a machine that can keep time, in seconds. */
const IN_TIME = 0.1;

/**
 * A page whose microphone plays tones, and someone who turns it on, finds where its file stands, and presses `selector` so
 * that bar 1 meets the playing. What fails because the machine did not keep time is tried again.
 * @param {string} name
 * @param {object} playing
 * @param {{ at: number, midi: number, length: number }[]} playing.tones seconds of the file
 * @param {number} playing.seconds how long the file is
 * @param {string} playing.selector
 * @param {(page: Page) => Promise<void>} playing.before what is done first
 * @param {(page: Page, clock: { start: number, barOne: number }, t: import("node:test").TestContext) => Promise<void>} after
 *   what must be then: `start` is when the file began as it is heard, `barOne` when bar 1 did, by the page's audio clock
 */
function playedTest(name, { tones, seconds, selector, before }, after) {
  timedTest(name, (t) => {
    const frames = samples([{ at: SYNC, midi: 60, length: 0.3 }, ...tones], seconds);
    return withMicrophone(frames, watchAudio, async (page) => {
      await before(page);
      const clock = await playAlong(page, selector);
      try {
        await after(page, clock, t);
      } catch (error) {
        await assertHeardWhole(page, frames);
        const late = clock.start + PLAYING - clock.barOne;
        if (Math.abs(late) > IN_TIME) throw new MachineUnfit(`bar 1 came ${late} s before the playing`);
        throw error;
      }
    });
  });
}

/**
 * @param {Page} page
 * @param {string} selector
 */
async function playAlong(page, selector) {
  await turnOn(page);
  await page.locator("#listen.on").waitFor();
  await watchMicrophone(page);
  await page.keyboard.press("Escape");
  let before = await soundsAsked(page);
  const pressed = await pressAt(page, selector, 0);
  const lead = (await firstSound(page, before)) - /** @type {number} */ (pressed);
  await page.keyboard.press("Escape");
  await page.locator("body:not(.playing)").waitFor();
  const start = (await firstHeard(page)) - SYNC - (await behind(page));
  before = await soundsAsked(page);
  await pressAt(page, selector, start + PLAYING - COUNT_IN - lead);
  const barOne = (await firstSound(page, before)) + COUNT_IN;
  return { start, barOne };
}

/** Waits until the page's audio clock stands at `time`. @param {Page} page @param {number} time */
const clockAt = (page, time) =>
  page.waitForFunction((time) => /** @type {any} */ (globalThis).audio.currentTime > time, time);

/** What the way through the machine adds as far as the browser tells it, in seconds: the page takes it off. @param {Page} page */
function behind(page) {
  return page.evaluate(() => {
    const { audio, heard } = /** @type {any} */ (globalThis);
    const [out, way] = [audio.outputLatency, heard.getAudioTracks()[0].getSettings().latency];
    return (out > 0 && out < 0.5 ? out : 0.04) + (way > 0 && way < 0.5 ? way : 0.01);
  });
}

playedTest(
  "what is played into a microphone on “Just play” stands there afterwards",
  {
    tones: [0, 1, 2, 4, 6].map((beat, index) => ({
      at: PLAYING + beat * BEAT,
      midi: [67, 70, 72, 65, 67][index] ?? 67,
      length: 0.35,
    })),
    seconds: PLAYING + 12,
    selector: "#play",
    before: async (page) => {
      await setTempo(page, BPM);
      await button(page, "Just play").click();
    },
  },
  async (page, { start }) => {
    await clockAt(page, start + PLAYING + 9 * BEAT);
    await button(page, "Stop").click();
    const tokens = page.getByRole("region", { name: "What you played" }).locator(".free-lines .token");
    await tokens.first().waitFor();
    assert.deepEqual(await tokens.locator("b").allTextContents(), ["G", "B♭", "C", "F", "G"]);
  },
);

playedTest(
  "what is played into a microphone is the riff on the strip",
  {
    tones: [67, 70, 72, 70, 67].map((midi, beat) => ({ at: PLAYING + beat * BEAT, midi, length: 0.35 })),
    seconds: PLAYING + 12,
    selector: ".play-in",
    before: async (page) => {
      await button(page, "New riff").click();
      await setTempo(page, BPM);
    },
  },
  async (page) => {
    const told = page.locator("#taking").getByText(/^You played/);
    assert.match((await told.textContent()) ?? "", /^You played 5 notes/);
    const notes = (await notesOnStrip(page)).map((label) => label ?? "");
    const places = [
      "G 4, bar 1, beat 1,",
      "B flat 4, bar 1, beat 2,",
      "C 5, bar 1, beat 3,",
      "B flat 4, bar 1, beat 4,",
      "G 4, bar 2, beat 1,",
    ];
    for (const [index, place] of places.entries())
      assert.ok(notes[index]?.startsWith(place), `${notes[index]} is not ${place}: ${notes.join(" | ")}`);
  },
);

/**
 * As if the devices in use had been measured, and the sound were heard when it is played.
 * @param {Page} page
 */
const knowDelayOfPair = (page) =>
  page.evaluate(async () => {
    const stream = await navigator.mediaDevices.getUserMedia({ audio: true });
    const [track] = stream.getTracks();
    const outputs = (await navigator.mediaDevices.enumerateDevices()).filter(
      ({ kind, label }) => kind === "audiooutput" && label,
    );
    const out = (outputs.find(({ deviceId }) => deviceId === "default") ?? outputs[0])?.label ?? "this device";
    const measured = { [`${out} + ${track?.label}`]: { seconds: 0, giveOrTake: 0.001, loop: true } };
    localStorage.setItem("riffloom delays", JSON.stringify(measured));
    track?.stop();
  });

/** Scripted offsets in milliseconds, one a note. */
const SCRIPTED = [12, -25, 4, 30, -8, 17, -14, 0, 22, -19];

playedTest(
  "practising through a microphone tells each note’s offset, about one that the device adds",
  {
    tones: [0, 1]
      .flatMap((time) =>
        PORCH_LIGHT.onsets.map((onset, index) => ({
          beat: onset + PORCH_LIGHT.every * time,
          midi: PORCH_LIGHT.midi[index] ?? 0,
        })),
      )
      .map(({ beat, midi }, index) => ({
        at: PLAYING + beat * BEAT + (SCRIPTED[index] ?? 0) / 1000,
        midi,
        length: 0.16,
      })),
    seconds: PLAYING + 40,
    selector: "#play",
    before: async (page) => {
      await knowDelayOfPair(page);
      await button(page, "hear a riff: Porch light").click();
      await setTempo(page, BPM);
      await button(page, "Practice").click();
      await choose(page, "Going on", /one time, then stop/);
    },
  },
  async (page, { start, barOne }, t) => {
    // Both riffs are over, and a little more.
    await clockAt(page, start + PLAYING + 14 * BEAT);
    await page.keyboard.press("Escape");
    await page.locator("#after summary").first().click();
    await page.getByText("Note by note, as a table").click();
    const rows = await page
      .locator("#after tbody tr")
      .evaluateAll((all) => all.map((row) => [...row.children].map((cell) => cell.textContent ?? "")));
    const told = rows
      .slice(0, SCRIPTED.length)
      .map(([, , , text = ""]) => (text.endsWith("early") ? -1 : 1) * Number.parseInt(text, 10));
    // The button was pressed nearly in time.
    const always = (start + PLAYING - barOne) * 1000;
    const off = told.map((ms, index) => ms - always - (SCRIPTED[index] ?? 0));
    const bias = off.reduce((sum, each) => sum + each, 0) / off.length;
    const spread = Math.sqrt(off.reduce((sum, each) => sum + (each - bias) ** 2, 0) / (off.length - 1));
    t.diagnostic(
      `bias ${bias.toFixed(1)} ms, spread ${spread.toFixed(1)} ms, each ${off.map((each) => each.toFixed(1)).join(" ")}`,
    );
    assert.ok(Math.abs(bias) <= 5 && spread <= 3, `bias ${bias} ms, spread ${spread} ms: ${JSON.stringify(rows)}`);
  },
);
