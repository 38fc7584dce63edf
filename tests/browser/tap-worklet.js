// Records what comes in, in pieces stamped with the frame at which they begin. Passes nothing on.

const PIECE_FRAMES = 4096;
const CHANNELS = 2;
/** An engine leaves out some blocks while it takes up a new node; recording begins after so many without a gap. */
const SETTLED_BLOCKS = 16;

class Tap extends AudioWorkletProcessor {
  constructor() {
    super();
    this.begin(0);
    this.settled = 0;
    this.now = -128;
    this.port.onmessage = () => {
      this.send();
      this.port.postMessage("flushed");
    };
  }

  begin(frame) {
    this.frame = frame;
    this.filled = 0;
    this.piece = Array.from({ length: CHANNELS }, () => new Float32Array(PIECE_FRAMES));
  }

  send() {
    if (this.filled === 0) return;
    const channels = this.piece.map((channel) => channel.subarray(0, this.filled));
    this.port.postMessage({ frame: this.frame, channels });
    this.begin(this.frame + this.filled);
  }

  process(inputs) {
    // Chromium leaves `currentFrame` as it was in a block in which the main thread connects nodes: blocks are counted, and
    // only a leap ahead, over blocks that were left out, is taken from it.
    const next = this.now + 128;
    this.now = Math.max(currentFrame, next);
    if (this.settled < SETTLED_BLOCKS) {
      this.settled = this.now === next ? this.settled + 1 : 0;
      if (this.settled === SETTLED_BLOCKS) this.port.postMessage("running");
      return true;
    }
    if (this.filled === 0 || this.now !== this.frame + this.filled) {
      this.send();
      this.begin(this.now);
    }
    const input = inputs[0];
    for (let channel = 0; channel < CHANNELS; channel++) {
      // A mono input sounds on both sides; nothing connected is silence.
      const source = input[channel] ?? input[0];
      if (source) this.piece[channel].set(source, this.filled);
    }
    this.filled += 128;
    if (this.filled === PIECE_FRAMES) this.send();
    return true;
  }
}

registerProcessor("tap", Tap);
