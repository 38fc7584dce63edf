// The first minute: five things to do, each ticked off by itself when it was done; no step waits for another.
import { freshId } from "../ids.js";
import { Heard } from "../session.js";
import { button, byId, element, say } from "./dom.js";
import { tapPad } from "./pad.js";
import { go } from "./tabs.js";
import { newRiff } from "./tools.js";

/** @typedef {import("../session.js").Session} Session */
/** @typedef {import("../pkg/riffloom.js").TokenView} TokenView */
/** @typedef {{ root: HTMLElement, done: () => void }} Step */

/** What is said at the end. */
const THAT_IS_IT = "That is your riff. Now practise it, or make another.";
/** Whoever played the riff's notes so often in a rhythm of their own goes on all the same. */
const TRIES = 2;
/** After a silence of so many milliseconds taps and keys are counted anew: the riff is being played again. */
const ANEW_AFTER = 4000;

/** @param {Session} session */
export function firstMinute(session) {
  const list = element("ol");
  const card = element(
    "section",
    { class: "card first-minute", "aria-label": "Your first minute" },
    element("h2", {}, "Your first minute"),
    list,
  );
  // The card comes late in the page: a way to it for who goes by the keyboard.
  const skip = button("Your first minute", () => card.querySelector("button")?.focus(), { class: "skip" });
  const close = () => {
    card.remove();
    skip.remove();
    document.body.classList.remove("beginning");
    byId("keyboard").classList.remove("asks-home");
    byId("play").classList.remove("later");
    remember("done");
    // From now on keys write.
    session.setWriting(true);
    session.dispatchEvent(new CustomEvent("first-minute-over"));
  };
  const demo = () => {
    session.do({ do: "open-demo", id: freshId() });
    session.play(Heard.Riff);
  };
  card.append(
    element("p", { class: "or" }, "Or ", button("hear a riff: Porch light", demo, { class: "link" }), "."),
    button("Skip this", close, { class: "quiet way" }),
  );
  const open = () => {
    card.hidden = false;
    byId("skip-to-write").after(skip);
    document.body.classList.add("beginning");
    begin(session, card, list, close);
  };
  card.hidden = true;
  if (recall() !== "done") open();
  // Help brings it again, from its first step.
  session.addEventListener("first-minute", () => {
    remember("");
    location.reload();
  });
  // Whoever comes with a link has something else to begin with.
  session.addEventListener(
    "did",
    (event) =>
      /** @type {CustomEvent} */ (event).detail.do === "open-link" && card.isConnected && !card.hidden && close(),
  );
  return card;
}

/**
 * @param {Session} session
 * @param {HTMLElement} card
 * @param {HTMLElement} list
 * @param {() => void} close
 */
function begin(session, card, list, close) {
  const step = (/** @type {string} */ text, /** @type {HTMLElement[]} */ ...helpers) => {
    const root = element("li", { "data-step": list.childElementCount + 1 }, text, ...helpers);
    list.append(root);
    return {
      root,
      done: () => {
        if (root.classList.contains("done") || !card.isConnected) return;
        root.classList.add("done");
        card.classList.add("begun");
        root.append(element("span", { class: "unseen" }, " Done."));
        const next = list.querySelector("li:not(.done)");
        card.classList.toggle("all-done", !next);
        // The last step ends it, whatever was left out on the way.
        const ends = !next || root === list.lastElementChild;
        asks(ends ? null : next);
        card.classList.toggle("ended", ends);
        if (ends && !card.querySelector(".onward")) card.append(onward());
        const way = card.querySelector(".way");
        if (ends && way) way.textContent = "Done";
        say(ends ? THAT_IS_IT : `Done. Next: ${next.firstChild?.textContent}`);
      },
    };
  };
  // What the next step is done with stands out: the key that is asked for, or Play.
  const asks = (/** @type {Element | null} */ next) => {
    byId("keyboard").classList.toggle("asks-home", next === list.children[2]);
    byId("play").classList.toggle("later", next !== null && next !== list.lastElementChild);
  };
  // It ends with something to do.
  const onward = () =>
    element(
      "div",
      { class: "onward" },
      element("p", {}, THAT_IS_IT),
      element(
        "p",
        { class: "row" },
        button(
          "Practise it",
          () => {
            close();
            go(session, "practice");
            session.stop();
          },
          { class: "quiet strong" },
        ),
        button(
          "Make my own",
          () => {
            close();
            newRiff(session);
          },
          { class: "quiet" },
        ),
      ),
    );
  listening(session, step);
  tapping(session, step);
  playing(session, step);
  const change = step(
    "Make it yours: drag one note somewhere new. ",
    button("Or play in your own rhythm", () => session.playIn(), { class: "link" }),
  );
  session.addEventListener("taking", () => session.taking.taken && change.done());
  const join = step("Now press “Play with the band”.");
  whenNoteMoves(session, change.done);
  asks(list.firstElementChild);
  // Done once the band has begun: when the second bar sounds.
  session.addEventListener(
    "bar",
    (event) =>
      /** @type {CustomEvent} */ (event).detail > 0 &&
      !session.alone &&
      !session.taking.listening &&
      !session.taking.taken &&
      session.place === "riff" &&
      join.done(),
  );
}

/**
 * @param {Session} session
 * @param {(text: string, ...helpers: HTMLElement[]) => Step} step
 */
function listening(session, step) {
  const { done } = step(
    "Listen. ",
    button("Hear two bars", () => session.play(Heard.Riff), { class: "quiet" }),
  );
  let began = 0;
  // Heard is what was heard to its last note, not what was begun.
  session.addEventListener("playing", () => {
    if (!session.playing && began > 0 && performance.now() - began >= untilLastNote(session)) done();
    began = session.playing && session.alone && session.place === "riff" ? performance.now() : 0;
  });
}

/** How long the riff takes to its last note, in milliseconds. @param {Session} session */
function untilLastNote({ screen: { strip, grid, tune } }) {
  const beats = (strip?.tokens.at(-1)?.at ?? 0) * (grid?.beats.length ?? 0);
  return (beats * 60_000) / (tune?.bpm ?? 76);
}

/**
 * @param {Session} session
 * @param {(text: string, ...helpers: HTMLElement[]) => Step} step
 */
function tapping(session, step) {
  const taps = counter(session, () => done());
  const pad = tapPad(taps.one);
  const clapped = button("I clapped it", () => done(), { class: "link" });
  const { root, done } = step("Tap the rhythm: one tap for each note. ", taps.root, clapped, hearAgain(session), pad);
  const isNext = () =>
    root.offsetParent !== null &&
    !root.classList.contains("done") &&
    !root.previousElementSibling?.matches(":not(.done)");
  // Space taps also where nothing has the focus, and from the button that was just pressed to listen.
  session.addEventListener("playing", () => {
    const at = document.activeElement;
    if (!session.playing && isNext() && (at === document.body || at?.closest(".first-minute")))
      pad.focus({ preventScroll: true });
  });
  document.addEventListener("keydown", (event) => {
    if (event.key !== " " || event.repeat || event.target !== document.body || !isNext()) return;
    event.preventDefault();
    taps.one(event.timeStamp);
  });
}

/**
 * @param {Session} session
 * @param {(text: string, ...helpers: HTMLElement[]) => Step} step
 */
function playing(session, step) {
  const keys = counter(session, () => done(), TRIES);
  const { root, done } = step("Play the rhythm on the underlined key. ", keys.root, hearAgain(session));
  // By its name, and by its letter where there are letters to press.
  const name = () => {
    const home = session.screen.keys?.keys.find((key) => key.home);
    const letter = byId("keyboard").querySelector(".key.home[data-letter]")?.getAttribute("data-letter");
    const pressed = letter && matchMedia("(hover: hover) and (width > 700px)").matches ? ` (or type ${letter})` : "";
    if (home && root.firstChild instanceof Text)
      root.firstChild.data = `Play the rhythm on ${home.name}, the framed key${pressed}. `;
  };
  session.addEventListener("drawn", name);
  session.addEventListener("key", (event) => {
    const { midi, down, time } = /** @type {CustomEvent<import("../midi.js").KeyMove>} */ (event).detail;
    const isHome = session.screen.keys?.keys.some((key) => key.home && (key.midi - midi) % 12 === 0);
    // A key that writes plays nothing back.
    if (down && isHome && !session.writingOn) keys.one(time);
  });
}

/** The model once more, in the steps that come after listening. @param {Session} session */
const hearAgain = (session) => button("Hear it again", () => session.play(Heard.Riff), { class: "link" });

/**
 * Counts up to the notes of the riff, a dot for each.
 * @param {Session} session
 * @param {() => void} full is called when they came in the riff's rhythm
 * @param {number} [tries] after so many times any rhythm will do
 */
function counter(session, full, tries = Infinity) {
  const dots = element("span", { "aria-hidden": "true" });
  const told = element("small", { role: "status" });
  const root = element("span", { class: "dots" }, dots, told);
  /** When each tap or key came, in milliseconds. @type {number[]} */
  let taps = [];
  let times = 0;
  const draw = () => {
    const notes = session.screen.strip?.tokens.length ?? 0;
    dots.replaceChildren(
      ...Array.from({ length: notes }, (_, index) => element("i", { class: index < taps.length ? "full" : "" })),
    );
  };
  session.addEventListener("drawn", () => dots.childElementCount !== session.screen.strip?.tokens.length && draw());
  draw();
  return {
    root,
    /** @param {number} timeStamp of the tap or key */
    one(timeStamp) {
      if (session.place !== "riff") return;
      const notes = dots.childElementCount;
      // A riff without notes asks for nothing.
      if (notes === 0) return;
      if (taps.length === notes || timeStamp - (taps.at(-1) ?? timeStamp) > ANEW_AFTER) taps = [];
      taps.push(timeStamp);
      told.textContent = "";
      draw();
      if (taps.length < notes) return;
      times += 1;
      if (times >= tries || session.app.isTapped(new Float64Array(taps.map((time) => time / 1000)))) full();
      else told.textContent = "Not its rhythm yet. Listen once more, then again.";
    },
  };
}

/**
 * @param {Session} session
 * @param {() => void} moved
 */
function whenNoteMoves(session, moved) {
  /** @type {TokenView[]} */
  let before = session.screen.strip?.tokens ?? [];
  session.addEventListener("changed", () => {
    const tokens = session.screen.strip?.tokens ?? [];
    const others = tokens.filter(
      (token, index) => token.tick !== before[index]?.tick || token.midi !== before[index]?.midi,
    );
    if (tokens.length === before.length && others.length === 1) moved();
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
