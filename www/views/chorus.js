// The chorus screen: the form with the riffs woven under it, the notebook beside it, words, and suggestions.
import { byId, element } from "./dom.js";
import { mountAsk } from "./chorus/ask.js";
import { mountChosen } from "./chorus/chosen.js";
import { mountHead } from "./chorus/head.js";
import { mountLines } from "./chorus/lines.js";
import { mountRiffs } from "./chorus/riffs.js";
import { mountTogether } from "./chorus/together.js";
import { follow, playedBars } from "./follow.js";

/** @typedef {import("../pkg/riffloom.js").ChorusView} ChorusView */

/** @param {import("../session.js").Session} session */
export function mountChorus(session) {
  const root = byId("chorus");
  const hint = element("p", { class: "chorus-hint", role: "status" });
  byId("chorus-lines").before(hint);
  const head = mountHead(session, byId("chorus-head"));
  const lines = mountLines(session, byId("chorus-lines"));
  const riffs = mountRiffs(session, byId("chorus-riffs"));
  const chosen = mountChosen(session, byId("chorus-chosen"));
  const together = mountTogether(byId("chorus-together"));
  const ask = mountAsk(session, byId("chorus-ask"));
  const now = follow(session, byId("chorus-lines"), {
    isHere: () => session.place === "chorus",
    course() {
      const bars = session.screen.chorus?.lines.flatMap((line) => line.bars) ?? [];
      return {
        beats: bars.map((bar) => bar.beats),
        places: session.screen.chorus?.places ?? [],
        order: playedBars(bars),
      };
    },
    // Of several times through the one that sounds is shown.
    entered: () => session.screen.chorus && drawLines(session.screen.chorus),
    marked: () => session.dispatchEvent(new CustomEvent("chorus-bar", { detail: now.bar() })),
  });

  /** The time through that is shown: the one that sounds, or the one with the chosen bar. @param {ChorusView} chorus */
  function drawLines(chorus) {
    const bar = session.playing && now.bar() >= 0 ? now.bar() : chorus.bar;
    const time = Math.min(Math.floor(bar / chorus.bars), chorus.times - 1);
    lines(chorus, time);
    head(chorus, time);
  }

  return (/** @type {import("../session.js").Changed} */ { chorus }) => {
    if (!chorus) return;
    root.classList.toggle("asking", chorus.ask.open);
    // By a class: Firefox knows :has() since 121 only.
    root.classList.toggle("choosing", !chorus.ask.open && chorus.chosen !== undefined);
    root.classList.toggle("trying", chorus.trying !== "");
    root.classList.toggle("empty", chorus.summary === "");
    hint.textContent = chorus.hint;
    hint.hidden = chorus.hint === "";
    drawLines(chorus);
    riffs(chorus);
    chosen(chorus.ask.open ? undefined : chorus.chosen);
    together(chorus);
    ask(chorus.ask);
    now.again();
  };
}
