// Takes: what a person records with the microphone. Pieces come from the worker that listens and are written one by one; a
// take can be heard, thrown away and had back, and saved as a file. Nothing of it leaves the device.
import { freshId } from "../ids.js";
import { takes } from "../pkg/riffloom.js";
import { Heard, today } from "../session.js";
import { playedBars } from "../views/follow.js";
import { TakePlayer, unpacked } from "./player.js";
import { TakeStore } from "./store.js";

/** @typedef {import("../pkg/riffloom.js").Take} Take */
/** @typedef {import("../pkg/riffloom.js").TakesView} TakesView */
/** @typedef {import("../pkg/riffloom.js").PositionView} PositionView */
/** @typedef {{ take: Take, index: number, begun: number, withBand: boolean, isTold: boolean, first?: PositionView, last?: PositionView, round: import("../pkg/riffloom.js").Comes[], releases: boolean }} Recording */

/** The longest take, in seconds (`desk::takes::LONGEST`). */
export const LONGEST = 600;
/** How often it is looked whether there is room, in pieces. */
const ROOM_EVERY = 5;

/**
 * Tells "changed" when a take, or whether one is recorded or played, has changed; "grew" with each piece that was kept;
 * and "trouble" (detail: why recording ended or a take cannot be heard, in a sentence).
 */
export class Takes extends EventTarget {
  store = new TakeStore();
  /** All takes, also those that were thrown away and can be had back. @type {Take[]} */
  all = [];
  /** @type {Recording | null} */
  recording = null;
  /** Whether the microphone is being asked for. */
  isBeginning = false;
  /** Pieces are written one after the other. */
  #writing = Promise.resolve();
  #others = "BroadcastChannel" in globalThis ? new BroadcastChannel("riffloom takes") : null;

  /**
   * @param {import("../session.js").Session} session
   * @param {import("../microphone.js").Microphone} microphone
   */
  constructor(session, microphone) {
    super();
    this.session = session;
    this.microphone = microphone;
    this.player = new TakePlayer(session, this.store);
    this.player.addEventListener("changed", () => this.#tell());
    microphone.addEventListener("piece", (event) => {
      const piece = /** @type {CustomEvent<import("./packer.js").Piece>} */ (event).detail;
      this.#writing = this.#writing.then(() => this.#keep(piece));
    });
    microphone.addEventListener("recorded", () => (this.#writing = this.#writing.then(() => this.#finish())));
    session.addEventListener("planned", () => this.#follow());
    session.addEventListener("playing", () => !session.playing && this.recording?.withBand && this.end());
    session.addEventListener("gone", () => this.recording?.take.over !== session.place && this.end());
    this.#others?.addEventListener("message", () => void this.read());
    void this.#open();
  }

  async #open() {
    await this.read();
    // What was thrown away could be had back until the page was left.
    const gone = this.all.filter((take) => take.gone).map(({ id }) => id);
    if (gone.length === 0) return;
    await this.store.forget(gone).catch(() => {});
    await this.read();
  }

  /** Reads what is kept. */
  async read() {
    const all = await this.store.all();
    const own = this.recording?.take;
    this.all = own ? [...all.filter(({ id }) => id !== own.id), own] : all;
    this.#tell();
  }

  #tell() {
    this.dispatchEvent(new CustomEvent("changed"));
  }

  /** @param {string} what */
  #trouble(what) {
    this.dispatchEvent(new CustomEvent("trouble", { detail: takes({ trouble: { what } }, new Uint8Array()) }));
  }

  /** What is shown of them; nothing where its room of the core is not open. @returns {TakesView | undefined} */
  view() {
    const shown = this.all.filter(({ id }) => id !== this.recording?.take.id);
    return takes({ show: { takes: shown, link: this.session.link(), today: today() } }, new Uint8Array());
  }

  /** How loud a take is played. @param {string} id */
  gainOf(id) {
    return this.view()?.takes.find((row) => row.id === id)?.gain ?? 1;
  }

  /**
   * Begins to record, with the microphone turned on where it is not; a person has pressed a button.
   * @param {boolean} withBand whether the band begins, too
   * @param {string} [over] what is being done: the part of the page
   */
  async begin(withBand, over = this.session.place) {
    const { session, microphone } = this;
    if (this.recording || this.isBeginning) return;
    this.isBeginning = true;
    this.player.stop();
    this.#tell();
    const releases = !microphone.hears;
    if (await this.store.isNearlyFull()) this.#trouble("nearly-full");
    else {
      if (releases) await microphone.turnOn();
      const isNamed = await session.opened("files");
      if (microphone.hears) this.#begin({ over, link: isNamed ? session.link() : "" }, releases, withBand);
    }
    this.isBeginning = false;
    this.#tell();
    if (!this.recording || !withBand || session.playing) return;
    if (session.place === "practice") void session.practise();
    else session.play(Heard.Band);
  }

  /**
   * @param {Pick<Take, "over" | "link">} about
   * @param {boolean} releases whether the microphone is turned off afterwards
   * @param {boolean} withBand
   */
  #begin(about, releases, withBand) {
    const now = new Date();
    /** @type {Take} */
    const take = {
      id: freshId(),
      began: now.getTime(),
      day: today(),
      minute: 60 * now.getHours() + now.getMinutes(),
      ...about,
      rate: 0,
      frames: 0,
      bytes: 0,
      peaks: [],
      ended: false,
      place: undefined,
      gone: false,
    };
    this.recording = { take, index: 0, begun: NaN, withBand, isTold: false, round: [], releases };
    this.all.push(take);
    this.microphone.record();
    this.#follow();
  }

  /**
   * Ends recording: what was recorded is kept.
   * @param {string} [why] what is said of it
   */
  end(why) {
    if (!this.recording || !this.microphone.recording) return;
    this.microphone.endRecord();
    if (this.recording.releases) this.microphone.turnOff();
    if (this.recording.withBand && this.session.playing) this.session.stop();
    if (why) this.#trouble(why);
  }

  /** Where the form stands first and last while it is recorded. */
  #follow() {
    const { recording, session } = this;
    const { tapping, drill, bar: one = -1 } = session.practice ?? {};
    const isPractice = session.place === "practice";
    // Clicks to tap along to, drills, and what a riff is played in over, are no form.
    const isForm = isPractice ? !tapping && !drill : recording?.take.over === "play";
    if (!recording || !session.context || !isForm) return;
    const passed = session.plan.positions.filter(
      ({ bar, time }) => bar >= 0 && time <= (session.context?.currentTime ?? 0),
    );
    recording.first ??= passed[0];
    recording.last = passed.at(-1) ?? recording.last;
    if (recording.round.length > 0) return;
    const bars = session.screen.form?.lines.flatMap((line) => line.bars) ?? [];
    const round = isPractice && one >= 0 ? [one] : playedBars(bars);
    // A part of the form that was looped is another form when it is heard again.
    if (round.length === bars.length) recording.round = round.map((bar) => ({ bar, beats: bars[bar]?.beats ?? 4 }));
  }

  /** @param {import("./packer.js").Piece} piece */
  async #keep({ packed, frames, peaks, begins, rate }) {
    const { recording } = this;
    if (!recording) return;
    const { take } = recording;
    if (recording.index === 0) recording.begun = begins - (await this.microphone.late());
    take.rate = rate;
    take.frames += frames;
    take.bytes += packed.byteLength;
    take.peaks.push(...peaks);
    const unkept = await this.store.keep(take, { index: recording.index, packed });
    recording.index++;
    this.dispatchEvent(new CustomEvent("grew"));
    if (unkept === "full") this.end("full");
    else if (unkept && !recording.isTold) this.#trouble(unkept);
    recording.isTold ||= unkept !== "";
    if (take.frames >= LONGEST * rate) this.end("longest");
    else if (recording.index % ROOM_EVERY === 0 && (await this.store.isNearlyFull())) this.end("stopped-for-room");
  }

  async #finish() {
    const { recording } = this;
    if (!recording) return;
    const { take, first, last, round, begun } = recording;
    take.ended = true;
    // What was hummed in is a riff only now.
    if (take.over === "riff") take.link = this.session.link();
    if (take.frames > 0 && first && last) {
      const stood = (/** @type {PositionView} */ { time, ...at }) => ({ ...at, time: time - begun });
      take.place = takes({ lie: { first: stood(first), last: stood(last), round } }, new Uint8Array());
    }
    this.recording = null;
    if (recording.releases && this.microphone.hears) this.microphone.turnOff();
    if (take.frames > 0) {
      await this.store.keep(take);
      void navigator.storage?.persist?.();
      this.#others?.postMessage("kept");
    }
    await this.read();
  }

  /**
   * Plays a take; it is over when this resolves.
   * @param {string} id
   * @param {import("./player.js").Way} way
   * @param {number} gain
   */
  async hear(id, way, gain) {
    const take = this.all.find((each) => each.id === id);
    if (!take || this.recording) return;
    if ((await this.store.piece(id, 0)) === undefined) return this.#trouble("lost");
    if (!(await this.player.play(take, way, gain))) this.#trouble("damaged");
  }

  /**
   * Throws takes away, or takes them back out of what was thrown away.
   * @param {string[]} ids
   * @param {boolean} gone
   */
  async setGone(ids, gone) {
    for (const take of this.all.filter(({ id }) => ids.includes(id))) {
      // Another tab that was opened since may have thrown it away for good.
      if (!gone && (await this.store.piece(take.id, 0)) === undefined) {
        this.#trouble("lost");
        continue;
      }
      if (gone && this.player.playing === take.id) this.player.stop();
      take.gone = gone;
      await this.store.keep(take);
    }
    this.#others?.postMessage("kept");
    this.#tell();
  }

  /**
   * A take as a WAV file, sample by sample as it was recorded.
   * @param {string} id
   * @returns {Promise<Blob | undefined>}
   */
  async file(id) {
    const take = this.all.find((each) => each.id === id);
    if (!take) return undefined;
    /** @type {Uint8Array<ArrayBuffer>[]} */
    const pieces = [];
    for (let index = 0; ; index++) {
      const piece = await unpacked(this.store, id, index, "pcm");
      if (!piece) break;
      pieces.push(/** @type {Uint8Array<ArrayBuffer>} */ (piece));
    }
    const frames = pieces.reduce((sum, { length }) => sum + length / 2, 0);
    if (frames === 0) return void this.#trouble("lost");
    if (frames < take.frames) this.#trouble("damaged");
    const head = takes({ "wav-head": { frames, rate: take.rate } }, new Uint8Array());
    return new Blob([head, ...pieces], { type: "audio/wav" });
  }
}
