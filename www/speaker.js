// The way to the loudspeaker: an audio context, woken wherever a browser has put it to sleep, the sounds that a worker makes
// for it, and the gain that the music needs.
//
// The session hears of it as "sound" (detail: "running" | "asleep").
import { Heard } from "./pkg/riffloom.js";
import { building, sentCore } from "./rooms.js";
import { startWorker } from "./where.js";

/** How long the audio clock may stand still after it was woken, in milliseconds. */
const STANDSTILL = 400;
/** How long what sounds takes to fade when it cannot go on, in milliseconds. */
const FADE = 40;
/** What is heard of a chorus. */
export const IN_CHORUS = [Heard.Chorus, Heard.ChorusAlone, Heard.ChorusBand, Heard.Placement];

export class Speaker {
  /** Where all sound leaves. @type {GainNode | undefined} */
  #out = undefined;
  /** @type {Worker | null} */
  #sampler = null;
  /** Finds the gain that the music needs. @type {Worker | null} */
  #leveller = null;
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  #levelSoon = undefined;

  /**
   * @param {import("./session.js").Session} session
   * @param {WebAssembly.Module} core compiled once, for the page and its workers
   */
  constructor(session, core) {
    this.session = session;
    this.core = core;
    /** @type {AudioContext | null} */
    this.context = null;
    for (const type of ["click", "keydown", "pointerup"]) {
      document.addEventListener(type, () => this.wake(), { capture: true });
    }
    // A call, another program or a headphone that was pulled out may have put sound to sleep: it is woken as soon as
    // the page is seen again or the devices have changed, and else by the next touch.
    document.addEventListener("visibilitychange", () => document.hidden || this.#wakeAgain());
    navigator.mediaDevices?.addEventListener?.("devicechange", () => this.#wakeAgain());
  }

  /** Makes sound possible: call it from every touch; browsers allow sound only then. */
  wake() {
    if (!this.context || this.context.state === "closed") this.#start();
    const { context } = this;
    if (context && context.state !== "running") {
      context.resume().then(
        () => this.#seeThatItRuns(context),
        () => this.#tell(),
      );
    }
  }

  /** Lets what sounds fade, and closes the way out. */
  silence() {
    const { context } = this;
    clearTimeout(this.#levelSoon);
    this.#leveller?.terminate();
    this.context = null;
    if (!context) return;
    this.#out?.gain.setTargetAtTime(0, context.currentTime, FADE / 4000);
    setTimeout(() => context.close().catch(() => {}), 2 * FADE);
  }

  /** Has sounds made that what will play needs, and that are not there yet. */
  askForSamples() {
    const codes = this.session.app.wantedSamples();
    if (codes.length > 0 && this.context) this.#sampler?.postMessage({ codes, rate: this.context.sampleRate });
  }

  /**
   * Has the loudness of a chorus measured and the gain set to it.
   * @param {Heard} heard
   * @param {number} [wait] milliseconds in which another edit may come: a busy page has other things to do first
   */
  level(heard, wait = 0) {
    clearTimeout(this.#levelSoon);
    this.#levelSoon = setTimeout(() => {
      if (!this.context) return;
      const what = heard === Heard.Placement ? Heard.Riff : heard;
      // A measurement of what is played no more is given up.
      this.#leveller?.terminate();
      const leveller = startWorker("workers/mixer.js");
      leveller.onmessage = ({ data }) => {
        this.session.app.setProgramme(data.gain);
        leveller.terminate();
      };
      this.#leveller = leveller;
      const job = this.mixingJob({ wants: "gain", what, choruses: 1, countIn: 0, rate: this.context.sampleRate });
      // Without it the music plays at its plain level.
      job.then(
        (ready) => leveller.postMessage(ready),
        (error) => console.info("The loudness is not measured:", error),
      );
    }, wait);
  }

  /**
   * What a mixer is told, with the tune, the riff and the chorus as they are now.
   * @param {Omit<import("./workers/mixer.js").Job, "records" | "looped" | "building">} job
   * @returns {Promise<import("./workers/mixer.js").Job>}
   */
  async mixingJob(job) {
    const { app } = this.session;
    const [records, looped] = [app.working(), [...app.looped(job.what)]];
    /** @type {import("./rooms.js").Room[]} */
    const rooms = IN_CHORUS.includes(job.what) ? ["files", "mixing", "chorus"] : ["files", "mixing"];
    return { ...job, records, looped, building: await building(this.core, rooms) };
  }

  /**
   * Some devices say that sound runs and it stands still: then a new context is made.
   * @param {AudioContext} context
   */
  #seeThatItRuns(context) {
    this.#tell();
    const { currentTime } = context;
    setTimeout(() => {
      if (context !== this.context || context.state !== "running" || context.currentTime > currentTime) return;
      this.session.goOnIn(() => {
        this.context = null;
        context.close().catch(() => {});
        this.#start();
      });
    }, STANDSTILL);
  }

  /** Wakes a sound that was awake before: an audio context is never made here. */
  #wakeAgain() {
    if (this.context && this.context.state !== "closed" && this.session.playing) this.wake();
  }

  #start() {
    try {
      this.context = new AudioContext({ latencyHint: "interactive" });
      this.context.addEventListener("statechange", () => this.#tell());
      this.session.app.startAudio(this.context);
      this.#out = this.session.app.output();
      this.#sampler ??= this.#startSampler();
      this.askForSamples();
    } catch (error) {
      console.info("No sound:", error);
      this.context = null;
    }
  }

  #startSampler() {
    const sampler = startWorker("workers/sampler.js");
    sampler.addEventListener("message", ({ data }) => this.session.app.giveSample(data.code, data.rate, data.frames));
    sampler.postMessage({ core: sentCore(this.core), codes: [], rate: 0 });
    return sampler;
  }

  #tell() {
    const state = this.context?.state === "running" ? "running" : "asleep";
    this.session.dispatchEvent(new CustomEvent("sound", { detail: state }));
  }
}
