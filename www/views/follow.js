// Follows what sounds over bars that are drawn: the bar now, its beat, and what comes next. No call into the core and
// one transform a frame.
import { byId, write } from "./dom.js";

/** @typedef {import("../session.js").Session} Session */
/** @typedef {import("../session.js").Position} Position */
/** @typedef {import("../pkg/riffloom.js").PlaceView} PlaceView */
/** @typedef {{ beats: number[], places: PlaceView[], order: number[] }} Course the beats of each bar, the chords, and the bars that come round */

/** Nothing sounds. */
const NONE = -2;

/**
 * @param {Session} session
 * @param {HTMLElement} root holds the bars
 * @param {object} ways
 * @param {() => boolean} ways.isHere whether what sounds is followed here
 * @param {() => Position | null} [ways.position] where playing stands on these bars
 * @param {() => Course} ways.course what is played
 * @param {() => void} [ways.entered] is called when another bar begins, before it is marked
 * @param {() => void} [ways.marked] is called when another bar, or none, was marked
 */
export function follow(session, root, { isHere, position = () => session.position(), course, entered, marked }) {
  const next = byId("next");
  let bar = NONE;
  /** The bar and beat for which the next chord was told. */
  let told = "";
  session.addEventListener("playing", () => {
    if (session.playing && isHere()) requestAnimationFrame(draw);
    else mark(NONE);
  });

  function draw() {
    if (!session.playing || !isHere()) return;
    const here = position();
    if (here) {
      if (here.bar !== bar) {
        bar = here.bar;
        entered?.();
        mark(bar);
      }
      const now = root.querySelector(".bar.now");
      if (now instanceof HTMLElement) {
        const thread = now.querySelector(".thread");
        if (thread instanceof HTMLElement) thread.style.transform = `scaleX(${here.fraction})`;
        const beat = String(here.beat + 1);
        if (now.dataset.beat !== beat) now.dataset.beat = beat;
      }
      tell(here);
    }
    requestAnimationFrame(draw);
  }

  /** @param {Position} here */
  function tell(here) {
    const beat = `${here.bar} ${here.beat}`;
    if (beat === told) return;
    told = beat;
    // A riff that is heard alone ends before the form's next chord comes.
    write(next, here.counting ? `count: ${here.beat + 1}` : session.alone ? "" : coming(course(), here));
  }

  /** @param {number} index */
  function mark(index) {
    bar = index;
    told = "";
    for (const old of root.querySelectorAll(".bar.now")) old.classList.remove("now");
    root.querySelector(`.bar[data-bar="${index}"]`)?.classList.add("now");
    if (index === NONE) write(next, "");
    marked?.();
  }

  return {
    /** The bar that sounds, or less than nothing. */
    bar: () => bar,
    /** Marks it on bars that were drawn anew. */
    again: () => session.playing && isHere() && mark(bar),
  };
}

/**
 * "next: C7 in 2 beats", from the list of chord places.
 * @param {Course} course
 * @param {Position} position
 */
function coming({ beats, places, order }, position) {
  const here = order.indexOf(position.bar);
  const beatsOf = (/** @type {number} */ bar) => beats[bar] ?? 4;
  // The chords as they come, twice round, in beats from the first bar that is played.
  let start = 0;
  const chords = [...order, ...order].flatMap((bar) => {
    const from = start;
    start += beatsOf(bar);
    return places
      .filter((place) => place.bar === bar)
      .map(({ at, symbol }) => ({ beat: from + at * beatsOf(bar), symbol }));
  });
  const now = order.slice(0, here).reduce((sum, bar) => sum + beatsOf(bar), 0) + position.beat;
  const sounding = chords.findLast((chord) => chord.beat <= now + 0.004)?.symbol;
  const next = chords.find((chord) => chord.beat > now + 0.004 && chord.symbol !== sounding);
  if (!next || here < 0) return "";
  const count = Math.round(next.beat - now);
  // Where names are hidden, to be found by ear, this one is too.
  const named = document.body.classList.contains("nameless") ? "next chord" : `next: ${next.symbol}`;
  return `${named} in ${count} ${count === 1 ? "beat" : "beats"}`;
}

/**
 * The bars that come round: those that are looped, or all of them.
 * @param {import("../pkg/riffloom.js").BarView[]} bars
 */
export function playedBars(bars) {
  const all = bars.map((_, index) => index);
  const looped = all.filter((index) => bars[index]?.looped);
  return looped.length > 0 ? looped : all;
}
