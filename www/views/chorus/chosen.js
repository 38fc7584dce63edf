// The chosen placement: moved, changed on the spot, heard, taken out.
import { freshId } from "../../ids.js";
import { button, element } from "../dom.js";
import { opener } from "../panel.js";
import { nextGesture } from "../pointer.js";

/** @typedef {import("../../pkg/riffloom.js").ChosenView} ChosenView */

/** Two ways to move by as much as stands under them. @param {string} text @param {HTMLElement} less @param {HTMLElement} more */
const pair = (text, less, more) => element("span", { class: "pair" }, less, element("span", {}, text), more);

/**
 * @param {import("../../session.js").Session} session
 * @param {HTMLElement} root
 */
export function mountChosen(session, root) {
  const view = () => /** @type {ChosenView} */ (session.screen.chorus?.chosen);
  const tool = (/** @type {string} */ text, /** @type {() => void} */ act, /** @type {string} */ label = text) =>
    button(text, act, { class: "tool", "aria-label": label });
  const move = (/** @type {number} */ bars, /** @type {number} */ halfBeats) => () =>
    session.do({ do: "move-placement", index: view().index, bars, halfBeats, gesture: nextGesture() });
  const transpose = (/** @type {number} */ semitones) => () =>
    session.do({ do: "transpose-placement", index: view().index, semitones });

  const name = element("h2", {});
  const close = button("×", () => session.do({ do: "select-placement", index: undefined }), {
    class: "small",
    "aria-label": "Done with this riff",
  });
  const where = element("p", { class: "where" });
  const change = element("p", { class: "change", role: "status" });
  const joins = element("p", { class: "hint joins-text" });
  const behind = element("p", { class: "behind" });
  const renew = tool("Use the new version", () => session.do({ do: "renew-placement", index: view().index }));
  const again = tool(
    "Same again",
    () => {
      const how = view().ways.find((way) => way.chosen)?.value ?? "";
      session.do({ do: "vary-placement", index: view().index, how, seed: view().nextTry });
      session.hearPlacement();
    },
    "Same again: the same change, another try",
  );
  const takeBack = tool(
    "Undo last change",
    () => {
      session.do({ do: "take-back-change", index: view().index });
      session.hearPlacement();
    },
    "Undo last change: takes the last one back",
  );
  const stays = tool(
    "Lock it",
    () => session.do({ do: "fix-placement", index: view().index, on: !view().stays }),
    "Lock it: it stays here when a chorus is suggested",
  );

  const keep = tool(
    "Keep it in my notebook",
    () => session.do({ do: "keep-placement", index: view().index, id: freshId() }),
    "Keep it in my notebook, as it is here, as a riff of its own",
  );

  const { root: ways, close: shut } = opener("Ways to vary it here", "tool", {
    text: "Vary it here",
    panel: "choices grid",
    root: "ways",
    fill(panel) {
      panel.replaceChildren(
        element("h2", {}, "Varies it in this chorus only"),
        ...view().ways.map((way) =>
          button(
            way.text,
            () => {
              shut();
              session.do({ do: "vary-placement", index: view().index, how: way.value, seed: 0 });
              session.hearPlacement();
            },
            { class: "choice", "aria-pressed": String(way.chosen), "data-value": way.value },
          ),
        ),
      );
    },
  });

  root.append(
    element("div", { class: "row chosen-head" }, name, where, close),
    element(
      "div",
      { class: "tools-row" },
      tool("Hear it", () => session.hearPlacement()),
      ways,
      tool("Take out", () => session.do({ do: "remove-placement", index: view().index })),
      stays,
    ),
    element(
      "div",
      { class: "moves", role: "group", "aria-label": "Move it" },
      element("b", { "aria-hidden": "true" }, "Move it"),
      pair("a bar", tool("‹", move(-1, 0), "A bar earlier"), tool("›", move(1, 0), "A bar later")),
      pair("half a beat", tool("‹", move(0, -1), "Half a beat earlier"), tool("›", move(0, 1), "Half a beat later")),
      pair("half a step", tool("↓", transpose(-1), "Half a step lower"), tool("↑", transpose(1), "Half a step higher")),
    ),
    element("div", { class: "tools-row" }, change, again, takeBack, keep),
    joins,
    behind,
    renew,
  );

  return (/** @type {ChosenView | undefined} */ chosen) => {
    root.hidden = !chosen;
    if (!chosen) return;
    name.textContent = chosen.name;
    where.textContent = chosen.place;
    change.textContent = chosen.change;
    change.hidden = chosen.changes === 0;
    joins.textContent = chosen.joins.join(" ");
    behind.textContent = chosen.behind;
    behind.hidden = renew.hidden = chosen.behind === "";
    // Nothing to try again before something was changed.
    again.hidden = chosen.changes === 0;
    again.disabled = !chosen.hasMore;
    takeBack.hidden = chosen.changes === 0;
    stays.setAttribute("aria-pressed", String(chosen.stays));
  };
}
