// "Play it in": one bar is counted, what is played becomes the riff on the strip; afterwards other ways to read it stand
// beside it, and what was played can be heard against it.
import { button, byId, element, place, say, sync, write } from "./dom.js";
import { list, part } from "./tune.js";

/** @typedef {import("../session.js").Session} Session */
/** @typedef {import("../pkg/riffloom.js").TakeView} TakeView */

/** @param {Session} session */
export function mountTaking(session) {
  const root = byId("taking");
  const played = element("div", { class: "as-played", "aria-hidden": "true" });
  byId("strip").append(played);
  const begin = button("Play it in", () => session.playIn(), { class: "tool play-in" });
  byId("tools").querySelector(".write")?.after(begin);

  const text = element("p", { class: "take-text", role: "status" });
  const pad = element(
    "button",
    { type: "button", class: "tap-in" },
    element("b", {}, "Tap here"),
    " or Space, for the rhythm alone",
  );
  pad.addEventListener("pointerdown", (event) => event.button === 0 && tap(event));
  // A screen reader's click comes without a pointer.
  pad.addEventListener("click", (event) => event.detail === 0 && tap(event));
  const done = button("Write it down", () => session.stop(), { class: "tool keep" });
  const cancel = button("Cancel", () => session.playNothing(), { class: "tool" });
  const ways = element("span", { class: "group", role: "group", "aria-label": "Ways to read it" });
  const hear = button("Hear it", () => session.hearTake(false), {
    class: "tool",
    "aria-label": "Hear it: what I played",
  });
  const both = button("Hear both", () => session.hearTake(true), {
    class: "tool",
    "aria-label": "Hear both: what I played and what is written",
  });
  const name = button(
    "Give it notes",
    () => {
      session.do({ do: "name-notes", on: !session.taking.naming });
      home()?.focus({ preventScroll: true });
    },
    { class: "tool keep", "aria-pressed": "false" },
  );
  const again = button("Again", () => session.playIn(), { class: "tool", "aria-label": "Again: play it in once more" });
  const close = button("Done", () => session.do({ do: "close-take" }), { class: "tool keep" });
  const set = (/** @type {string} */ what) => (/** @type {string} */ value) =>
    session.do({ do: "set-play-in", what, value });
  const withPart = part("What you hear meanwhile", (panel) => list(panel, session.taking.with, set("with")));
  const barsPart = part("How long it is", (panel) => list(panel, session.taking.bars, set("bars")));
  const how = element("p", { class: "sentence how-in" }, "with ", withPart.root, " · ", barsPart.root);
  const during = element("span", { class: "group" }, done, cancel);
  const after = element("span", { class: "group" }, hear, again, name, close);
  // Seldom wanted, and never in the way: the row keeps its height.
  const otherwise = element("div", { class: "panel", id: "take-otherwise" }, ways, both, how);
  const rest = element("details", { class: "other-ways" }, element("summary", {}, "Write it differently"), otherwise);
  const legend = element("small", { class: "legend", "aria-hidden": "true" }, "where you played");
  root.append(text, pad, during, after, rest, legend);
  let wasOpen = false;
  let wasListening = false;

  /** @param {Event} event */
  function tap(event) {
    session.heard(-1, event.timeStamp);
    pad.animate?.([{ opacity: 0.5 }, { opacity: 1 }], 150);
  }
  // Space taps wherever the hands are; on another button it does what that button does.
  document.addEventListener(
    "keydown",
    (event) => {
      if (event.key !== " " || !session.taking.listening || event.ctrlKey || event.metaKey || event.altKey) return;
      const here = document.activeElement;
      if (here && here !== document.body && here !== pad && !byId("keyboard").contains(here)) return;
      event.preventDefault();
      event.stopPropagation();
      if (!event.repeat) tap(event);
    },
    true,
  );
  document.addEventListener(
    "keyup",
    (event) => {
      if (
        event.key === " " &&
        session.taking.listening &&
        (document.activeElement === pad || byId("keyboard").contains(document.activeElement))
      )
        event.preventDefault();
    },
    true,
  );

  session.addEventListener("taking", () => show(session.taking));
  session.addEventListener("gone", () => {
    if (session.taking.listening) session.stop();
    show(session.taking);
  });
  session.addEventListener("bar", (event) => {
    const bar = /** @type {CustomEvent} */ (event).detail;
    root.classList.toggle("counting", session.taking.listening && bar < 0);
  });

  /** @param {TakeView} view */
  function show(view) {
    const isOpen = (view.listening || view.taken) && session.place === "riff";
    const hadFocus = root.contains(document.activeElement);
    root.hidden = !isOpen;
    byId("tools").hidden = isOpen || Boolean(session.screen.vary?.on);
    played.hidden = !view.taken || !isOpen;
    write(text, view.text);
    pad.hidden = during.hidden = !view.listening;
    rest.hidden = after.hidden = legend.hidden = view.listening;
    if (rest.hidden || !isOpen) rest.open = false;
    name.hidden = !view.tapped && !view.naming;
    name.setAttribute("aria-pressed", String(view.naming));
    sync(ways, view.readings.length > 1 ? view.readings : [], (reading) =>
      button(reading.text, () => session.do({ do: "take-reading", index: Number(reading.value) }), {
        class: "tool",
        "aria-pressed": String(reading.chosen),
      }),
    );
    withPart.show(chosen(view.with));
    barsPart.show(chosen(view.bars));
    sync(played, view.played, (note) => {
      const made = element("i", {});
      place(made, { at: note.at, length: note.length });
      return made;
    });
    // The player's hands go to the keys; the focus does not vanish with the row that it was in.
    if (view.listening && !wasListening) home()?.focus({ preventScroll: true });
    else if (!view.listening && wasListening && view.taken) {
      say(view.text);
      close.focus({ preventScroll: true });
    } else if (!isOpen && wasOpen && hadFocus) begin.focus({ preventScroll: true });
    [wasOpen, wasListening] = [isOpen, view.listening];
  }
}

/** @returns {HTMLElement | null} */
const home = () => byId("keyboard").querySelector(".key.home");

/** @param {import("../pkg/riffloom.js").ChoiceView[]} choices */
const chosen = (choices) => choices.find((choice) => choice.chosen)?.text ?? "";
