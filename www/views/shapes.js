// The four shapes of notes; the same on the strip, the form and the keys.

import { element, place, svg, sync } from "./dom.js";

/** @typedef {{ role: string, blue: boolean, pale: boolean, rubs?: boolean }} Look */

/**
 * Outlines in a field of 24 by 24.
 * @type {Record<string, string>}
 */
const OUTLINES = {
  "in-chord": "M12 1.5 a10.5 10.5 0 0 1 0 21 a10.5 10.5 0 0 1 0 -21Z",
  "in-chord-blue": "M12 -1 C13.4 2.6 22.5 5.5 22.5 13 a10.5 10.5 0 0 1 -21 0 C1.5 5.5 10.6 2.6 12 -1Z",
  blue: "M12 -2 C12 -2 3 9.5 3 15 a9 9 0 0 0 18 0 C21 9.5 12 -2 12 -2Z",
  "next-chord": "M1.5 2.5 h13 l8.5 9.5 -8.5 9.5 h-13 z",
  other: "M12 2.5 a9.5 9.5 0 0 1 0 19 a9.5 9.5 0 0 1 0 -19Z",
};
const FRAY = "M21 2 l5 -3 M23 7 l6 -1 M24 12 l6 1 M23 17 l6 3 M20 22 l5 4";

/** One of each shape, to be copied: a copy costs a tenth of making it part by part. @type {Map<string, Element>} */
const made = new Map();

/**
 * A note's shape. Its colours come from the style sheet by role.
 * @param {Look} look
 */
export function shape(look) {
  const key = `${look.role} ${look.blue} ${look.pale} ${look.rubs ?? false}`;
  const first = made.get(key) ?? drawn(look);
  made.set(key, first);
  return /** @type {Element} */ (first.cloneNode(true));
}

/** @param {Look} look */
function drawn(look) {
  const name = look.role === "in-chord" && look.blue ? "in-chord-blue" : look.role;
  const drawing = svg("svg", { class: `shape ${look.role}${look.pale ? " pale" : ""}`, viewBox: "-2 -3 30 30", "aria-hidden": "true" },
    svg("path", { d: OUTLINES[name] ?? "", class: "body" }));
  if (look.rubs) drawing.append(svg("path", { d: FRAY, class: "fray" }));
  return drawing;
}

/**
 * The notes of a bar or a card, drawn small, each in its place; a mark that only moves stays.
 * @param {Element} parent
 * @param {import("../pkg/riffloom.js").MarkView[]} marks
 */
export function drawMarks(parent, marks) {
  const looks = marks.map(({ role, blue, pale, rubs }) => ({ role, blue, pale, rubs }));
  sync(parent, looks, (look) => element("i", { class: "mark" }, shape(look)));
  for (const [index, { at, height, begun, note }] of marks.entries()) {
    const mark = parent.children[index];
    if (!(mark instanceof HTMLElement)) continue;
    place(mark, { at, height });
    // By this it is found when it sounds.
    mark.dataset.of = `${begun}:${note}`;
  }
}
