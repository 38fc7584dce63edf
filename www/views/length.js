// How long the riff is, and behind it where in the bar it begins.
import { button, element, mark, write } from "./dom.js";
import { opener } from "./panel.js";

/** Half a beat, in quarters. */
const STEP = 0.5;

/** @param {import("../session.js").Session} session */
export function lengthControl(session) {
  const told = element("p", { class: "hint", role: "status" });
  const begin = (/** @type {number} */ by) =>
    session.do({ do: "set-riff-start", quarters: (session.screen.strip?.start ?? 0) + by });
  const { root, button: opens, panel } = opener("Where the riff begins", "length", { panel: "" });
  panel.append(
    element("h2", {}, "Where it begins"),
    element(
      "div",
      { class: "row" },
      button("Earlier", () => begin(-STEP), { class: "quiet" }),
      button("Later", () => begin(STEP), { class: "quiet" }),
    ),
    told,
  );

  return {
    root,
    /** @param {import("../pkg/riffloom.js").StripView} strip */
    update(strip) {
      write(opens, strip.lengthText);
      mark(opens, "aria-label", `${strip.lengthText}, ${strip.startText}. Change where it begins`);
      write(told, `It ${strip.startText}.`);
    },
  };
}
