// When a press was made, on the audio clock as it is heard: the instant that the loudspeaker gave out at that moment.
//
// An event carries its own time, so it does not matter how late its handler runs. The two clocks are compared again and
// again, and the middle of many comparisons is taken, because a single one may be some milliseconds off.

/** How many comparisons are kept: half a minute's at four a second would follow a change of device too late. */
const KEPT = 31;
/** A clock that is off by this much, several times in a row, has jumped (another device, a stall of sound), in seconds. */
const JUMP = 0.02;
/** How many comparisons in a row make a jump. */
const IN_A_ROW = 3;
/** What the sound's way out is taken for where the browser does not tell, in seconds. */
const UNKNOWN_LATENCY = 0.04;

export class PressClock {
  /** Audio seconds minus event seconds. @type {number[]} */
  #differences = [];
  /** @type {BaseAudioContext | null} */
  #context = null;

  /**
   * Compares the clocks once.
   * @param {AudioContext} context
   */
  look(context) {
    if (context.state !== "running") return;
    if (context !== this.#context) this.#differences = [];
    this.#context = context;
    const before = middle(this.#differences);
    this.#differences.push(difference(context));
    const latest = this.#differences.slice(-IN_A_ROW);
    const hasJumped = latest.length === IN_A_ROW && latest.every((each) => Math.abs(each - before) > JUMP);
    if (hasJumped) this.#differences = latest;
    if (this.#differences.length > KEPT) this.#differences.shift();
  }

  /**
   * The audio time that was heard when an event happened, in seconds.
   * @param {AudioContext} context
   * @param {number} timeStamp of the event, in milliseconds
   */
  audioTime(context, timeStamp) {
    if (context !== this.#context || this.#differences.length === 0) this.look(context);
    return timeStamp / 1000 + middle(this.#differences);
  }
}

/** @param {AudioContext} context */
function difference(context) {
  const { contextTime = 0, performanceTime = 0 } = context.getOutputTimestamp?.() ?? {};
  if (contextTime > 0 && performanceTime > 0 && Math.abs(performance.now() - performanceTime) < 1000)
    return contextTime - performanceTime / 1000;
  const latency = context.outputLatency;
  return context.currentTime - (latency > 0 && latency < 0.5 ? latency : UNKNOWN_LATENCY) - performance.now() / 1000;
}

/** @param {number[]} values */
function middle(values) {
  const sorted = [...values].sort((a, b) => a - b);
  const half = Math.floor(sorted.length / 2);
  return sorted.length % 2 === 1 ? (sorted[half] ?? 0) : ((sorted[half - 1] ?? 0) + (sorted[half] ?? 0)) / 2;
}
