// The four shapes of notes; the same on the strip, the form and the keys.

import { element, place, svg, sync } from "./dom.js";

/** @typedef {{ role: string, blue: boolean, rubs?: boolean }} Look */

/**
 * Outlines in a field of 24 by 24, a family: what belongs to the chord or the key now is full, what does not is open; and
 * each has a silhouette and a weight of its own, so that they are told apart from far away and in grey
 * (`scripts/bench shapes`).
 * @type {Record<string, string>}
 */
const OUTLINES = {
  "in-chord": "M12 1 a11 11 0 0 1 0 22 a11 11 0 0 1 0 -22Z",
  "in-chord-blue": "M12 -3.4 C13.4 1.4 22.4 5.6 22.4 13 a10.4 10.4 0 0 1 -20.8 0 C1.6 5.6 10.6 1.4 12 -3.4Z",
  blue: "M12 -3.4 C12.6 2 19.8 9.6 19.8 15.6 a7.8 7.8 0 0 1 -15.6 0 C4.2 9.6 11.4 2 12 -3.4Z",
  "next-chord": "M0 3.5 h16.5 l7.5 8.5 -7.5 8.5 h-16.5 z",
  other: "M12 2.5 a9.5 9.5 0 0 1 0 19 a9.5 9.5 0 0 1 0 -19Z",
};
/** What is full within an outline that is open: the round in the drop, and the head that points to the next chord. @type {Record<string, string>} */
const CORES = {
  "in-chord-blue": "M12 5.8 a7.4 7.4 0 0 1 0 14.8 a7.4 7.4 0 0 1 0 -14.8Z",
  "next-chord": "M16.5 3.5 l7.5 8.5 -7.5 8.5 z",
};
const FRAY = "M21 2 l5 -3 M23 7 l6 -1 M24 12 l6 1 M23 17 l6 3 M20 22 l5 4";

/** One of each shape, to be copied: a copy costs a tenth of making it part by part. @type {Map<string, Element>} */
const made = new Map();

/**
 * A note's shape. Its colours come from the style sheet by role.
 * @param {Look} look
 */
export function shape(look) {
  const key = `${look.role} ${look.blue} ${look.rubs ?? false}`;
  const first = made.get(key) ?? drawn(look);
  made.set(key, first);
  return /** @type {Element} */ (first.cloneNode(true));
}

/** @param {Look} look */
function drawn(look) {
  const name = look.role === "in-chord" && look.blue ? "in-chord-blue" : look.role;
  const drawing = svg(
    "svg",
    { class: `shape ${name}`, viewBox: "-2 -3 30 30", "aria-hidden": "true" },
    svg("path", { d: OUTLINES[name] ?? "", class: "body" }),
  );
  if (CORES[name]) drawing.append(svg("path", { d: CORES[name], class: "core" }));
  if (look.rubs) drawing.append(svg("path", { d: FRAY, class: "fray" }));
  return drawing;
}

/**
 * The notes of a bar or a card, drawn small, each in its place; a mark that only moves stays.
 * @param {Element} parent
 * @param {import("../pkg/riffloom.js").MarkView[]} marks
 */
export function drawMarks(parent, marks) {
  const looks = marks.map(({ role, blue, rubs }) => ({ role, blue, rubs }));
  sync(parent, looks, (look) => element("i", { class: "mark" }, shape(look)));
  for (const [index, { at, height, begun, note }] of marks.entries()) {
    const mark = parent.children[index];
    if (!(mark instanceof HTMLElement)) continue;
    place(mark, { at, height });
    // By this it is found when it sounds.
    mark.dataset.of = `${begun}:${note}`;
  }
}
