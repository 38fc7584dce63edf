// The notebook: a card a riff.
import { freshId } from "../ids.js";
import { button, byId, element, sync } from "./dom.js";
import { drawMarks } from "./shapes.js";
import { go } from "./tabs.js";

/** @typedef {import("../pkg/riffloom.js").RiffCardView} RiffCardView */

/** @param {import("../session.js").Session} session */
export function mountNotebook(session) {
  const root = byId("notebook");
  const summary = element("p", { class: "hint" });
  const list = element("ul", { class: "cards" });
  const fresh = () => {
    session.do({ do: "new-riff", id: freshId() });
    session.setWriting(true);
    go(session, "riff");
  };
  const demo = () => {
    session.do({ do: "open-demo", id: freshId() });
    go(session, "riff");
  };
  root.append(
    element("div", { class: "row head" }, element("h2", {}, "Notebook"), summary, button("New riff", fresh, { class: "quiet strong" }), button("Add the demo riff", demo, { class: "quiet" })),
    list,
  );

  return (/** @type {import("../session.js").Changed} */ { notebook }) => {
    if (!notebook) return;
    summary.textContent = notebook.summary;
    sync(list, notebook.riffs, card);
  };

  /** @param {RiffCardView} riff */
  function card(riff) {
    const picture = element("span", { class: "picture", "aria-hidden": "true" });
    drawMarks(picture, riff.marks);
    const open = button("", () => {
      session.do({ do: "pick-riff", id: riff.id });
      go(session, "riff");
    }, { class: "open" });
    open.append(element("b", {}, riff.name), picture, element("small", {}, riff.summary));
    const rename = () => {
      const input = element("input", { type: "text", maxlength: 60, value: riff.name, "aria-label": "New name" });
      const done = () => session.do({ do: "rename-riff", id: riff.id, name: input.value });
      input.addEventListener("change", done);
      input.addEventListener("keydown", (event) => event.key === "Escape" && input.replaceWith(renameButton));
      renameButton.replaceWith(input);
      input.select();
    };
    const renameButton = button("Rename", rename, { class: "quiet" });
    const back = button("Look back", () => session.dispatchEvent(new CustomEvent("look-back", { detail: riff.id })), { class: "quiet" });
    return element("li", { class: `card${riff.chosen ? " chosen" : ""}` }, open,
      element("p", { class: "standing" }, riff.standing),
      element("div", { class: "row" }, ...(riff.practised ? [back] : []), renameButton,
        button("Duplicate", () => session.do({ do: "duplicate-riff", id: riff.id, copy: freshId() }), { class: "quiet" }),
        button("Delete", () => session.do({ do: "delete-riff", id: riff.id }), { class: "quiet" })));
  }
}
