// After a free chorus on "Just play": it as a strip of cloth, the riffs that were in it, and ideas to keep.
import { freshId } from "../ids.js";
import { cloth } from "./cloth.js";
import { button, byId, element, place, say } from "./dom.js";

/** @typedef {import("../pkg/riffloom.js").FreeChorusView} FreeView */

/** @param {import("../session.js").Session} session */
export function mountFree(session) {
  const root = byId("free");
  const isHere = () => document.body.dataset.tab === "play";
  session.addEventListener("playing", () => {
    if (isHere()) session.do(session.playing ? { do: "begin-free-chorus" } : { do: "end-free-chorus" });
  });
  session.addEventListener("gone", () => (root.hidden = true));
  const close = button("×", () => session.do({ do: "forget-free-chorus" }), { class: "small", "aria-label": "Done" });
  /** The links of the ideas that were kept. @type {Set<string>} */
  const kept = new Set();

  return (/** @type {import("../session.js").Changed} */ { free }) => {
    if (!free) return;
    const isOver = free.cloth.beats > 0;
    const appears = root.hidden && isOver && isHere();
    root.hidden = !isOver || !isHere();
    if (root.hidden) return;
    const sentences = (/** @type {string[]} */ list) => list.filter(Boolean).map((text) => element("p", {}, text));
    root.replaceChildren(
      element("div", { class: "row free-head" }, element("h2", {}, "What you played"), close),
      band(free),
      element("div", { class: "free-parts" },
        element("section", { class: "card", "aria-label": "Your riffs in it" }, element("h3", {}, "Your riffs in it"), ...sentences([free.foundNote, ...free.found.map((each) => each.text)]), element("h3", {}, "The changes"), ...sentences([free.landings, ...free.stayed])),
        element("section", { class: "card", "aria-label": "Worth keeping" }, element("h3", {}, "Worth keeping"),
          ...sentences(free.ideas.length > 0 ? [] : ["No piece stands by itself. Leave a rest now and then, and ideas come apart."]),
          element("ul", { class: "free-ideas" }, ...free.ideas.map(idea)))));
    if (!appears) return;
    root.scrollIntoView({ block: "nearest" });
    say(`What you played: ${[free.foundNote, ...free.found.map((each) => each.text)].join(" ")} Ideas worth keeping: ${free.ideas.length}.`);
  };

  /**
   * The whole chorus as cloth; under it where the riffs and the ideas lie.
   * @param {FreeView} free
   */
  function band(free) {
    const spans = (/** @type {{ from: number, to: number }[]} */ list, /** @type {string} */ kind) => list.map(({ from, to }) => {
      const made = element("i", { class: kind });
      place(made, { at: from, length: Math.max(to - from, 0.004) });
      return made;
    });
    return element("div", { class: "free-cloth", "aria-hidden": "true" }, cloth(free.cloth), element("span", { class: "spans" }, ...spans(free.found, "found"), ...spans(free.ideas, "idea-span")));
  }

  /** @param {import("../pkg/riffloom.js").IdeaView} view */
  function idea(view) {
    const isKept = kept.has(view.link);
    const keep = button(isKept ? "Kept" : "Keep it", () => {
      kept.add(view.link);
      session.do({ do: "open-link", text: view.link, id: freshId(), takeTune: false });
      keep.textContent = "Kept";
      keep.disabled = true;
    }, { class: "tool", disabled: isKept, "aria-label": `${isKept ? "Kept" : "Keep it"}: ${view.text}` });
    return element("li", {}, cloth(view.cloth), element("p", {}, view.text), keep);
  }
}
