// How long the riff is, and behind it where in the bar it begins.
import { button, element, mark, write } from "./dom.js";
import { attachPanel } from "./panel.js";

/** Half a beat, in quarters. */
const STEP = 0.5;

/** @param {import("../session.js").Session} session */
export function lengthControl(session) {
  const opener = element("button", { type: "button", class: "length", "aria-expanded": "false" });
  const told = element("p", { class: "hint", role: "status" });
  const begin = (/** @type {number} */ by) => session.do({ do: "set-riff-start", quarters: (session.screen.strip?.start ?? 0) + by });
  const panel = element("div", { class: "panel", role: "group", "aria-label": "Where the riff begins", hidden: true },
    element("h2", {}, "Where it begins"),
    element("div", { class: "row" }, button("Earlier", () => begin(-STEP), { class: "quiet" }), button("Later", () => begin(STEP), { class: "quiet" })),
    told);
  attachPanel(opener, panel);

  return {
    root: element("span", { class: "phrase" }, opener, panel),
    /** @param {import("../pkg/riffloom.js").StripView} strip */
    update(strip) {
      write(opener, strip.lengthText);
      mark(opener, "aria-label", `${strip.lengthText}, ${strip.startText}. Change where it begins`);
      write(told, `It ${strip.startText}.`);
    },
  };
}
