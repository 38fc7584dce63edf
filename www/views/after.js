// What is said after a time through: two sentences, one thing to try, and the numbers for who opens them.
import { button, byId, element, place, say, write } from "./dom.js";

/** @typedef {import("../session.js").Session} Session */
/** @typedef {import("../pkg/riffloom.js").PracticeView} PracticeView */
/** @typedef {import("../pkg/riffloom.js").AfterView} AfterView */
/** @typedef {import("../pkg/riffloom.js").TimingView} TimingView */

/** The room that a note's name takes under the sticks, as a fraction of their width. */
const NAME_WIDTH = 0.06;

/** @param {Session} session */
export function mountAfter(session) {
  const root = byId("after");
  const hint = element("p", { class: "card notice" });
  const told = element("section", { class: "card told", "aria-label": "The last time through" });
  const summary = element("summary", {}, "Show the numbers");
  const numbers = element("details", { class: "card numbers-card" }, summary);
  const inside = element("div", {});
  numbers.append(inside);
  const delay = element("section", { class: "card delay", "aria-label": "This device’s delay" });
  const rest = element("p", { class: "card rest" });
  root.append(hint, rest, told, numbers, delay);
  let number = 0;
  let rested = "";
  let tapped = false;
  /** @type {PracticeView["after"]} */
  let after;
  // Whether they lie open is kept, and they are drawn when they are looked at.
  summary.addEventListener("click", (event) => {
    event.preventDefault();
    session.do({ do: "set-practice", what: "numbers", value: numbers.open ? "off" : "on" });
    // What was asked for begins in sight, however low the window is; beside the keys it does already.
    if (numbers.open && innerWidth < 1100) numbers.scrollIntoView({ block: "nearest" });
  });

  return (/** @type {PracticeView} */ view) => {
    show(hint, view.hint);
    show(rest, view.rest);
    if (view.rest && !rested) say(view.rest);
    rested = view.rest;
    after = view.after;
    refill(told, after ? { ...after, timing: undefined } : view.first, () =>
      after ? toldElements(session, after) : firstWords(view.first),
    );
    // While one taps along, only that is told, and its words are in sight.
    told.hidden = view.tapping;
    numbers.hidden = !after?.timing || view.tapping;
    numbers.open = view.numbers;
    // The sticks need width, and what was said comes before the keys.
    byId("desk").classList.toggle("counted", numbers.open && !numbers.hidden);
    byId("desk").classList.toggle("told", after !== undefined);
    drawNumbers();
    refill(delay, { ...view.delay, tapping: view.tapping }, () => delayElements(session, view));
    if (view.tapping && !tapped) delay.scrollIntoView({ block: "nearest" });
    tapped = view.tapping;
    if (after && after.number !== number) {
      say(after.spoken);
      // What one stopped for; while it plays on, nothing moves by itself.
      if (!session.playing) told.scrollIntoView({ block: "nearest" });
    }
    number = after?.number ?? number;
  };

  function drawNumbers() {
    const timing = after?.timing;
    if (numbers.open && timing) refill(inside, timing, () => timingElements(session, timing));
  }
}

/** What each part was drawn from, as text. @type {WeakMap<HTMLElement, string>} */
const drawnFrom = new WeakMap();

/**
 * Fills a part anew where what it is drawn from has changed; what had the focus keeps it, what was open stays open.
 * @param {HTMLElement} root
 * @param {unknown} data
 * @param {() => HTMLElement[]} make
 */
function refill(root, data, make) {
  const text = JSON.stringify(data) ?? "";
  if (drawnFrom.get(root) === text) return;
  drawnFrom.set(root, text);
  const focused = root.contains(document.activeElement) ? document.activeElement?.textContent : undefined;
  const opened = [...root.querySelectorAll("details")].map((each) => each.open);
  root.replaceChildren(...make());
  [...root.querySelectorAll("details")].forEach((each, index) => (each.open = opened[index] ?? false));
  const again = [...root.querySelectorAll("button, summary")].find(
    (each) => focused !== undefined && each.textContent === focused,
  );
  if (again instanceof HTMLElement) again.focus();
}

/**
 * @param {HTMLElement} line
 * @param {string} text
 */
function show(line, text) {
  line.hidden = text === "";
  write(line, text);
}

/** @param {string} first */
function firstWords(first) {
  return [
    element("h2", {}, "When you have played"),
    element("p", {}, first),
    element("p", { class: "hint" }, "Nobody gives marks here.", element("span", { class: "with-keys" }, " Esc stops.")),
  ];
}

/**
 * @param {Session} session
 * @param {AfterView} after
 */
function toldElements(session, after) {
  const lines = after.said.map((text) => element("p", { class: "said-line" }, text));
  if (after.toTry) lines.push(element("p", { class: "try-line" }, after.toTry));
  if (after.next) lines.push(element("p", { class: "next-line" }, after.next));
  // One thing is next: a little faster where that was earned, else once more.
  const next = after.faster > 0 ? `A little faster: ${after.faster}` : "Once more";
  const onward = button(
    next,
    () => {
      if (after.faster > 0) session.do({ do: "set-tempo", bpm: after.faster });
      // A run that goes on has begun anew by itself.
      if (!session.playing) session.practise();
    },
    { class: "quiet strong onward" },
  );
  const again = [
    button("Hear yourself", () => session.hearPass(false), { class: "link" }),
    button(after.both, () => session.hearPass(true), { class: "link" }),
  ];
  return [
    element("h2", {}, after.title),
    ...lines,
    element("p", { class: "row again" }, onward, ...(after.canReplay ? again : [])),
  ];
}

/**
 * @param {Session} session
 * @param {PracticeView} view
 */
function delayElements(session, { delay, tapping }) {
  const parts = [element("p", {}, delay.text)];
  if (delay.sure) parts.push(element("p", { class: "hint" }, delay.sure));
  if (delay.warning) parts.push(element("p", { class: "warning" }, delay.warning));
  if (!tapping)
    parts.push(
      element(
        "p",
        {},
        button(delay.button, () => session.tapAlong(), { class: "quiet" }),
      ),
    );
  return parts;
}

/**
 * @param {Session} session
 * @param {TimingView} timing
 */
function timingElements(session, timing) {
  const rooms = element(
    "div",
    { class: "row rooms", role: "group", "aria-label": "How close counts as in time" },
    ...timing.rooms.map(({ value, text, chosen }) =>
      button(text, () => session.do({ do: "set-practice", what: "room", value }), {
        class: "tool",
        "aria-pressed": String(chosen),
      }),
    ),
  );
  return [
    strip(timing),
    element(
      "dl",
      { class: "numbers" },
      ...timing.rows.map(({ name, value, text }) =>
        element(
          "div",
          {},
          element("dt", {}, name),
          element("dd", {}, element("b", {}, value), element("small", {}, text)),
        ),
      ),
    ),
    element("div", { class: "window" }, element("p", { class: "hint" }, timing.window), rooms),
    element("details", { class: "fold" }, element("summary", {}, "Note by note, as a table"), table(timing)),
  ];
}

/** @param {TimingView} timing */
function strip({ strip, scale, label }) {
  let named = -Infinity;
  const sticks = strip.map(({ at, late, name, kind }) => {
    const stick = element("i", { class: `stick ${kind}${late > 0 ? " late" : ""}` });
    place(stick, { at, size: Math.abs(late) });
    // A name that would print over the one before it is left out; the table has them all.
    if (at - named < NAME_WIDTH) return [stick];
    named = at;
    const letter = element("span", { class: "stick-name" }, name);
    place(letter, { at });
    return [stick, letter];
  });
  return element(
    "div",
    { class: "sticks", role: "img", "aria-label": label },
    element("small", { class: "early-word" }, `early, ${scale}`),
    element("small", { class: "late-word" }, `late, ${scale}`),
    ...sticks.flat(),
  );
}

/** @param {TimingView} timing */
function table({ table: rows }) {
  const head = element(
    "tr",
    {},
    ...["Where", "Asked", "Played", "When"].map((text) => element("th", { scope: "col" }, text)),
  );
  return element(
    "div",
    { class: "scroll", tabindex: 0, role: "group", "aria-label": "Table of notes" },
    element(
      "table",
      {},
      element("thead", {}, head),
      element(
        "tbody",
        {},
        ...rows.map(({ place: where, asked, played, text }) =>
          element(
            "tr",
            {},
            element("th", { scope: "row" }, where),
            ...[asked, played, text].map((cell) => element("td", {}, cell)),
          ),
        ),
      ),
    ),
  );
}
