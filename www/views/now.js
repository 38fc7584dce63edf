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
    if (session.playing) requestAnimationFrame(draw);
    else mark(-2);
  });
  session.addEventListener("drawn", () => session.playing && mark(bar));

  function draw() {
    if (!session.playing) return;
    const position = session.position();
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
  const places = session.screen.form?.places ?? [];
  const bars = session.screen.form?.lines.flatMap((line) => line.bars) ?? [];
  const passed = places.filter((place) => place.bar < position.bar || (place.bar === position.bar && place.at <= position.fraction + 0.001));
  const now = passed.at(-1)?.symbol;
  const later = places.slice(passed.length).map((place) => ({ ...place, turn: 0 }));
  const again = places.map((place) => ({ ...place, turn: 1 }));
  const next = [...later, ...again].find((place) => place.symbol !== now);
  if (!next) return "";
  const beats = (/** @type {number} */ bar, /** @type {number} */ fraction) =>
    bars.slice(0, bar).reduce((sum, each) => sum + each.beats, 0) + fraction * (bars[bar]?.beats ?? 4);
  const away = beats(next.bar, next.at) + next.turn * beats(bars.length, 0) - beats(position.bar, 0) - position.beat;
  const count = Math.round(away);
  return `next: ${next.symbol} in ${count} ${count === 1 ? "beat" : "beats"}`;
}
