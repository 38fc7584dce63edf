// What a teacher sees first: the job in three steps, each with a picture, and a full board to look at.
import { button, element, svg } from "./dom.js";

/** Notes of a small weave: where, how long, how high, and their dye. @typedef {[number, number, number, string][]} Yarns */

/** @type {Yarns[]} */
const WEAVES = [
  [
    [4, 12, 22, "madder"],
    [20, 8, 14, "indigo"],
    [32, 14, 22, "madder"],
  ],
  [
    [4, 8, 10, "weld"],
    [16, 8, 16, "indigo"],
    [28, 18, 24, "madder"],
  ],
  [
    [12, 10, 24, "madder"],
    [26, 6, 14, "indigo"],
  ],
  [
    [4, 18, 18, "madder"],
    [26, 8, 10, "weld"],
    [38, 8, 24, "madder"],
  ],
  [
    [8, 8, 24, "madder"],
    [20, 8, 18, "indigo"],
    [32, 8, 10, "madder"],
  ],
  [
    [4, 6, 24, "madder"],
    [14, 6, 24, "madder"],
    [30, 16, 14, "indigo"],
  ],
];

/** @param {number} x @param {number} y @param {number} width @param {number} height */
const box = (x, y, width, height, name = "cloth") => svg("rect", { x, y, width, height, rx: 3, class: name });

/** @param {string} d @param {string} name */
const path = (d, name) => svg("path", { d, class: name });

/** A small weave. @param {Yarns} yarns @param {number} x @param {number} y */
const weave = (yarns, x, y) => [
  box(x, y, 54, 32),
  ...yarns.map(([at, length, height, dye]) => path(`M${x + at} ${y + height + 1}h${length}`, `yarn ${dye}`)),
];

/** The lesson: a riff, what is asked, and the teacher's words. */
const lesson = () => [
  box(46, 8, 148, 94, "paper"),
  ...weave(WEAVES[0] ?? [], 58, 18),
  path("M122 24h60M122 34h48M122 44h54", "text"),
  path("M58 64h124M58 76h96M58 88h110", "text"),
  path("M50 64l3 3 5-6M50 76l3 3 5-6", "tick"),
];

/** Out: a link, a code, a sheet. */
const out = () => [
  box(14, 40, 70, 26, "paper"),
  path("M22 53h36", "text"),
  path("M64 53h12m-5-4 5 4-5 4", "tick"),
  box(98, 26, 54, 54, "paper"),
  path(
    "M104 32h14v14h-14zM132 32h14v14h-14zM104 60h14v14h-14zM124 32h4v8h-4zM122 50h8v6h-8zM134 52h6v6h-6zM124 64h8v4h-8zM138 64h8v10h-8z",
    "ink",
  ),
  box(168, 20, 48, 66, "paper"),
  path("M175 32h34M175 37h34M175 42h34M175 56h34M175 64h34M175 72h22", "text"),
];

/** Back: a wall of weaves. */
const wall = () =>
  WEAVES.flatMap((yarns, place) => weave(yarns, 27 + (place % 3) * 66, 14 + Math.floor(place / 3) * 46));

/** @param {() => Node[]} drawn */
const picture = (drawn) => svg("svg", { viewBox: "0 0 240 110", "aria-hidden": "true" }, ...drawn());

/**
 * @param {{ make: () => void, gather: () => void, example: () => void, plan: () => void }} acts
 */
export function classFirst({ make, gather, example, plan }) {
  const step = (
    /** @type {() => Node[]} */ drawn,
    /** @type {string} */ title,
    /** @type {string} */ text,
    /** @type {HTMLElement[]} */ ...more
  ) => element("li", { class: "card" }, picture(drawn), element("h3", {}, title), element("p", {}, text), ...more);
  return element(
    "section",
    { class: "first", "aria-label": "A lesson in three steps" },
    element(
      "ol",
      {},
      step(
        lesson,
        "1 Make a lesson",
        "Choose a riff of yours to hear and copy. Say what you ask: how many beats, how much room, which notes.",
        button("Make a lesson", make, { class: "quiet strong" }),
      ),
      step(
        out,
        "2 Give it out",
        "The lesson is a link. Show its code to the class, send the link, or print the sheet. No accounts, no names.",
      ),
      step(
        wall,
        "3 See and hear what comes back",
        "Each answer is a link, too. Put them on the board: a wall of weaves that plays in turn.",
        button("Put answers on the board", gather, { class: "quiet" }),
      ),
    ),
    element(
      "div",
      { class: "row" },
      button("Look at a full board first", example, { class: "quiet" }),
      button("A plan for forty minutes", plan, { class: "quiet" }),
      element(
        "p",
        { class: "hint" },
        "All of it stays on this device. Nothing is sent by the page, and nobody is ranked.",
      ),
    ),
  );
}
