// A microphone for tests: tones with known onsets as a file that Chromium plays into its fake device, and stand-ins for
// devices that fail.
import assert from "node:assert/strict";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { launch, openSite } from "./chromium.mjs";
import { MachineUnfit, Problems, pageReady } from "./lib.mjs";

/** @typedef {{ at: number, midi: number, length: number }} Tone seconds, and a MIDI note number */

const RATE = 48_000;
/** Of what is watched: frames in a piece, what is no silence, and how far a sound may come from its place, in seconds. */
const [PIECE, LOUD, NEAR] = [128, 0.003, 0.005];
/** Numbers for each note, as the page's worker tells it. */
const NUMBERS = 5;
/** How loud somebody in a room is beside what is written into a file. */
const SOFT = 0.15;
/** Of a tone: how fast it comes and goes, in seconds; how many harmonics it has. */
const [ATTACK, RELEASE, HARMONICS] = [0.006, 0.02, 10];

/**
 * Tones like those of a plucked string: harmonics that fall off, and die away the sooner the higher they are.
 * @param {Tone[]} tones
 * @param {number} seconds
 */
export function samples(tones, seconds) {
  const made = new Float32Array(Math.ceil(seconds * RATE));
  for (const { at, midi, length } of tones) {
    const hertz = 440 * 2 ** ((midi - 69) / 12);
    const [first, frames] = [Math.round(at * RATE), Math.round(length * RATE)];
    for (let frame = 0; frame < frames; frame++) {
      const time = frame / RATE;
      const envelope = Math.min(1, time / ATTACK, (length - time) / RELEASE);
      let sum = 0;
      for (let harmonic = 1; harmonic <= HARMONICS && harmonic * hertz < RATE / 2; harmonic++) {
        sum +=
          (Math.sin(2 * Math.PI * harmonic * hertz * time) / harmonic ** 1.3) *
          Math.exp(-time * (0.6 + 0.5 * harmonic));
      }
      made[first + frame] = (made[first + frame] ?? 0) + 0.3 * envelope * sum;
    }
  }
  return made;
}

/**
 * A WAV file of 16 bits, one channel (RIFF, "Multimedia Programming Interface and Data Specifications 1.0", 1991).
 * @param {Float32Array} frames
 */
function wav(frames) {
  const bytes = Buffer.alloc(44 + 2 * frames.length);
  bytes.write("RIFF", 0);
  bytes.writeUInt32LE(36 + 2 * frames.length, 4);
  bytes.write("WAVEfmt ", 8);
  bytes.writeUInt32LE(16, 16);
  bytes.writeUInt16LE(1, 20);
  bytes.writeUInt16LE(1, 22);
  bytes.writeUInt32LE(RATE, 24);
  bytes.writeUInt32LE(2 * RATE, 28);
  bytes.writeUInt16LE(2, 32);
  bytes.writeUInt16LE(16, 34);
  bytes.write("data", 36);
  bytes.writeUInt32LE(2 * frames.length, 40);
  frames.forEach((frame, index) =>
    bytes.writeInt16LE(Math.round(Math.max(-1, Math.min(1, frame)) * 32_767), 44 + 2 * index),
  );
  return bytes;
}

/**
 * Opens the page in a Chromium of its own, whose microphone plays these samples once from the moment that it is opened.
 * @param {Float32Array} frames
 * @param {(context: import("playwright-core").BrowserContext) => Promise<void>} prepare
 * @param {(page: import("playwright-core").Page) => Promise<void>} body
 */
export async function withMicrophone(frames, prepare, body) {
  const file = join(mkdtempSync(join(tmpdir(), "riffloom-")), "heard.wav");
  writeFileSync(file, wav(frames));
  const site = await openSite();
  const browser = await launch({
    args: ["--use-fake-device-for-media-stream", `--use-file-for-fake-audio-capture=${file}%noloop`],
  });
  try {
    const context = await browser.newContext({ viewport: { width: 1366, height: 768 }, permissions: ["microphone"] });
    const problems = new Problems();
    await problems.watch(context, new URL(site.address).origin);
    await prepare(context);
    // What the page asked for, to be looked at from outside.
    await context.addInitScript(() => {
      if (!("MediaDevices" in globalThis)) return;
      const { getUserMedia } = MediaDevices.prototype;
      MediaDevices.prototype.getUserMedia = async function (wanted) {
        const stream = await getUserMedia.call(this, wanted);
        Object.assign(globalThis, { heard: stream });
        return stream;
      };
    });
    const page = await context.newPage();
    await page.goto(site.address);
    await pageReady(page);
    await body(page);
    assert.deepEqual(problems.unexpected, [], "the page had problems of its own");
  } finally {
    await browser.close();
    await site.stop();
    rmSync(file);
  }
}

/**
 * Begins to watch the microphone with a recorder of the test's own on the page's stream: in `heardAt` stands for each piece
 * of a few milliseconds when in it something sounds, in seconds of the page's audio clock, and NaN where nothing does.
 * @param {import("playwright-core").Page} page
 */
export async function watchMicrophone(page) {
  await page.evaluate(
    async ({ PIECE, LOUD }) => {
      const seen = /** @type {any} */ (globalThis);
      const audio = /** @type {AudioContext} */ (seen.audio);
      /** @type {number[]} */
      const heardAt = (seen.heardAt = []);
      await audio.audioWorklet.addModule("/__tap__.js");
      const tap = new AudioWorkletNode(audio, "tap");
      tap.port.onmessage = ({ data: { frame, channels } }) => {
        const samples = /** @type {Float32Array} */ (channels?.[0] ?? new Float32Array());
        for (let from = 0; from < samples.length; from += PIECE) {
          const first = samples.subarray(from, from + PIECE).findIndex((sample) => Math.abs(sample) > LOUD);
          heardAt.push(first < 0 ? NaN : (frame + from + first) / audio.sampleRate);
        }
      };
      audio.createMediaStreamSource(seen.heard).connect(tap).connect(audio.destination);
    },
    { PIECE, LOUD },
  );
}

/** @param {import("playwright-core").Page} page */
export async function firstHeard(page) {
  const found = await page.waitForFunction(() =>
    /** @type {any} */ (globalThis).heardAt?.find((/** @type {number} */ time) => time >= 0),
  );
  return /** @type {number} */ (await found.jsonValue());
}

/** When each sound begins after two pieces of silence: no wave has so long a one. @param {number[]} heardAt as above */
function onsets(heardAt) {
  return heardAt.filter(
    (time, index) => time >= 0 && !(Number(heardAt[index - 1]) >= 0) && !(Number(heardAt[index - 2]) >= 0),
  );
}

/**
 * Looks whether the microphone gave what its file holds: on a machine that is held up Chromium's made-up one leaves out or
 * repeats pieces, and nobody could hear the right notes in that.
 * @param {import("playwright-core").Page} page
 * @param {Float32Array} frames of the file
 * @throws {MachineUnfit} where it did not
 */
export async function assertHeardWhole(page, frames) {
  const came = onsets(await page.evaluate(() => /** @type {any} */ (globalThis).heardAt ?? []));
  /** @type {number[]} */
  const pieces = [];
  for (let from = 0; from < frames.length; from += PIECE) {
    const first = frames.subarray(from, from + PIECE).findIndex((sample) => Math.abs(sample) > LOUD);
    pieces.push(first < 0 ? NaN : (from + first) / RATE);
  }
  const due = onsets(pieces);
  const since = (/** @type {number[]} */ times) => times.map((time) => time - (times[0] ?? 0));
  const isNear = (/** @type {number} */ time, /** @type {number} */ index) =>
    Math.abs(time - (since(due)[index] ?? NaN)) < NEAR;
  if (came.length === due.length && since(came).every(isNear)) return;
  const list = (/** @type {number[]} */ times) =>
    since(times)
      .map((time) => time.toFixed(3))
      .join(" ");
  throw new MachineUnfit(`the microphone sounded at ${list(came)} s instead of ${list(due)} s`);
}

/**
 * Presses a button when the audio clock reaches a time.
 * @param {import("playwright-core").Page} page
 * @param {string} selector
 * @param {number} time
 */
export function pressAt(page, selector, time) {
  return page.evaluate(
    ({ selector, time }) =>
      new Promise((done) => {
        const audio = /** @type {AudioContext} */ (/** @type {any} */ (globalThis).audio);
        const look = () => {
          if (audio.currentTime < time) return setTimeout(look, Math.max((time - audio.currentTime) * 500, 1));
          document.querySelector(selector)?.dispatchEvent(new MouseEvent("click", { bubbles: true }));
          done(audio.currentTime);
        };
        look();
      }),
    { selector, time },
  );
}

/**
 * Turns the microphone on, with the panel's switch.
 * @param {import("playwright-core").Page} page
 */
export async function turnOn(page) {
  await page.locator("#listen").click();
  await page.getByRole("switch", { name: /^Listen with the microphone/ }).click();
}

/**
 * Gives the page a microphone that hears what the page itself plays, so much later as `globalThis.roomSeconds` says when
 * it is turned on; `globalThis.room` takes in what else sounds there, `globalThis.wayOut` tells what leads to the loudspeaker.
 * Call it before the page is opened.
 * @param {import("playwright-core").BrowserContext} context
 */
export async function hearsItself(context) {
  await context.addInitScript(() => {
    if (!("MediaDevices" in globalThis)) return;
    const seen = /** @type {any} */ (globalThis);
    seen.roomSeconds = 0.1;
    /** What leads to each context's loudspeaker. @type {Map<BaseAudioContext, GainNode>} */
    const out = new Map();
    seen.wayOut = () => [...out.values()].at(-1);
    /** @type {any} */
    const connect = AudioNode.prototype.connect;
    AudioNode.prototype.connect = /** @type {any} */ (
      function (/** @type {AudioNode} */ to, /** @type {number[]} */ ...rest) {
        // @ts-ignore: the node itself
        const from = /** @type {AudioNode} */ (this);
        if (to instanceof AudioDestinationNode && !(from instanceof AudioWorkletNode)) {
          const all = out.get(to.context) ?? new GainNode(to.context);
          out.set(to.context, all);
          connect.call(from, all);
        }
        return Reflect.apply(connect, from, [to, ...rest]);
      }
    );
    MediaDevices.prototype.getUserMedia = async () => {
      const audio = /** @type {AudioContext} */ (seen.audio);
      const heard = audio.createMediaStreamDestination();
      const late = new DelayNode(audio, { delayTime: seen.roomSeconds, maxDelayTime: 1 });
      const soft = new GainNode(audio, { gain: 0.1 });
      const all = out.get(audio);
      if (all) connect.call(all, late);
      connect.call(late, soft);
      const room = new GainNode(audio);
      connect.call(soft, room);
      connect.call(room, heard);
      Object.assign(seen, { room, roomStream: heard.stream });
      return heard.stream;
    };
    // Heard in the same frames, not through the stream: on a busy machine that leaves out or repeats some, and the way from
    // the loudspeaker to the microphone is another one each time.
    const { createMediaStreamSource } = AudioContext.prototype;
    AudioContext.prototype.createMediaStreamSource = /** @type {any} */ (
      function (/** @type {MediaStream} */ stream) {
        // @ts-ignore: the context itself
        const audio = /** @type {AudioContext} */ (this);
        if (stream !== seen.roomStream || audio !== seen.room.context)
          return createMediaStreamSource.call(audio, stream);
        const ear = new GainNode(audio);
        connect.call(seen.room, ear);
        return ear;
      }
    );
  });
}

/**
 * Keeps in `globalThis.told` what the page's worker tells of notes: when each began, by the audio clock, and which. Call it
 * before the page is opened.
 * @param {import("playwright-core").BrowserContext} context
 */
export async function watchNotes(context) {
  await context.addInitScript((NUMBERS) => {
    const Made = Worker;
    const seen = /** @type {any} */ (globalThis);
    seen.told = [];
    globalThis.Worker = class extends Made {
      /** @param {[string | URL, WorkerOptions?]} given */
      constructor(...given) {
        super(...given);
        this.addEventListener("message", ({ data }) => {
          const notes = /** @type {Float64Array} */ (data?.notes ?? []);
          for (let at = 0; at < notes.length; at += NUMBERS)
            if (notes[at]) seen.told.push({ at: notes[at + 1], midi: notes[at + 2] });
        });
      }
    };
  }, NUMBERS);
}

/**
 * Somebody plays in the room of `hearsItself`, by the page's audio clock.
 * @param {import("playwright-core").Page} page
 * @param {Tone[]} tones
 */
export async function playInRoom(page, tones) {
  const first = Math.min(...tones.map(({ at }) => at));
  const length = Math.max(...tones.map(({ at, length }) => at + length)) - first;
  const frames = samples(
    tones.map(({ at, ...tone }) => ({ at: at - first, ...tone })),
    length,
  );
  // 16 bits are enough, and soon passed on.
  const text = Buffer.from(Int16Array.from(frames, (frame) => 32_767 * frame).buffer).toString("base64");
  await page.evaluate(
    ({ text, first, RATE, SOFT }) => {
      const { audio, room } = /** @type {any} */ (globalThis);
      const bytes = Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0));
      const frames = Float32Array.from(new Int16Array(bytes.buffer), (sample) => (SOFT * sample) / 32_768);
      const buffer = new AudioBuffer({ length: frames.length, sampleRate: RATE });
      buffer.copyToChannel(frames, 0);
      const source = new AudioBufferSourceNode(audio, { buffer });
      source.connect(room);
      source.start(first);
    },
    { text, first, RATE, SOFT },
  );
}

/**
 * Gives the page a device that is made of an oscillator, or none, or one that fails. Call it before the page is opened;
 * `device.fail` and `device.says` may be set in the page later.
 * @param {import("playwright-core").BrowserContext} context
 */
export async function standIn(context) {
  await context.addInitScript(() => {
    /** @type {{ fail: string, sounds: boolean, noise: boolean, hertz: number, asked: number, wanted?: MediaStreamConstraints, stream?: MediaStream }} */
    const device = { fail: "", sounds: true, noise: false, hertz: 220, asked: 0 };
    Object.assign(globalThis, { device });
    if (!("MediaDevices" in globalThis)) return;
    MediaDevices.prototype.getUserMedia = async (wanted) => {
      device.asked++;
      device.wanted = wanted;
      if (device.fail) throw new DOMException("for a test", device.fail);
      const audio = new AudioContext();
      const out = audio.createMediaStreamDestination();
      const sound = new OscillatorNode(audio, { frequency: device.hertz });
      if (device.noise) {
        // A quiet room: white noise, some 60 dB below full scale.
        const buffer = new AudioBuffer({ length: audio.sampleRate, sampleRate: audio.sampleRate });
        buffer.getChannelData(0).forEach((_, index, frames) => (frames[index] = 0.003 * (Math.random() - 0.5)));
        const room = new AudioBufferSourceNode(audio, { buffer, loop: true });
        room.connect(out);
        room.start();
      } else if (device.sounds) sound.connect(new GainNode(audio, { gain: 0.2 })).connect(out);
      sound.start();
      // What it plays may be changed while it plays.
      Object.assign(device, { play: (/** @type {number} */ hertz) => (sound.frequency.value = hertz) });
      device.stream = out.stream;
      return out.stream;
    };
  });
}
