// The microphone: asked for on a switch, heard by a worker, released when it is off.
//
// Listen to it for "state" (`view` has changed), "level" (detail: 0 to 1), "tuner" (detail: a TunerView), "measured"
// (detail: a LoopView). Notes go where keys
// go: `Session.heardAt`. What every state means and what is said of it stands in the core (desk/microphone.rs,
// view/microphone.rs), which runs in the worker.
import { keepDelay, pairInUse } from "./delays.js";
import { building } from "./rooms.js";
import { forWorker, startWorker, where } from "./where.js";

/** @typedef {import("./pkg/riffloom.js").EarView} EarView */
/** @typedef {import("./pkg/riffloom.js").TunerView} TunerView */
/** @typedef {import("./pkg/riffloom.js").LoopView} LoopView */

/** What a device's way in is taken for where the browser does not tell, in seconds. */
const UNKNOWN_LATENCY = 0.01;
/** Numbers for each note, as the worker gives them. */
const NUMBERS = 5;
/** How long a key is still heard when it was let go, and what hears it is behind, in milliseconds. */
const FADES = 400;
/** How many markers are played, how soon and how far apart, in seconds (practice/loopback.rs). */
const [MARKERS, MARKERS_AFTER, MARKERS_APART] = [6, 0.3, 0.8];
/** What is asked for: the sound as it is. */
const PLAIN = { echoCancellation: false, noiseSuppression: false, autoGainControl: false };
/** What was learnt about how notes sound. */
const MODEL = "rooms/listen-model.bin";

export class Microphone extends EventTarget {
  /** @type {Worker | null} */
  #worker = null;
  /** Whether the worker has said anything. */
  #answers = false;
  /** @type {MediaStream | null} */
  #stream = null;
  /** @type {{ context: AudioContext, source: MediaStreamAudioSourceNode, ear: AudioWorkletNode } | null} */
  #graph = null;
  /** Counts the times that it was turned on: what comes late belongs to an older one. */
  #turn = 0;
  /** From a sample's own time to the time at which the player heard what they played to, in seconds. */
  #behind = 0;
  /** Notes that have not ended. @type {Set<number>} */
  #down = new Set();
  /** When each key that was pressed by hand fades, in milliseconds. @type {Map<number, number>} */
  #byHand = new Map();

  /** @param {import("./session.js").Session} session */
  constructor(session) {
    super();
    this.session = session;
    /** @type {EarView | null} */
    this.view = null;
    this.a4 = 440;
    addEventListener("pagehide", () => this.turnOff());
    document.addEventListener("visibilitychange", () => document.hidden && !session.playing && this.turnOff());
    session.addEventListener("key", (event) => {
      const { midi, down, heard } = /** @type {CustomEvent<import("./midi.js").KeyMove>} */ (event).detail;
      if (!heard) this.#byHand.set(midi, down ? Infinity : performance.now() + FADES);
    });
    session.addEventListener("anew", () => this.#again());
    session.addEventListener("sound", () => this.#again());
  }

  /** Whether it is on or about to be. */
  get isOn() {
    return this.view?.state === "on" || this.view?.state === "asking";
  }

  /** Asks the browser for the microphone. */
  async turnOn() {
    const turn = ++this.#turn;
    this.session.wake();
    try {
      this.#worker ??= await this.#started();
    } catch (error) {
      console.info("Nothing can listen:", error);
      this.session.dispatchEvent(new CustomEvent("missing"));
      return;
    }
    this.#fact("ask");
    if (!navigator.mediaDevices?.getUserMedia) return this.#fact("none");
    try {
      const stream = await navigator.mediaDevices.getUserMedia({ audio: PLAIN });
      if (turn !== this.#turn) return stream.getTracks().forEach((track) => track.stop());
      this.#stream = stream;
      const [track] = stream.getAudioTracks();
      if (!track) return this.#fail("NotFoundError");
      track.addEventListener("ended", () => track === this.#stream?.getAudioTracks()[0] && this.#fail("ended"));
      for (const type of ["mute", "unmute"]) track.addEventListener(type, () => this.#fact(type));
      await this.#listen();
      if (track.muted) this.#fact("mute");
    } catch (error) {
      console.info("No microphone:", error);
      if (turn === this.#turn) this.#fail(/** @type {Error} */ (error).name);
    }
  }

  turnOff() {
    if (!this.#stream && !this.isOn) return;
    this.#fail("off");
  }

  /** The band is tuned to this A, in hertz. @param {number} a4 */
  tuneTo(a4) {
    this.a4 = a4;
    this.#worker?.postMessage({ a4 });
  }

  /** Whether the tuner is looked at. @param {boolean} tunes */
  setTuner(tunes) {
    this.#worker?.postMessage({ tunes });
  }

  /** Measures how late this pair of devices hears: markers go out and come in again. */
  measure() {
    if (this.#graph) this.#worker?.postMessage({ marker: this.#graph.context.sampleRate });
  }

  /** @param {Float32Array<ArrayBuffer>} marker */
  #play(marker) {
    if (!this.#graph) return;
    const { context } = this.#graph;
    const buffer = context.createBuffer(1, marker.length, context.sampleRate);
    buffer.copyToChannel(marker, 0);
    const begin = context.currentTime + MARKERS_AFTER;
    const played = Float64Array.from({ length: MARKERS }, (_, index) => begin + MARKERS_APART * index);
    for (const time of played) {
      const source = new AudioBufferSourceNode(context, { buffer });
      source.connect(context.destination);
      source.start(time);
    }
    this.#worker?.postMessage({ played });
  }

  /** @param {LoopView} found */
  async #measured(found) {
    // What the browser told of the way is taken off every note already.
    if (found.seconds !== undefined)
      keepDelay(await pairInUse(this.session), {
        seconds: found.seconds - this.#behind,
        giveOrTake: found.giveOrTake,
        loop: true,
      });
    this.session.dispatchEvent(new CustomEvent("hearing"));
    this.dispatchEvent(new CustomEvent("measured", { detail: found }));
  }

  /** Tells what happened, and lets the device go. @param {string} fact */
  #fail(fact) {
    this.#turn++;
    this.#release();
    this.#fact(fact);
  }

  /** @param {string} fact */
  #fact(fact) {
    this.#worker?.postMessage({ fact, turn: this.#turn });
  }

  async #started() {
    const sent = await building(this.session.core, ["listen"]);
    const worker = startWorker("workers/listener.js");
    this.#answers = false;
    worker.addEventListener("message", ({ data }) => this.#take(data));
    worker.addEventListener("error", () => this.#broken(worker));
    worker.postMessage({ building: sent, model: forWorker(MODEL, where(MODEL)) });
    return worker;
  }

  /**
   * What listens broke, or did not come whole: another one listens from the next press on.
   * @param {Worker} worker
   */
  async #broken(worker) {
    if (worker !== this.#worker) return;
    worker.terminate();
    this.#release();
    this.#turn++;
    this.#worker = null;
    if (!this.#answers) return void this.session.dispatchEvent(new CustomEvent("missing"));
    try {
      this.#worker = await this.#started();
      this.#fact("broken");
    } catch {
      this.session.dispatchEvent(new CustomEvent("missing"));
    }
  }

  /** Leads the stream through the worklet to the worker. */
  async #listen() {
    const { context } = this.session;
    const stream = this.#stream;
    const track = stream?.getAudioTracks()[0];
    if (!context || !stream || !track) throw new Error("there is no sound to listen with");
    await context.audioWorklet.addModule(where("audio/ear.js"));
    if (stream !== this.#stream) return;
    const source = context.createMediaStreamSource(stream);
    // Its way out carries nothing; without one some browsers do not run it.
    const ear = new AudioWorkletNode(context, "ear", { channelCountMode: "max" });
    const { port1, port2 } = new MessageChannel();
    ear.port.postMessage(port1, [port1]);
    source.connect(ear).connect(context.destination);
    this.#graph = { context, source, ear };
    this.#hears(track.label || "a microphone");
    /** @type {MediaTrackSettings & { latency?: number }} */
    const settings = track.getSettings();
    const known = (/** @type {boolean | string | undefined} */ value) =>
      value === undefined ? -1 : Number(Boolean(value));
    const way = settings.latency ?? 0;
    this.#behind = context.currentTime - this.session.heardNow() + (way > 0 && way < 0.5 ? way : UNKNOWN_LATENCY);
    const device = [
      known(settings.echoCancellation),
      known(settings.noiseSuppression),
      known(settings.autoGainControl),
      settings.sampleRate ?? 0,
    ];
    this.#worker?.postMessage({ port: port2, rate: context.sampleRate, a4: this.a4, device, turn: this.#turn }, [
      port2,
    ]);
  }

  /** The page's sound was made anew: what hears goes along. */
  async #again() {
    if (!this.#stream || this.#graph?.context === this.session.context || !this.session.context) return;
    this.#leave();
    await this.#listen().catch((error) => this.#fail(error.name));
  }

  #leave() {
    this.#graph?.source.disconnect();
    this.#graph?.ear.disconnect();
    this.#graph = null;
    for (const midi of this.#down) this.#ended(midi, this.session.heardNow());
  }

  /** Lets the device go: its own light goes out. */
  #release() {
    this.#leave();
    for (const track of this.#stream?.getTracks() ?? []) track.stop();
    this.#stream = null;
    this.#hears("");
  }

  /** @param {string} name of the microphone that is on */
  #hears(name) {
    if (this.session.hearing === name) return;
    this.session.hearing = name;
    this.session.dispatchEvent(new CustomEvent("hearing"));
  }

  /** @param {{ view?: EarView, turn?: number, notes?: Float64Array, level?: number, tuner?: TunerView, marker?: Float32Array<ArrayBuffer>, measured?: LoopView }} told */
  #take({ view, turn, notes, level, tuner, marker, measured }) {
    // How it stood before the last press of the switch is over.
    this.#answers = true;
    if (view && turn === this.#turn) {
      this.view = view;
      if (!this.isOn && this.#stream) this.#release();
      this.dispatchEvent(new CustomEvent("state"));
    }
    if (level !== undefined) this.dispatchEvent(new CustomEvent("level", { detail: level }));
    if (tuner) this.dispatchEvent(new CustomEvent("tuner", { detail: tuner }));
    if (marker) this.#play(marker);
    if (measured) this.#measured(measured);
    for (let at = 0; notes && at + NUMBERS <= notes.length; at += NUMBERS) {
      const [begins, heard = 0, midi = 0, velocity = 0] = notes.subarray(at, at + NUMBERS);
      const time = heard - this.#behind;
      if (begins) this.#began(midi, time, velocity);
      else this.#ended(midi, time);
    }
  }

  /**
   * @param {number} midi
   * @param {number} time
   * @param {number} velocity
   */
  #began(midi, time, velocity) {
    // While a key sounds, the microphone hears the loudspeaker: the key has told of that note already.
    if ([...this.#byHand.values()].some((until) => until > performance.now())) return;
    // It plays one voice: what still sounds is over where the next one begins.
    for (const old of this.#down) this.#ended(old, time);
    this.#down.add(midi);
    this.session.heardAt(midi, time, velocity);
    this.#key(midi, true, velocity);
  }

  /**
   * @param {number} midi
   * @param {number} time
   */
  #ended(midi, time) {
    if (!this.#down.delete(midi)) return;
    this.session.letGoAt(midi, time);
    this.#key(midi, false, 0);
  }

  /**
   * Lights the key on the screen.
   * @param {number} midi
   * @param {boolean} down
   * @param {number} velocity
   */
  #key(midi, down, velocity) {
    this.session.dispatchEvent(
      new CustomEvent("key", { detail: { midi, down, velocity, accent: false, time: performance.now(), heard: true } }),
    );
  }
}
