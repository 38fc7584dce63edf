// The choruses in the notebook: a card a chorus.
import { freshId } from "../ids.js";
import { cloth } from "./cloth.js";
import { Heard } from "../session.js";
import { button, byId, element, sync } from "./dom.js";
import { labelsInUse, labelsOn, wayToLabel } from "./labels.js";
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

  /** The ids of what has the label that is looked for; none is looked for. @type {Set<string> | null} */
  let only = null;
  session.addEventListener("only", (event) => {
    only = /** @type {CustomEvent<Set<string> | null>} */ (event).detail;
    narrow();
  });
  /** Whether the cards offer labels. */
  let offers = false;

  return (/** @type {import("../session.js").Changed} */ { choruses }) => {
    const offered = !root.hidden && labelsInUse(session).length > 0;
    const cards = choruses?.cards ?? session.screen.choruses?.cards;
    if (!cards || (!choruses && offered === offers)) return;
    offers = offered;
    none.hidden = cards.length > 0;
    sync(
      list,
      cards.map((each) => ({ ...each, offers })),
      card,
    );
    narrow();
  };

  function narrow() {
    for (const item of list.children)
      if (item instanceof HTMLElement) item.hidden = only !== null && !only.has(item.dataset.subject ?? "");
  }

  /** @param {CardView & { offers: boolean }} chorus */
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
      { class: `card${chorus.chosen ? " chosen" : ""}`, "data-subject": chorus.subject },
      open,
      element(
        "div",
        { class: "row main" },
        button("Hear it", hear, { class: "quiet", disabled: chorus.cloth.threads.length === 0 }),
        button("Practise it", practise, { class: "quiet" }),
      ),
      element("p", { class: "standing" }, chorus.standing),
      element("p", { class: "about" }, chorus.summary),
      ...labelsOn(session, chorus.subject, chorus.labels),
      element(
        "div",
        { class: "row ways-of-card" },
        ...(chorus.practised ? [back] : []),
        ...(chorus.offers || chorus.chosen ? [wayToLabel(session, chorus.subject)] : []),
        button("Duplicate", () => session.do({ do: "duplicate-chorus", id: chorus.id, copy: freshId() }), {
          class: "link",
        }),
        button("Delete", () => session.do({ do: "delete-chorus", id: chorus.id }), { class: "link" }),
      ),
    );
  }
}
