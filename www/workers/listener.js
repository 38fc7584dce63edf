// Hears a microphone with an instance of the core of its own: the worklet's samples come here without passing the page.
//
// The page sends { building, model } once; { port, rate, a4, device } when the microphone is on, with the way from the
// worklet; { fact } for what happens to the device. It is told { view, turn }, { notes }, { level }; `turn` is the one that came last.
import init, { earBegin, earLevel, earPush, earTell, earView } from "../pkg/riffloom.js";
import { openSent } from "../rooms.js";

/** Numbers for each note (see `earPush`). */
const NUMBERS = 5;
/** How often the level is told, in pieces of sound. */
const LEVEL_EVERY = 8;

/** @type {Promise<Uint8Array> | undefined} */
let ready;
/** @type {MessagePort | null} */
let port = null;
let lastTurn = 0;

/**
 * @typedef {object} Told
 * @property {import("../rooms.js").Building} [building]
 * @property {string} [model] where its file is
 * @property {MessagePort} [port]
 * @property {number} [rate]
 * @property {number} [a4]
 * @property {number[]} [device]
 * @property {string} [fact]
 * @property {number} [turn] counts the times that the microphone was turned on or off
 */

self.addEventListener("message", (/** @type {MessageEvent<Told>} */ event) => {
  take(event.data).catch(reportError);
});

/** @param {Told} told */
async function take({ building, model, port: from, rate = 0, a4 = 440, device = [], fact, turn = lastTurn }) {
  if (building) ready = start(building, model ?? "");
  const bytes = await ready;
  lastTurn = turn;
  if (fact) {
    earTell(fact);
    if (fact !== "mute" && fact !== "unmute") leave();
  }
  if (from) {
    leave();
    earBegin(rate, a4, Float64Array.from(device), bytes ?? new Uint8Array());
    listen(from, rate);
  }
  tell();
}

/**
 * @param {import("../rooms.js").Building} building
 * @param {string} model
 */
async function start(building, model) {
  const [bytes] = await Promise.all([
    fetch(model).then(async (response) => (response.ok ? new Uint8Array(await response.arrayBuffer()) : new Uint8Array())),
    init({ module_or_path: building.core }).then(() => openSent(building)),
  ]);
  return bytes;
}

/**
 * @param {MessagePort} from
 * @param {number} rate
 */
function listen(from, rate) {
  port = from;
  let first = -1;
  let pieces = 0;
  port.onmessage = ({ data: { frame, samples } }) => {
    if (port !== from) return;
    if (first < 0) first = frame;
    const notes = earPush(samples);
    from.postMessage(samples, [samples.buffer]);
    // From the first sample's time to the audio clock's.
    for (let at = 1; at < notes.length; at += NUMBERS) notes[at] = /** @type {number} */ (notes[at]) + first / rate;
    if (notes.length > 0) self.postMessage({ notes });
    if (++pieces % LEVEL_EVERY === 0) self.postMessage({ level: earLevel() });
    if (pieces % LEVEL_EVERY === 0 || notes.length > 0) tell();
  };
}

function leave() {
  port?.close();
  port = null;
}

/** Tells how it stands where that has changed. */
function tell() {
  const view = earView();
  if (view) self.postMessage({ view, turn: lastTurn });
}
