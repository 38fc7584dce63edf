// Counts how often the engine's clock stood still from one block to the next.

class Clock extends AudioWorkletProcessor {
  constructor() {
    super();
    this.stood = 0;
    this.last = -1;
  }

  process() {
    if (currentFrame === this.last) this.port.postMessage(++this.stood);
    this.last = currentFrame;
    return true;
  }
}

registerProcessor("clock", Clock);
