// Passes what a microphone hears on to a worker, in pieces stamped with the frame at which they begin, and beside it what the
// page plays in the same frames. It makes no sound.

/** Frames of a piece: at 48 kHz, 11 ms. What was heard, and then what was played left and right, stands one behind the other. */
const PIECE = 512;
const [LEFT, RIGHT] = [PIECE, 2 * PIECE];
/** Softer than this, 120 dB below full scale, nothing plays. */
const NOTHING = 1e-6;

class Ear extends AudioWorkletProcessor {
  constructor() {
    super();
    /** The way to the worker. @type {MessagePort | null} */
    this.worker = null;
    this.piece = new Float32Array(3 * PIECE);
    this.filled = 0;
    /** The frame of the block before: the context's clock, see `process`. */
    this.frame = -128;
    /** Whether the page plays anything in this piece. */
    this.plays = false;
    /** Pieces that came back from the worker: nothing is made anew for each. @type {Float32Array<ArrayBuffer>[]} */
    this.spare = [];
    this.port.onmessage = ({ data }) => {
      this.worker = data;
      if (this.worker) this.worker.onmessage = (event) => this.spare.push(event.data);
    };
  }

  /** @param {Float32Array[][]} inputs the microphone, and what the page plays */
  process([heard = [], played = []]) {
    // Blocks are counted: `currentFrame` stands still in Chromium while the main thread connects nodes.
    this.frame = Math.max(currentFrame, this.frame + 128);
    if (!this.worker) return true;
    // The mean of what channels there are. A device that gives nothing is silent: its time goes on all the same.
    for (let frame = 0; frame < 128; frame++) {
      let sum = 0;
      for (const channel of heard) sum += channel[frame];
      this.piece[this.filled + frame] = heard.length > 0 ? sum / heard.length : 0;
    }
    this.take(played[0], LEFT + this.filled);
    this.take(played[1] ?? played[0], RIGHT + this.filled);
    this.filled += 128;
    if (this.filled < PIECE) return true;
    const frame = this.frame + 128 - PIECE;
    this.worker.postMessage({ frame, samples: this.piece, plays: this.plays }, [this.piece.buffer]);
    this.piece = this.spare.pop() ?? new Float32Array(3 * PIECE);
    this.filled = 0;
    this.plays = false;
    return true;
  }

  /**
   * @param {Float32Array | undefined} channel of what the page plays; none where it plays nothing
   * @param {number} at where it goes in the piece
   */
  take(channel, at) {
    if (!channel) return void this.piece.fill(0, at, at + 128);
    this.piece.set(channel, at);
    for (let frame = 0; frame < 128 && !this.plays; frame++) this.plays = Math.abs(channel[frame]) > NOTHING;
  }
}

registerProcessor("ear", Ear);
