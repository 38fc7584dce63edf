// Packs what a microphone hears while it is recorded, in the worker that listens: a piece every few seconds, without loss
// (src/files/take.rs), so that whatever happens to the page the last seconds are lost at most.
import { takes } from "../pkg/riffloom.js";
import { through } from "./deflate.js";

/** @typedef {{ packed: ArrayBuffer, frames: number, peaks: number[], begins: number, rate: number }} Piece `begins`: when its first frame was heard, in seconds of the audio clock */

/** How long a piece is, in seconds. */
const SECONDS = 2;
/** Where the levels stand in what the core packs. */
const PEAKS = [1, 9];

export class Packer {
  #filled = 0;
  #frames = 0;
  /** Pieces are told in their order. */
  #told = Promise.resolve();

  /**
   * @param {number} rate frames a second
   * @param {number} begins when the first sample was heard, in seconds of the audio clock
   */
  constructor(rate, begins) {
    this.rate = rate;
    this.begins = begins;
    this.samples = new Float32Array(SECONDS * rate);
  }

  /** @param {Float32Array} samples as they come */
  take(samples) {
    for (let from = 0; from < samples.length;) {
      const part = samples.subarray(from, from + this.samples.length - this.#filled);
      this.samples.set(part, this.#filled);
      this.#filled += part.length;
      from += part.length;
      if (this.#filled === this.samples.length) this.#tell();
    }
  }

  /** Tells the rest; resolves when all of it was told. */
  end() {
    if (this.#filled > 0) this.#tell();
    return this.#told;
  }

  #tell() {
    const { rate } = this;
    const samples = new Uint8Array(this.samples.buffer, 0, 4 * this.#filled);
    const bytes = /** @type {Uint8Array<ArrayBuffer>} */ (takes("pack", samples));
    const [frames, begins] = [this.#filled, this.begins + this.#frames / rate];
    this.#frames += frames;
    this.#filled = 0;
    this.#told = this.#told.then(async () => {
      const packed = await through(new CompressionStream("deflate-raw"), bytes);
      const peaks = [...bytes.subarray(...PEAKS)];
      self.postMessage({ piece: { packed, frames, peaks, begins, rate } }, { transfer: [packed] });
    });
  }
}
