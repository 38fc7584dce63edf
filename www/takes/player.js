// Plays a take: by itself, or over the form, laid where it was played, with the band or without.
import { takes } from "../pkg/riffloom.js";
import { go } from "../views/tabs.js";
import { through } from "./deflate.js";

/** @typedef {import("../pkg/riffloom.js").Take} Take */
/** What plays. @typedef {{ id: string, way: Way, out: GainNode, sources: Set<AudioBufferSourceNode> }} Now */
/** How a take is heard: by itself, with the map moving, or with the band, too. @typedef {"alone" | "form" | "band"} Way */

/** How soon it begins, in seconds. */
const SOON = 0.15;
/** So much is made ready ahead, in seconds. */
const AHEAD = 3;
/** How long what sounds takes to fade, in seconds: the time constant, and all of it. */
const [FADE, FADED] = [0.01, 0.1];

/** Tells "changed" when another take plays, or none. */
export class TakePlayer extends EventTarget {
  /** @type {Now | null} */
  #now = null;

  /**
   * @param {import("../session.js").Session} session
   * @param {import("./store.js").TakeStore} store
   */
  constructor(session, store) {
    super();
    this.session = session;
    this.store = store;
    session.addEventListener("playing", () => {
      // Whatever else is played or stopped, it is over.
      if (this.#now && session.playing !== (this.#now.way !== "alone")) this.stop();
    });
    session.addEventListener("anew", () => this.stop());
  }

  /** The take that plays. */
  get playing() {
    return this.#now?.id ?? "";
  }

  /**
   * Plays; resolves when it is over or stopped, with whether all of it read.
   * @param {Take} take
   * @param {Way} way
   * @param {number} gain
   */
  async play(take, way, gain) {
    this.stop();
    this.session.stop();
    this.session.wake();
    const { context } = this.session;
    const all = this.session.app.output();
    if (!context || !all) return true;
    const out = new GainNode(context, { gain });
    // The way of all that the page plays: a microphone that is on knows it for the page's own.
    out.connect(all);
    /** @type {Now} */
    const now = { id: take.id, way, out, sources: new Set() };
    this.#now = now;
    this.dispatchEvent(new CustomEvent("changed"));
    const begin = way === "alone" ? context.currentTime + SOON : this.#onForm(take, way);
    const isWhole = await this.#hand(take, begin, now);
    if (this.#now === now) this.stop();
    return isWhole;
  }

  /** Stops what plays, and the form with it. */
  stop() {
    const now = this.#now;
    if (!now) return;
    this.#now = null;
    const { context } = now.out;
    now.out.gain.setTargetAtTime(0, context.currentTime, FADE);
    for (const source of now.sources) source.stop(context.currentTime + FADED);
    if (now.way !== "alone") this.session.stop();
    this.dispatchEvent(new CustomEvent("changed"));
  }

  /**
   * Begins the form, and tells when the take does, in seconds of the audio clock.
   * @param {Take} take
   * @param {Way} way
   */
  #onForm({ place }, way) {
    const { session } = this;
    if (session.place !== "play") go(session, "play");
    const bars = session.screen.form?.lines.flatMap((line) => line.bars) ?? [];
    if (bars.some((bar) => bar.looped)) session.do({ do: "set-loop", bars: undefined });
    // What is heard again is not taken for what is played now.
    session.listensAgain = true;
    if (way === "form") session.followFrom(place?.bar ?? 0);
    else session.playFrom(place?.bar ?? 0);
    const { positions } = session.plan;
    const bar = positions.find((point) => point.bar >= 0);
    const count = positions.findLast((point) => point.bar < 0);
    const lineOf = (/** @type {import("../pkg/riffloom.js").PositionView} */ point) =>
      point.time - point.fraction / point.speed;
    // Slow counting reaches beyond what is planned: the bar begins where it ends.
    const line = bar ? lineOf(bar) : count ? lineOf(count) + 1 / count.speed : 0;
    return line - (place?.seconds ?? 0);
  }

  /**
   * Hands out the pieces, each a little before it sounds.
   * @param {Take} take
   * @param {number} begin
   * @param {Now} now
   */
  async #hand({ id, rate, frames }, begin, now) {
    const context = /** @type {AudioContext} */ (now.out.context);
    let handed = 0;
    for (let index = 0; handed < frames; index++) {
      const samples = await unpacked(this.store, id, index, "floats");
      if (this.#now !== now) return true;
      if (!samples) break;
      const at = begin + handed / rate;
      handed += samples.length;
      this.#sound(/** @type {Float32Array<ArrayBuffer>} */ (samples), rate, at, now);
      while (this.#now === now && begin + handed / rate > context.currentTime + AHEAD) await passed(AHEAD / 4);
    }
    while (this.#now === now && begin + handed / rate > context.currentTime) await passed(0.1);
    return handed >= frames;
  }

  /**
   * @param {Float32Array<ArrayBuffer>} samples
   * @param {number} rate
   * @param {number} at
   * @param {Now} now
   */
  #sound(samples, rate, at, { out, sources }) {
    const buffer = new AudioBuffer({ length: samples.length, sampleRate: rate });
    buffer.copyToChannel(samples, 0);
    // What should sound already is left out, so that all else comes in its time.
    const late = Math.max(out.context.currentTime + SOON / 3 - at, 0);
    if (late >= buffer.duration) return;
    const source = new AudioBufferSourceNode(out.context, { buffer });
    source.connect(out);
    sources.add(source);
    source.addEventListener("ended", () => {
      source.disconnect();
      sources.delete(source);
    });
    source.start(at + late, late);
  }
}

/**
 * The samples of one piece, as floats or as bytes of a WAV file; undefined where there is none or it does not read.
 * @param {import("./store.js").TakeStore} store
 * @param {string} id
 * @param {number} index
 * @param {"floats" | "pcm"} as
 * @returns {Promise<Float32Array<ArrayBuffer> | Uint8Array<ArrayBuffer> | undefined>}
 */
export async function unpacked(store, id, index, as) {
  try {
    const packed = await store.piece(id, index);
    if (!packed) return undefined;
    return takes(as, new Uint8Array(await through(new DecompressionStream("deflate-raw"), packed)));
  } catch (error) {
    console.info("A piece of a take does not read:", error);
    return undefined;
  }
}

/** @param {number} seconds */
function passed(seconds) {
  return new Promise((resolve) => setTimeout(resolve, 1000 * seconds));
}
