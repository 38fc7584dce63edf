// The chosen placement: moved, changed on the spot, heard, taken out.
import { freshId } from "../../ids.js";
import { button, element } from "../dom.js";
import { opener } from "../panel.js";
import { nextGesture } from "../pointer.js";

/** @typedef {import("../../pkg/riffloom.js").ChosenView} ChosenView */

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
  const again = tool("Another try", () => {
    const how = view().ways.find((way) => way.chosen)?.value ?? "";
    session.do({ do: "vary-placement", index: view().index, how, seed: view().nextTry });
    session.hearPlacement();
  });
  const takeBack = tool(
    "Undo last change",
    () => {
      session.do({ do: "take-back-change", index: view().index });
      session.hearPlacement();
    },
    "Undo last change: takes the last one back",
  );
  const stays = tool(
    "Pin it",
    () => session.do({ do: "fix-placement", index: view().index, on: !view().stays }),
    "Pin it: it stays here when a chorus is suggested",
  );

  const { root: ways, close: shut } = opener("Ways to change it here", "tool", {
    text: "Change it here",
    panel: "choices grid",
    root: "ways",
    fill(panel) {
      panel.replaceChildren(
        element("h2", {}, "Changes it in this chorus only"),
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
    element("div", { class: "row chosen-head" }, name, close),
    where,
    change,
    element(
      "div",
      { class: "tools-row" },
      ways,
      again,
      takeBack,
      tool("Hear it", () => session.hearPlacement()),
      stays,
    ),
    element(
      "div",
      { class: "tools-row" },
      element(
        "span",
        { class: "tools-row", role: "group", "aria-label": "Move it" },
        tool("«", move(-1, 0), "A bar earlier"),
        tool("‹", move(0, -1), "Half a beat earlier"),
        tool("›", move(0, 1), "Half a beat later"),
        tool("»", move(1, 0), "A bar later"),
        tool("↑", transpose(1), "Half a step higher"),
        tool("↓", transpose(-1), "Half a step lower"),
      ),
      tool("Keep as a riff", () => session.do({ do: "keep-placement", index: view().index, id: freshId() })),
      tool("Take out", () => session.do({ do: "remove-placement", index: view().index })),
    ),
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
    joins.textContent = chosen.joins.join(" ");
    behind.textContent = chosen.behind;
    behind.hidden = renew.hidden = chosen.behind === "";
    again.disabled = !chosen.hasMore;
    takeBack.hidden = chosen.changes === 0;
    stays.setAttribute("aria-pressed", String(chosen.stays));
  };
}
