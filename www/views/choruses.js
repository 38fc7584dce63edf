// The choruses in the notebook: a card a chorus.
import { freshId } from "../ids.js";
import { cloth } from "./cloth.js";
import { Heard } from "../session.js";
import { button, byId, element, sync } from "./dom.js";
import { go, goToPractise, takeUp } from "./tabs.js";

/** @typedef {import("../pkg/riffloom.js").ChorusCardView} CardView */

/** @param {import("../session.js").Session} session */
export function mountChoruses(session) {
  const root = byId("choruses");
  const list = element("ul", { class: "cards" });
  const fresh = () => {
    session.do({ do: "new-chorus", id: freshId() });
    go(session, "chorus");
  };
  const none = element("p", { class: "bare" }, "No chorus yet. Weave your riffs together over the whole form.");
  root.append(
    element(
      "div",
      { class: "row head" },
      element("h2", {}, "Choruses"),
      button("New chorus", fresh, { class: "quiet" }),
    ),
    none,
    list,
  );

  return (/** @type {import("../session.js").Changed} */ { choruses }) => {
    if (!choruses) return;
    none.hidden = choruses.cards.length > 0;
    sync(list, choruses.cards, card);
  };

  /** @param {CardView} chorus */
  function card(chorus) {
    const open = button(
      "",
      () => {
        session.do({ do: "pick-chorus", id: chorus.id });
        go(session, "chorus");
      },
      { class: "open" },
    );
    open.append(element("b", {}, chorus.name), cloth(chorus.cloth));
    const hear = () => {
      session.do({ do: "pick-chorus", id: chorus.id });
      session.play(Heard.Chorus);
    };
    const practise = () => goToPractise(session, takeUp(chorus.subject));
    const back = button(
      "Look back",
      () => session.dispatchEvent(new CustomEvent("look-back", { detail: chorus.subject })),
      { class: "link" },
    );
    return element(
      "li",
      { class: `card${chorus.chosen ? " chosen" : ""}` },
      open,
      element(
        "div",
        { class: "row main" },
        button("Hear it", hear, { class: "quiet", disabled: chorus.cloth.threads.length === 0 }),
        button("Practise it", practise, { class: "quiet" }),
      ),
      element("p", { class: "standing" }, chorus.standing),
      element("p", { class: "about" }, chorus.summary),
      element(
        "div",
        { class: "row ways-of-card" },
        ...(chorus.practised ? [back] : []),
        button("Duplicate", () => session.do({ do: "duplicate-chorus", id: chorus.id, copy: freshId() }), {
          class: "link",
        }),
        button("Delete", () => session.do({ do: "delete-chorus", id: chorus.id }), { class: "link" }),
      ),
    );
  }
}
