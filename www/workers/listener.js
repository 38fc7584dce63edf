// Hears a microphone with an instance of the core of its own: the worklet's samples come here without passing the page.
//
// The page sends { building, model } once; { port, rate, a4, device } when the microphone is on, with the way from the
// worklet; { fact } for what happens to the device; { a4 } alone when the band is tuned; { tunes } while the tuner is
// looked at; { marker } for a sound to measure with, and { played } when it was played; { holds } for how long what the page
// plays is held back on its way here; { record } to begin and to end recording. It is told { view, turn } (`turn` is the one
// that came last), { notes }, { level, tuner }, { marker }, { measured }, { learnt } for a delay that was not asked for, and of
// what is recorded { piece }, and { recorded } when the last one was told.
import init, {
  earBegin,
  earLate,
  earLevel,
  earMarker,
  earMeasure,
  earPitch,
  earPush,
  earTell,
  earTune,
  earView,
} from "../pkg/riffloom.js";
import { openSent } from "../rooms.js";
import { Packer } from "../takes/packer.js";

/** Numbers for each note (see `earPush`). */
const NUMBERS = 5;
/** How often the level and the pitch are told, and the delay is looked for, in pieces of sound. */
const [LEVEL_EVERY, LATE_EVERY] = [8, 32];
/** How long after the last marker was played measuring goes on, in seconds. */
const LAST_MARKER = 0.8;
/** What was played where nothing was. */
const SILENCE = new Float32Array();

/** @type {Promise<Uint8Array> | undefined} */
let ready;
/** @type {MessagePort | null} */
let port = null;
let lastTurn = 0;
let tuning = false;
/** @typedef {{ played: Float64Array, first: number, heard: Float32Array[] }} Measuring */
/** What is heard while the delay is measured: notes are not told then. @type {Measuring | null} */
let measuring = null;
/** How long what is played is held back before it comes here, in seconds. */
let held = 0;
/** Whether what is heard is to be recorded, and what does. */
let records = false;
/** @type {Packer | null} */
let packer = null;

/**
 * @typedef {object} Told
 * @property {import("../rooms.js").Building} [building]
 * @property {string | ArrayBuffer} [model] where its file is, or what it holds
 * @property {MessagePort} [port]
 * @property {number} [rate]
 * @property {number} [a4]
 * @property {number[]} [device]
 * @property {string} [fact]
 * @property {boolean} [tunes]
 * @property {number} [marker] frames a second
 * @property {boolean} [record]
 * @property {number} [holds] seconds by which what is played is held back
 * @property {Float64Array} [played] times of the audio clock, in seconds
 * @property {number} [turn] counts the times that the microphone was turned on or off
 */

self.addEventListener("message", (/** @type {MessageEvent<Told>} */ event) => {
  take(event.data).catch(reportError);
});

/** @param {Told} told */
async function take({
  building,
  model,
  port: from,
  rate = 0,
  a4,
  device = [],
  fact,
  tunes,
  marker,
  played,
  record,
  holds,
  turn,
}) {
  if (building) ready = start(building, model ?? "");
  const bytes = await ready;
  // Only now: what was told before may have waited, too, and is done by now.
  [lastTurn, tuning, held] = [turn ?? lastTurn, tunes ?? tuning, holds ?? held];
  if (marker) self.postMessage({ marker: earMarker(marker) });
  if (played) measuring = { played, first: -1, heard: [] };
  if (fact) {
    earTell(fact);
    if (fact !== "mute" && fact !== "unmute") leave();
  }
  if (record === false) ended();
  if (from) {
    leave();
    earBegin(rate, a4 ?? 440, Float64Array.from(device), bytes ?? new Uint8Array());
    listen(from, rate);
  } else if (a4) earTune(a4);
  if (record) {
    records = true;
    earTell("record");
  }
  tell();
}

/**
 * @param {import("../rooms.js").Building} building
 * @param {string | ArrayBuffer} model
 */
async function start(building, model) {
  const [bytes] = await Promise.all([
    typeof model === "string" ? fetched(model) : new Uint8Array(model),
    init({ module_or_path: building.core }).then(() => openSent(building)),
  ]);
  return bytes;
}

/** @param {string} address */
async function fetched(address) {
  const response = await fetch(address);
  if (!response.ok) throw new Error(`${address}: ${response.status}`);
  return new Uint8Array(await response.arrayBuffer());
}

/**
 * @param {MessagePort} from
 * @param {number} rate
 */
function listen(from, rate) {
  port = from;
  let first = -1;
  let pieces = 0;
  port.onmessage = ({ data: { frame, samples, plays } }) => {
    if (port !== from) return;
    if (first < 0) first = frame;
    // As the worklet sends them (audio/ear.js).
    const [heard, left, right] = thirds(samples);
    if (records) (packer ??= new Packer(rate, frame / rate)).take(heard);
    const notes = earPush(heard, plays ? left : SILENCE, plays ? right : SILENCE);
    const measures = measuring;
    if (measures) keep(measures, frame / rate, heard, rate);
    from.postMessage(samples, [samples.buffer]);
    // From the first sample's time to the audio clock's.
    for (let at = 1; at < notes.length; at += NUMBERS) notes[at] = /** @type {number} */ (notes[at]) + first / rate;
    if (notes.length > 0 && !measures) self.postMessage({ notes });
    if (++pieces % LEVEL_EVERY === 0) self.postMessage({ level: earLevel(), tuner: tuning ? earPitch() : undefined });
    if (plays && !measures && pieces % LATE_EVERY === 0) {
      const learnt = earLate(held);
      if (learnt) self.postMessage({ learnt });
    }
    if (pieces % LEVEL_EVERY === 0 || notes.length > 0) tell();
  };
}

/**
 * @param {Float32Array} samples
 * @returns {[Float32Array, Float32Array, Float32Array]}
 */
function thirds(samples) {
  const third = samples.length / 3;
  return [samples.subarray(0, third), samples.subarray(third, 2 * third), samples.subarray(2 * third)];
}

/**
 * Keeps what is heard of markers, until the last one has come.
 * @param {Measuring} now
 * @param {number} time at which the piece begins
 * @param {Float32Array} samples
 * @param {number} rate
 */
function keep(now, time, samples, rate) {
  if (now.first < 0) now.first = time;
  now.heard.push(samples.slice());
  if (time < (now.played.at(-1) ?? 0) + LAST_MARKER) return;
  const all = new Float32Array(now.heard.length * samples.length);
  now.heard.forEach((piece, index) => all.set(piece, index * samples.length));
  measuring = null;
  self.postMessage({ measured: earMeasure(all, rate, now.first, now.played) });
}

/** Recording is over: what was heard until now is told. */
function ended() {
  if (!records) return;
  records = false;
  earTell("recorded");
  const all = packer?.end();
  packer = null;
  Promise.resolve(all)
    .catch(reportError)
    .finally(() => self.postMessage({ recorded: true }));
}

function leave() {
  ended();
  measuring = null;
  port?.close();
  port = null;
}

/** Tells how it stands where that has changed. */
function tell() {
  const view = earView();
  if (view) self.postMessage({ view, turn: lastTurn });
}
