// Playing, stopping and going on, and where playing stands in the form.
import { Heard } from "../session.js";
import { byId } from "./dom.js";
import { follow, playedBars } from "./follow.js";
import { showTimeOf } from "./form.js";

/** What the button says while nothing plays, where it is not "Play with the band". @type {Record<string, string>} */
const BEGIN = { practice: "Start practising" };

/** What it plays on a part of the page, where that is not the riff over the form. @type {Record<string, Heard>} */
const PLAYS = { play: Heard.Band, chorus: Heard.Chorus };

/** @param {import("../session.js").Session} session */
export function mountNow(session) {
  const [play, hold, form] = [byId("play"), byId("hold"), byId("form")];
  play.addEventListener("click", () => {
    const { place } = session;
    if (session.playing) session.stop();
    else if (place === "practice") session.practise();
    else session.play(PLAYS[place] ?? Heard.Form);
  });
  hold.addEventListener("click", () => {
    if (session.playing) session.pause();
    else session.resume();
  });
  // On the window, so that a panel that closes comes first.
  addEventListener("keydown", (event) => {
    if (event.key === "Enter" && (event.ctrlKey || event.metaKey) && !event.defaultPrevented) play.click();
    if (event.key !== "Escape" || event.defaultPrevented || !session.playing) return;
    event.preventDefault();
    session.stop();
    // The hands were on the keys or the pad.
    if (session.place === "practice") play.focus();
  });
  const name = () => {
    const { place } = session;
    play.textContent = session.playing ? "Stop" : (BEGIN[place] ?? "Play with the band");
    const waits = !session.playing && session.pausedBar >= 0;
    // A riff that is heard once, alone, is over before anybody could pause it; a practice run is begun anew.
    hold.hidden = place === "practice" || session.taking.listening || (!waits && (!session.playing || session.alone));
    hold.textContent = waits ? `Go on from bar ${session.pausedBar + 1}` : "Pause";
  };
  for (const type of ["gone", "taking"]) session.addEventListener(type, name);
  session.addEventListener("playing", () => {
    name();
    document.body.classList.toggle("playing", session.playing);
  });
  const now = follow(session, form, {
    // The chorus has lines of its own.
    isHere: () => session.place !== "chorus",
    // Clicks to tap along to are no bars of the form.
    position: () => (session.place === "practice" && session.practice?.tapping ? null : session.position()),
    course() {
      const bars = session.screen.form?.lines.flatMap((line) => line.bars) ?? [];
      const one = session.place === "practice" ? (session.practice?.bar ?? -1) : -1;
      return {
        beats: bars.map((bar) => bar.beats),
        places: session.screen.form?.places ?? [],
        order: one >= 0 ? [one] : playedBars(bars),
      };
    },
    marked() {
      for (const old of form.querySelectorAll(".now-line")) old.classList.remove("now-line");
      const here = form.querySelector(".bar.now");
      const bar = here instanceof HTMLElement ? Number(here.dataset.bar) : -1;
      if (bar >= 0) showTimeOf(session, bar);
      session.dispatchEvent(new CustomEvent("bar", { detail: bar }));
      const line = here?.parentElement;
      line?.classList.add("now-line");
      form.classList.toggle("followed", line instanceof HTMLElement);
    },
  });
  session.addEventListener("drawn", now.again);
}
