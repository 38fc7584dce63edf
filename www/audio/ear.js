// Passes what a microphone hears on to a worker, in pieces stamped with the frame at which they begin. It makes no sound.

/** Frames of a piece: at 48 kHz, 11 ms. */
const PIECE = 512;

class Ear extends AudioWorkletProcessor {
  constructor() {
    super();
    /** The way to the worker. @type {MessagePort | null} */
    this.worker = null;
    this.piece = new Float32Array(PIECE);
    this.filled = 0;
    /** Pieces that came back from the worker: nothing is made anew for each. @type {Float32Array<ArrayBuffer>[]} */
    this.spare = [];
    this.port.onmessage = ({ data }) => {
      this.worker = data;
      if (this.worker) this.worker.onmessage = (event) => this.spare.push(event.data);
    };
  }

  /** @param {Float32Array[][]} inputs */
  process([input]) {
    if (!this.worker) return true;
    // The mean of what channels there are. A device that gives nothing is silent: its time goes on all the same.
    for (let frame = 0; frame < 128; frame++) {
      let sum = 0;
      for (const channel of input) sum += channel[frame];
      this.piece[this.filled + frame] = input.length > 0 ? sum / input.length : 0;
    }
    this.filled += 128;
    if (this.filled < PIECE) return true;
    const frame = currentFrame + 128 - PIECE;
    this.worker.postMessage({ frame, samples: this.piece }, [this.piece.buffer]);
    this.piece = this.spare.pop() ?? new Float32Array(PIECE);
    this.filled = 0;
    return true;
  }
}

registerProcessor("ear", Ear);
