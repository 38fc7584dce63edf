// The microphone: asked for on a switch, heard by a worker, released when it is off.
//
// Listen to it for "state" (`view` has changed), "level" (detail: 0 to 1), "tuner" (detail: a TunerView), "measured"
// (detail: a LoopView); for "record" and "recorded" (recording began, and ended), and between them for "piece" (detail: a
// Piece). Notes go where keys go: `Session.heardAt`. What every state means and what is said of it stands in the core
// (desk/microphone.rs, view/microphone.rs), which runs in the worker.
import { keepDelay, pairInUse, recallDelay } from "./delays.js";
import { building } from "./rooms.js";
import { forWorker, startWorker, where } from "./where.js";
import { isOn } from "./wishes.js";

/** @typedef {import("./pkg/riffloom.js").EarView} EarView */
/** @typedef {import("./pkg/riffloom.js").TunerView} TunerView */
/** @typedef {import("./pkg/riffloom.js").LoopView} LoopView */
/** @typedef {import("./takes/packer.js").Piece} Piece */

/** What a device's way in is taken for where the browser does not tell, in seconds. */
const UNKNOWN_LATENCY = 0.01;
/**
 * What the page plays is heard up to so much later than it was played, in seconds (listen/echo.rs): where it takes longer, what
 * was played is held back until it can come. So much of the way is left to be learnt where it was measured.
 */
const [REACH, LEFT_TO_LEARN] = [0.1, 0.05];
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
  /** @type {{ context: AudioContext, source: MediaStreamAudioSourceNode, ear: AudioWorkletNode, played: DelayNode } | null} */
  #graph = null;
  /** Where the page's own sound is taken from. @type {AudioNode | undefined} */
  #beside = undefined;
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
    /** Whether what is heard is recorded: whoever begins it sees to the pieces (www/takes/takes.js). */
    this.recording = false;
    addEventListener("pagehide", () => this.turnOff());
    document.addEventListener("visibilitychange", () => document.hidden && !session.playing && this.turnOff());
    session.addEventListener("key", (event) => {
      const { midi, down, heard } = /** @type {CustomEvent<import("./midi.js").KeyMove>} */ (event).detail;
      if (!heard) this.#byHand.set(midi, down ? Infinity : performance.now() + FADES);
    });
    session.addEventListener("anew", () => this.#again());
    session.addEventListener("sound", () => this.#again());
    session.addEventListener("wish", () => this.#hearBeside());
  }

  /** Whether it is on or about to be. */
  get isOn() {
    return this.view?.state === "on" || this.view?.state === "asking";
  }

  /** Whether sound comes from it. */
  get hears() {
    return this.#graph !== null;
  }

  /**
   * How much later a sample comes than the moment at which what was played to was handed out, in seconds: what was
   * measured of these devices, or else what the browser tells.
   */
  async late() {
    return this.#behind + (recallDelay(await pairInUse(this.session))?.seconds ?? 0);
  }

  /** Begins to record. */
  record() {
    this.recording = true;
    this.#worker?.postMessage({ record: true });
    this.dispatchEvent(new CustomEvent("record"));
  }

  /** Ends it; the last piece comes, and then "recorded". */
  endRecord() {
    if (this.recording) this.#worker?.postMessage({ record: false });
  }

  #recorded() {
    if (!this.recording) return;
    this.recording = false;
    this.dispatchEvent(new CustomEvent("recorded"));
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

  /**
   * A delay that was learnt from what the page played: it is kept where none is, or another one.
   * @param {LoopView} found
   */
  async #learnt(found) {
    const kept = recallDelay(await pairInUse(this.session));
    const off = Math.abs((found.seconds ?? 0) - this.#behind - (kept?.seconds ?? 0));
    if (!kept?.loop || off > kept.giveOrTake + found.giveOrTake) await this.#measured(found);
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
    const sent = await building(this.session.core, ["listen", "takes"]);
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
    this.#recorded();
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
    const ear = new AudioWorkletNode(context, "ear", { numberOfInputs: 2, channelCountMode: "max" });
    const { port1, port2 } = new MessageChannel();
    ear.port.postMessage(port1, [port1]);
    source.connect(ear).connect(context.destination);
    const played = new DelayNode(context, { maxDelayTime: 1 });
    played.connect(ear, 0, 1);
    this.#graph = { context, source, ear, played };
    this.#hears(track.label || "a microphone");
    /** @type {MediaTrackSettings & { latency?: number }} */
    const settings = track.getSettings();
    const known = (/** @type {boolean | string | undefined} */ value) =>
      value === undefined ? -1 : Number(Boolean(value));
    const way = settings.latency ?? 0;
    this.#behind = context.currentTime - this.session.heardNow() + (way > 0 && way < 0.5 ? way : UNKNOWN_LATENCY);
    this.#hearBeside();
    void this.#holdBack();
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

  /** Hands what the page plays over beside what is heard, so that it can be taken out; in headphones nothing of it comes back. */
  #hearBeside() {
    this.#leaveBeside();
    if (!this.#graph || isOn("headphones")) return;
    this.#beside = this.session.app.output();
    this.#beside?.connect(this.#graph.played);
  }

  #leaveBeside() {
    // What was of an earlier sound went with it.
    if (this.#graph && this.#graph.context === this.session.context) this.#beside?.disconnect(this.#graph.played);
    this.#beside = undefined;
  }

  /** Holds what was played back where it takes long until it is heard: as long as it does for certain. */
  async #holdBack() {
    const graph = this.#graph;
    const kept = recallDelay(await pairInUse(this.session));
    if (!graph || graph !== this.#graph) return;
    const measured = kept?.loop ? this.#behind + kept.seconds : undefined;
    const late = measured ?? this.#behind;
    // What a browser tells may be too much by half.
    const held = late < REACH ? 0 : measured ? late - LEFT_TO_LEARN : late / 2;
    const { sampleRate } = graph.context;
    // Whole frames: what is handed over is what was played, sample by sample.
    const holds = Math.round(Math.min(held, 1) * sampleRate) / sampleRate;
    graph.played.delayTime.value = holds;
    this.#worker?.postMessage({ holds });
  }

  /** The page's sound was made anew: what hears goes along. */
  async #again() {
    if (!this.#stream || this.#graph?.context === this.session.context || !this.session.context) return;
    this.#leave();
    await this.#listen().catch((error) => this.#fail(error.name));
  }

  #leave() {
    this.endRecord();
    this.#leaveBeside();
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

  /** @param {{ view?: EarView, turn?: number, notes?: Float64Array, level?: number, tuner?: TunerView, marker?: Float32Array<ArrayBuffer>, measured?: LoopView, learnt?: LoopView, piece?: Piece, recorded?: boolean }} told */
  #take({ view, turn, notes, level, tuner, marker, measured, learnt, piece, recorded }) {
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
    if (measured) void this.#measured(measured).then(() => this.#holdBack());
    if (learnt) void this.#learnt(learnt);
    if (piece) this.dispatchEvent(new CustomEvent("piece", { detail: piece }));
    if (recorded) this.#recorded();
    for (let at = 0; notes && at + NUMBERS <= notes.length; at += NUMBERS) {
      const [begins, heard = 0, midi = 0, velocity = 0, above = 0] = notes.subarray(at, at + NUMBERS);
      const time = heard - this.#behind;
      if (begins) this.#began(midi, time, velocity, above);
      else this.#ended(midi, time);
    }
  }

  /**
   * @param {number} midi
   * @param {number} time
   * @param {number} velocity
   * @param {number} above in cents
   */
  #began(midi, time, velocity, above) {
    // While a key sounds, the microphone hears the loudspeaker: the key has told of that note already.
    if ([...this.#byHand.values()].some((until) => until > performance.now())) return;
    // It plays one voice: what still sounds is over where the next one begins.
    for (const old of this.#down) this.#ended(old, time);
    this.#down.add(midi);
    this.session.heardAt(midi, time, velocity, above);
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
