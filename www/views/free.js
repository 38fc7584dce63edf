// After playing on "Just play": what was played stands there as notes over the form, can be heard again, and gives riffs to
// keep. The last times are kept on this device.
import { freshId } from "../ids.js";
import { button, byId, element, say } from "./dom.js";
import { still } from "./still.js";

/** @typedef {import("../pkg/riffloom.js").FreeChorusView} FreeView */

/** @param {import("../session.js").Session} session */
export function mountFree(session) {
  const root = byId("free");
  root.tabIndex = -1;
  const isHere = () => session.place === "play";
  /** Turns of a drill that are one's own to fill are looked at where they were played. */
  const isDrill = () => session.place === "practice" && Boolean(session.practice?.drill);
  /** Whether what plays is played along with, or else heard again. */
  let isOpen = false;
  function begin() {
    if (!session.playing || !isHere() || session.listensAgain) return false;
    session.app.freeStamp(Date.now());
    session.do({ do: "begin-free-chorus" });
    return (isOpen = true);
  }
  session.addEventListener("playing", () => {
    if (!begin() && !session.playing) {
      end();
      if (isDrill() && session.app.freeLookedAt() === 0) session.do({ do: "look-at-free-chorus", index: 0 });
    }
  });
  function end() {
    if (isOpen) session.do({ do: "end-free-chorus" });
    isOpen = false;
  }
  session.addEventListener("gone", () => {
    // What was played is not lost by looking at another part of the page.
    if (!isHere()) end();
    // What is drawn already as one comes back stays.
    if (!isHere() || root.contains(look) || root.contains(before)) closed();
  });
  const close = button("Close", () => session.do({ do: "forget-free-chorus" }), { class: "tool" });
  const hear = button("Hear it again", () => (session.playing ? session.stop() : session.hearFree()), {
    class: "tool keep",
  });
  session.addEventListener(
    "playing",
    () => (hear.textContent = session.playing && session.listensAgain ? "Stop" : "Hear it again"),
  );
  const look = button("What I played", () => session.do({ do: "look-at-free-chorus", index: 0 }), { class: "tool" });
  const before = element(
    "p",
    { class: "hint" },
    "Press “Play with the band”, and play what you like: on the keys, or with “Mic…” your own instrument or voice. When you stop, what you played stands here, and you can keep riffs from it. Nobody else hears it.",
  );
  /** Nothing is looked at: what will happen is told, and the way back to what was played stays. */
  function closed() {
    const hasMore = session.app.freeKept() > 0;
    root.replaceChildren(...(hasMore ? [look] : [before]));
    document.body.classList.remove("looks-back");
    root.hidden = !isHere();
  }
  session.addEventListener("playing", () => (root.contains(look) || root.contains(before)) && closed());
  /** The links of the ideas that were kept. @type {Set<string>} */
  const kept = new Set();

  // This may have come while somebody plays already, or after what was played is looked for.
  begin();
  closed();
  return (/** @type {import("../session.js").Changed} */ { free }) => {
    if (!free) return;
    if (free.phrases.length === 0 || !(isHere() || isDrill())) return closed();
    const appears = root.hidden || root.contains(look) || root.contains(before);
    const hadFocus = root.contains(document.activeElement);
    root.hidden = false;
    const sentences = (/** @type {string[]} */ list) => list.filter(Boolean).map((text) => element("p", {}, text));
    const changes = sentences([free.landings, ...free.stayed]);
    const times = free.kept.map(({ value, text, chosen }) =>
      button(text, () => session.do({ do: "look-at-free-chorus", index: Number(value) }), {
        class: "tool",
        "aria-pressed": String(chosen),
      }),
    );
    root.replaceChildren(
      element(
        "div",
        { class: "row free-head" },
        element("h2", {}, "What you played"),
        hear,
        element("span", { class: "group", role: "group", "aria-label": "Which time" }, ...times),
        close,
      ),
      element("div", { class: "free-lines" }, ...free.phrases.map(line)),
      element(
        "div",
        { class: "free-parts" },
        element(
          "section",
          { class: "card", "aria-label": "Riffs to keep" },
          element("h3", {}, "Riffs to keep"),
          ...sentences([free.ideasNote]),
          element("ul", { class: "free-ideas" }, ...free.ideas.map(idea)),
        ),
        element(
          "section",
          { class: "card", "aria-label": "Your riffs in it" },
          element("h3", {}, "Your riffs in it"),
          ...sentences([free.foundNote, ...free.found.map((each) => each.text)]),
          ...(changes.length > 0 ? [element("h3", {}, "The changes"), ...changes] : []),
        ),
      ),
    );
    if (hadFocus) hear.focus({ preventScroll: true });
    // What one stopped for stands where the form did; nothing scrolls by itself.
    document.body.classList.toggle("looks-back", isHere());
    if (appears && !session.playing) {
      if (!isHere()) root.scrollIntoView({ block: "start" });
      // On Practice the same button begins the next time.
      const isOver = session.place !== "practice" && !hadFocus;
      if (isOver && [document.body, byId("play")].includes(/** @type {HTMLElement} */ (document.activeElement)))
        root.focus({ preventScroll: true });
    }
    if (appears)
      say(
        `What you played: ${[free.foundNote, ...free.found.map((each) => each.text)].join(" ")} Riffs to keep: ${free.ideas.length}.`,
      );
  };

  /** @param {import("../pkg/riffloom.js").PhraseView} phrase */
  function line(phrase) {
    return element(
      "figure",
      { class: "free-line" },
      element("figcaption", {}, phrase.title),
      still(phrase, phrase.title),
    );
  }

  /** @param {import("../pkg/riffloom.js").IdeaView} view */
  function idea(view) {
    const isKept = kept.has(view.link);
    const keep = button(
      isKept ? "Kept" : "Keep it",
      () => {
        kept.add(view.link);
        session.do({ do: "open-link", text: view.link, id: freshId(), takeTune: false });
        keep.textContent = "Kept";
        keep.disabled = true;
      },
      { class: "tool keep", disabled: isKept, "aria-label": `${isKept ? "Kept" : "Keep it"}: ${view.text}` },
    );
    return element("li", {}, still(view.phrase, view.text), element("p", {}, view.text), keep);
  }
}
