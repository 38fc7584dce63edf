// The first minute: five things to do, each ticked off when it was done; no step waits for another.
import { freshId } from "../ids.js";
import { button, byId, element } from "./dom.js";

/** @typedef {import("../session.js").Session} Session */
/** @typedef {import("../pkg/riffloom.js").TokenView} TokenView */

/** @param {Session} session */
export function firstMinute(session) {
  const close = () => {
    card.remove();
    document.body.classList.remove("beginning");
    remember("done");
  };
  const quiet = { class: "quiet" };
  const demo = () => {
    session.do({ do: "open-demo", id: freshId() });
    session.hearRiff();
  };
  const steps = {
    listened: step("Listen. ", button("Hear two bars", () => session.hearRiff(), quiet)),
    clapped: step("Clap or tap them back."),
    played: step("Play them on home, the underlined key."),
    changed: step("Drag one note elsewhere."),
    joined: step("Press Play: with the band."),
  };
  const card = element("section", { class: "card first-minute", "aria-label": "Your first minute" },
    element("h2", {}, "Your first minute"),
    element("ol", {}, ...Object.values(steps)),
    element("p", {}, "Or ", button("hear a riff: Porch light", demo, { class: "link" }), "."),
    button("I’m on my way", close, quiet),
  );
  card.hidden = recall() === "done";
  document.body.classList.toggle("beginning", !card.hidden);
  if (!card.hidden) watch(session, steps);
  return card;
}

/**
 * @param {string} text
 * @param {HTMLElement[]} buttons
 */
function step(text, ...buttons) {
  return element("li", {}, text, ...buttons);
}

/**
 * Ticks the steps off.
 * @param {Session} session
 * @param {Record<"listened" | "clapped" | "played" | "changed" | "joined", HTMLElement>} steps
 */
function watch(session, steps) {
  const done = (/** @type {HTMLElement} */ item) => {
    if (item.classList.contains("done")) return;
    item.classList.add("done");
    item.append(element("span", { class: "unseen" }, " Done."));
  };
  session.addEventListener("playing", () => session.playing && done(session.alone ? steps.listened : steps.joined));
  // Who plays the riff on one note has it in the hands; clapping leaves no trace here.
  const keyboard = byId("keyboard");
  const onHome = () => {
    done(steps.clapped);
    done(steps.played);
  };
  keyboard.addEventListener("pointerdown", (event) => /** @type {Element} */ (event.target).closest(".key.home") && onHome());
  keyboard.addEventListener("keydown", (event) => keyboard.querySelector(`.key.home[data-code="${event.code}"]`) && onHome());
  /** @type {TokenView[]} */
  let before = session.screen.strip?.tokens ?? [];
  session.addEventListener("changed", () => {
    const tokens = session.screen.strip?.tokens ?? [];
    const moved = tokens.filter((token, index) => token.tick !== before[index]?.tick || token.midi !== before[index]?.midi);
    if (tokens.length === before.length && moved.length === 1) done(steps.changed);
    before = tokens;
  });
}

const REMEMBERED = "riffloom first minute";

function recall() {
  try {
    return localStorage.getItem(REMEMBERED);
  } catch {
    return null;
  }
}

/** @param {string} value */
function remember(value) {
  try {
    localStorage.setItem(REMEMBERED, value);
  } catch {
    // Then the card is there again next time.
  }
}
