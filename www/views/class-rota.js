// Who plays alone, and who plays what meanwhile, turn by turn: a table for N seats.
import { button, element } from "./dom.js";
import { printPaper, showBandParts } from "./sheet-ask.js";

/** @typedef {import("../pkg/riffloom.js").RotaView} RotaView */
/** @typedef {Parameters<import("../session.js").Session["inClass"]>[0]} ClassCommand */

/**
 * @param {import("../session.js").Session} session
 * @param {(command: ClassCommand) => void} does
 * @param {() => void} leave
 */
export function classRota(session, does, leave) {
  const seats = element("input", { type: "text", id: "rota-seats", autocomplete: "off", placeholder: "12" });
  const plays = element("fieldset", {}, element("legend", {}, "While one plays alone, the others play"));
  const told = element("p", { class: "hint", role: "status" });
  const table = element("div", { class: "rota-table", tabindex: 0, role: "region", "aria-label": "Who plays what" });
  const print = button("Print it", () => printPaper(session, "Who plays what", onPaper()), { class: "quiet" });
  /** The table as a sheet has it, and what a turn is. */
  function onPaper() {
    const copy = /** @type {HTMLElement} */ (table.firstElementChild?.cloneNode(true));
    copy.className = "sheet-log";
    return [element("p", {}, told.textContent ?? ""), copy];
  }
  const parts = button("Parts for a band…", () => (leave(), showBandParts(session)), { class: "quiet" });
  const ask = () =>
    does({
      do: "rota",
      seats: seats.value.trim() || seats.placeholder,
      plays: [...plays.querySelectorAll("input:checked")].map((box) => /** @type {HTMLInputElement} */ (box).value),
    });
  seats.addEventListener("keydown", (event) => event.key === "Enter" && ask());
  plays.addEventListener("change", () => !table.hidden && ask());
  let isFilled = false;
  const whole = element(
    "details",
    { class: "rota card" },
    element("summary", {}, "Who plays what"),
    element("p", { class: "hint" }, "Everybody plays while one plays alone, and each has a turn."),
    element(
      "p",
      { class: "field" },
      element("label", { for: "rota-seats" }, "How many seats, or names with commas between"),
      seats,
    ),
    plays,
    element("div", { class: "row" }, button("Make the table", ask, { class: "quiet strong" }), parts, print),
    told,
    table,
  );
  return {
    whole,
    /** @param {RotaView} view */
    show(view) {
      if (!isFilled) {
        const box = (/** @type {import("../pkg/riffloom.js").ChoiceView} */ { value, text, chosen }) =>
          element(
            "label",
            { class: "check" },
            element("input", { type: "checkbox", value, checked: chosen }),
            ` ${text}`,
          );
        plays.append(...view.choices.map(box));
        isFilled = true;
      }
      told.textContent = view.told;
      table.hidden = print.hidden = view.turns.length === 0;
      const cells = (/** @type {"th" | "td"} */ kind, /** @type {string[]} */ texts) =>
        texts.map((text) => element(kind, kind === "th" ? { scope: "col" } : {}, text));
      const row = (/** @type {import("../pkg/riffloom.js").RotaRow} */ { solo, plays }, /** @type {number} */ index) =>
        element("tr", {}, element("th", { scope: "row" }, String(index + 1)), ...cells("td", [solo, ...plays]));
      table.replaceChildren(
        element(
          "table",
          {},
          element("thead", {}, element("tr", {}, ...cells("th", ["Turn", "Plays alone", ...view.parts]))),
          element("tbody", {}, ...view.turns.map(row)),
        ),
      );
    },
  };
}
