// Stands first on the page in tests: tells the server what goes wrong, and keeps what a test asks for.
{
  const tell = (/** @type {string} */ text) => navigator.sendBeacon("/__problem__", text);
  addEventListener(
    "error",
    (event) => {
      const from =
        event.target instanceof Element
          ? event.target.outerHTML
          : `${event.message} (${event.filename}:${event.lineno})`;
      tell(`error: ${from}`);
    },
    { capture: true },
  );
  addEventListener("unhandledrejection", (event) => tell(`rejection: ${event.reason?.stack ?? event.reason}`));
  document.addEventListener("securitypolicyviolation", (event) =>
    tell(`policy: ${event.effectiveDirective} forbids ${event.blockedURI}`),
  );
  const { error } = console;
  console.error = (...words) => {
    tell(`console: ${words.join(" ")}`);
    error.apply(console, words);
  };

  // The audio context that plays, what it gives out, and the last file that was made.
  const kept = /** @type {any} */ (globalThis);
  const Made = AudioContext;
  globalThis.AudioContext = class extends Made {
    /** @param {AudioContextOptions} [options] */
    constructor(options) {
      super(options);
      kept.audio = this;
    }
  };
  const { connect } = AudioNode.prototype;
  AudioNode.prototype.connect = /** @this {AudioNode} */ function (
    /** @type {any} */ target,
    /** @type {number[]} */ ...rest
  ) {
    if (target instanceof AudioDestinationNode) {
      kept.heard = new AnalyserNode(this.context, { fftSize: 32768 });
      connect.call(this, kept.heard);
    }
    return /** @type {any} */ (connect.call(this, target, ...rest));
  };
  const create = URL.createObjectURL;
  URL.createObjectURL = (object) => {
    kept.file = object;
    return create.call(URL, object);
  };
}
