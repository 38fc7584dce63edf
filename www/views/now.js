// What is now and what comes next, drawn while something plays: no call into the core, one transform a frame.
import { byId } from "./dom.js";

/** What the button says while nothing plays, where it is not "Play with the band". @type {Record<string, string>} */
const BEGIN = { practice: "Start practising" };

/** @typedef {import("../session.js").Session} Session */
/** @typedef {import("../session.js").Position} Position */

/** @param {Session} session */
export function mountNow(session) {
  const [play, hold, next, form] = [byId("play"), byId("hold"), byId("next"), byId("form")];
  let bar = -2;
  let told = "";

  play.addEventListener("click", () => {
    if (session.playing) session.stop();
    else if (document.body.dataset.tab === "play") session.playBand();
    else if (document.body.dataset.tab === "practice") session.practise();
    else if (document.body.dataset.tab === "chorus") session.playChorus();
    else session.play();
  });
  hold.addEventListener("click", () => {
    if (session.playing) session.pause();
    else session.resume();
  });
  const name = () => {
    const { tab = "" } = document.body.dataset;
    play.textContent = session.playing ? "Stop" : (BEGIN[tab] ?? "Play with the band");
    const waits = !session.playing && session.pausedBar >= 0;
    // A riff that is heard once, alone, is over before anybody could pause it; a practice run is begun anew.
    hold.hidden = tab === "practice" || (!waits && (!session.playing || session.alone));
    hold.textContent = waits ? `Go on from bar ${session.pausedBar + 1}` : "Pause";
  };
  session.addEventListener("gone", name);
  session.addEventListener("playing", () => {
    name();
    document.body.classList.toggle("playing", session.playing);
    // The chorus has lines of its own.
    if (session.playing && document.body.dataset.tab !== "chorus") requestAnimationFrame(draw);
    else mark(-2);
  });
  session.addEventListener("drawn", () => session.playing && mark(bar));

  function draw() {
    if (!session.playing) return;
    // Clicks to tap along to are no bars of the form.
    const tapping = document.body.dataset.tab === "practice" && session.practice?.tapping;
    const position = tapping ? null : session.position();
    if (position) {
      if (position.bar !== bar) mark(position.bar);
      const thread = form.querySelector(".bar.now .thread");
      if (thread instanceof HTMLElement) {
        thread.style.transform = `scaleX(${position.fraction})`;
        const now = /** @type {HTMLElement} */ (thread.parentElement);
        const beat = String(position.beat + 1);
        if (now.dataset.beat !== beat) now.dataset.beat = beat;
      }
      tell(position.counting ? `count: ${position.beat + 1}` : coming(session, position));
    }
    requestAnimationFrame(draw);
  }

  /** @param {number} index */
  function mark(index) {
    bar = index;
    for (const old of form.querySelectorAll(".now, .now-line")) old.classList.remove("now", "now-line");
    const now = form.querySelector(`[data-bar="${index}"]`);
    now?.classList.add("now");
    now?.parentElement?.classList.add("now-line");
    form.classList.toggle("followed", now !== null);
    if (index === -2) tell("");
  }

  /** @param {string} text */
  function tell(text) {
    if (text === told) return;
    told = text;
    next.textContent = text;
  }
}

/**
 * "next: C7 in 2 beats", from the list of chord places.
 * @param {Session} session
 * @param {Position} position
 */
function coming(session, position) {
  const bars = session.screen.form?.lines.flatMap((line) => line.bars) ?? [];
  const order = playedBars(session, bars);
  const here = order.indexOf(position.bar);
  const beatsOf = (/** @type {number | undefined} */ bar) => bars[bar ?? 0]?.beats ?? 4;
  // The chords as they come, twice round, in beats from the first bar that is played.
  let start = 0;
  const chords = [...order, ...order].flatMap((bar) => {
    const from = start;
    start += beatsOf(bar);
    return (session.screen.form?.places ?? []).filter((place) => place.bar === bar).map(({ at, symbol }) => ({ beat: from + at * beatsOf(bar), symbol }));
  });
  const now = order.slice(0, here).reduce((sum, bar) => sum + beatsOf(bar), 0) + position.fraction * position.beats;
  const sounding = chords.findLast((chord) => chord.beat <= now + 0.004)?.symbol;
  const next = chords.find((chord) => chord.beat > now + 0.004 && chord.symbol !== sounding);
  if (!next || here < 0) return "";
  const count = Math.round(next.beat) - Math.floor(now + 0.004);
  return `next: ${next.symbol} in ${count} ${count === 1 ? "beat" : "beats"}`;
}

/**
 * The bars of the form that come round: all of them, those that are looped, or the one that is practised.
 * @param {Session} session
 * @param {import("../pkg/riffloom.js").BarView[]} bars
 */
function playedBars(session, bars) {
  const one = document.body.dataset.tab === "practice" ? (session.practice?.bar ?? -1) : -1;
  if (one >= 0) return [one];
  const all = bars.map((_, index) => index);
  const looped = all.filter((index) => bars[index]?.looped);
  return looped.length > 0 ? looped : all;
}
