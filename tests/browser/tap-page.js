// Runs in the page before its own scripts: whatever is connected to a live context's destination is connected to a
// recorder too, and each source that is started or stopped is written down with the time at which that was asked.
{
  const connect = AudioNode.prototype.connect;
  const taps = new Map();
  const asked = [];
  const numbers = new WeakMap();

  const tapOf = (context) => {
    if (!taps.has(context)) {
      const entry = new GainNode(context);
      const tap = { context, entry, pieces: [], flushed: () => {}, node: null, ready: null };
      tap.ready = context.audioWorklet.addModule("/__tap__.js").then(() => {
        tap.node = new AudioWorkletNode(context, "tap", { outputChannelCount: [2] });
        connect.call(entry, tap.node);
        // Its output is silence; connected, so that every engine keeps it running.
        connect.call(tap.node, context.destination);
        return new Promise((running) => {
          tap.node.port.onmessage = ({ data }) => {
            if (data === "running") running();
            else if (data === "flushed") tap.flushed();
            else tap.pieces.push(data);
          };
        });
      });
      taps.set(context, tap);
    }
    return taps.get(context);
  };

  AudioNode.prototype.connect = function (target, ...rest) {
    if (target instanceof AudioDestinationNode && !(this.context instanceof OfflineAudioContext)) {
      connect.call(this, tapOf(this.context).entry);
    }
    return connect.call(this, target, ...rest);
  };

  const note = (source, what, when) => {
    if (source.context instanceof OfflineAudioContext) return;
    if (!numbers.has(source)) numbers.set(source, asked.length);
    asked.push({ source: numbers.get(source), what, when: when ?? 0, at: source.context.currentTime });
  };
  for (const kind of [AudioScheduledSourceNode, AudioBufferSourceNode]) {
    for (const what of ["start", "stop"]) {
      if (!Object.hasOwn(kind.prototype, what)) continue;
      const method = kind.prototype[what];
      kind.prototype[what] = function (when, ...rest) {
        note(this, what, when);
        return method.call(this, ...(when === undefined ? [] : [when, ...rest]));
      };
    }
  }

  const base64 = (samples) => {
    const bytes = new Uint8Array(samples.buffer, samples.byteOffset, samples.byteLength);
    let text = "";
    for (let at = 0; at < bytes.length; at += 0x8000) text += String.fromCharCode(...bytes.subarray(at, at + 0x8000));
    return btoa(text);
  };

  /** What the tests call: the newest live context's recording so far, and what was asked of its sources. */
  window.__tap__ = {
    async ready() {
      await Promise.all([...taps.values()].map((tap) => tap.ready));
      return taps.size;
    },
    /** The newest context's clock, in seconds. */
    now() {
      return [...taps.values()].at(-1)?.context.currentTime ?? 0;
    },
    async read() {
      const tap = [...taps.values()].at(-1);
      if (!tap) return null;
      await tap.ready;
      if (tap.context.state === "running") {
        await new Promise((resolve) => {
          tap.flushed = resolve;
          tap.node.port.postMessage("flush");
        });
      }
      const pieces = tap.pieces.map(({ frame, channels }) => ({ frame, channels: channels.map(base64) }));
      return { sampleRate: tap.context.sampleRate, pieces, asked };
    },
  };
}
