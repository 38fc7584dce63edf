// Where playing stands in the chorus: the bar that sounds, its beat, and what comes next. One transform a frame.
import { byId } from "../dom.js";

/** @typedef {import("../../session.js").Session} Session */

/**
 * @param {Session} session
 * @param {HTMLElement} lines
 * @param {() => void} follow draws the time that sounds, where another is shown
 */
export function mountChorusNow(session, lines, follow) {
  const next = byId("next");
  let bar = -2;
  session.addEventListener("playing", () => {
    if (session.playing && document.body.dataset.tab === "chorus") requestAnimationFrame(draw);
    else mark(-2);
  });

  function draw() {
    if (!session.playing || document.body.dataset.tab !== "chorus") return;
    const position = session.position();
    if (position) {
      if (position.bar !== bar) {
        mark(position.bar);
        follow();
        mark(position.bar);
      }
      const now = lines.querySelector(".bar.now");
      if (now instanceof HTMLElement) {
        const thread = now.querySelector(".thread");
        if (thread instanceof HTMLElement) thread.style.transform = `scaleX(${position.fraction})`;
        const beat = String(position.beat + 1);
        if (now.dataset.beat !== beat) now.dataset.beat = beat;
      }
      const text = position.counting ? `count: ${position.beat + 1}` : coming(session, position);
      if (next.textContent !== text) next.textContent = text;
    }
    requestAnimationFrame(draw);
  }

  /** @param {number} index */
  function mark(index) {
    bar = index;
    for (const old of lines.querySelectorAll(".now")) old.classList.remove("now");
    lines.querySelector(`[data-bar="${index}"]`)?.classList.add("now");
    if (index === -2) next.textContent = "";
  }

  return {
    /** The bar that sounds, or less than nothing. */
    bar: () => bar,
    again: () => session.playing && mark(bar),
  };
}

/**
 * "next: C7 in 2 beats".
 * @param {Session} session
 * @param {import("../../session.js").Position} position
 */
function coming(session, position) {
  const { chorus } = session.screen;
  if (!chorus) return "";
  const beats = chorus.lines.flatMap((line) => line.bars.map((each) => each.beats));
  const at = (/** @type {number} */ bar, /** @type {number} */ fraction) => beats.slice(0, bar).reduce((sum, each) => sum + each, 0) + fraction * (beats[bar] ?? 4);
  const here = at(position.bar, 0) + position.beat;
  const turn = at(beats.length, 0);
  const places = chorus.places.map((place) => ({ symbol: place.symbol, at: at(place.bar, place.at) }));
  const now = places.findLast((place) => place.at <= here + 0.001)?.symbol;
  const later = [...places.filter((place) => place.at > here + 0.001), ...places.map((place) => ({ ...place, at: place.at + turn }))];
  const next = later.find((place) => place.symbol !== now);
  if (!next) return "";
  const count = Math.round(next.at - here);
  return `next: ${next.symbol} in ${count} ${count === 1 ? "beat" : "beats"}`;
}
