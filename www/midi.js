// MIDI keyboards: asked for on a button, found again when they are plugged in, let go when they are not.
//
// Listen to it for "state". Keys that move sound, are written into the strip, and are told to the session's listeners as
// "key" (detail: a KeyMove), with the time at which the key moved, not at which this page heard of it.

/**
 * @typedef {object} KeyMove
 * @property {number} midi
 * @property {boolean} down
 * @property {number} velocity 1 to 127; 0 for a key let go, or one that cannot tell how hard it was struck
 * @property {boolean} accent whether it was struck clearly harder than usual
 * @property {number} time when, in milliseconds as performance.now() counts
 * @property {boolean} [heard] whether a microphone heard it, and no key moved
 */
/** @typedef {"missing" | "off" | "asking" | "refused" | "on"} State */

export class Midi extends EventTarget {
  /** @param {import("./session.js").Session} session */
  constructor(session) {
    super();
    this.session = session;
    /** @type {State} */
    this.state = typeof navigator.requestMIDIAccess === "function" ? "off" : "missing";
    /** The names of the keyboards that are plugged in. @type {string[]} */
    this.names = [];
    /** The keyboard that was unplugged last, until another is there. */
    this.gone = "";
    /** @type {MIDIAccess | null} */
    this.access = null;
    /** The ports that are listened to. @type {Map<string, MIDIInput>} */
    this.ports = new Map();
  }

  /** Asks the browser for its MIDI keyboards. */
  async turnOn() {
    if (this.state !== "off" && this.state !== "refused") return;
    this.#tell("asking");
    try {
      this.access = await navigator.requestMIDIAccess({ sysex: false });
      this.access.onstatechange = () => this.#look();
      this.state = "on";
      this.#look();
    } catch (error) {
      console.info("No MIDI:", error);
      this.#tell("refused");
    }
  }

  turnOff() {
    if (!this.access) return;
    this.access.onstatechange = null;
    for (const id of [...this.ports.keys()]) this.#leave(id);
    [this.access, this.names, this.gone] = [null, [], ""];
    this.#tell("off");
  }

  /** Listens to what is plugged in, and leaves what is not. */
  #look() {
    const here = [...(this.access?.inputs.values() ?? [])].filter((port) => port.state === "connected");
    for (const [id, port] of this.ports) {
      // A port that was unplugged and plugged in again between two looks may be another object under the same id.
      if (here.includes(port)) continue;
      this.gone = port.name ?? "";
      this.#leave(id);
    }
    for (const port of here) {
      if (this.ports.has(port.id)) continue;
      this.ports.set(port.id, port);
      port.onmidimessage = ({ data, timeStamp }) =>
        data && this.#take(this.session.app.midiBytes(port.id, data), timeStamp);
    }
    this.names = here.map((port) => port.name || "a keyboard without a name");
    if (here.length > 0) this.gone = "";
    this.#tell(this.state);
  }

  /** @param {string} id */
  #leave(id) {
    const port = this.ports.get(id);
    this.ports.delete(id);
    if (port) port.onmidimessage = null;
    this.#take(this.session.app.midiUnplugged(id), performance.now());
  }

  /**
   * @param {Uint8Array} moves three numbers for each key that moved
   * @param {number} time
   */
  #take(moves, time) {
    for (let at = 0; at + 2 < moves.length; at += 3) {
      const [midi = 0, velocity = 0, accent] = moves.subarray(at, at + 3);
      const down = velocity > 0;
      if (down) {
        this.session.keyDown(midi, velocity);
        this.session.heard(midi, time, velocity);
      } else {
        this.session.keyUp(midi, time);
      }
      /** @type {KeyMove} */
      const detail = { midi, down, velocity, accent: accent === 1, time };
      this.session.dispatchEvent(new CustomEvent("key", { detail }));
      if (down) this.session.enter(midi, detail.accent);
    }
  }

  /** @param {State} state */
  #tell(state) {
    this.state = state;
    this.dispatchEvent(new CustomEvent("state"));
  }
}
