// The four shapes of notes; the same on the strip, the form and the keys.

import { element, place } from "./dom.js";

/** @typedef {{ role: string, blue: boolean, pale: boolean, rubs?: boolean }} Look */

const SVG = "http://www.w3.org/2000/svg";

/**
 * A note's shape. Its colours come from the style sheet by role.
 * @param {Look} look
 */
export function shape(look) {
  const svg = document.createElementNS(SVG, "svg");
  svg.setAttribute("class", `shape ${look.role}${look.pale ? " pale" : ""}`);
  svg.setAttribute("viewBox", "-2 -3 30 30");
  svg.setAttribute("aria-hidden", "true");
  const name = look.role === "in-chord" && look.blue ? "in-chord-blue" : look.role;
  svg.append(use(`#shape-${name}`, "body"));
  if (look.rubs) svg.append(use("#shape-fray", "fray"));
  return svg;
}

/**
 * The notes of a bar or a card, drawn small, each in its place.
 * @param {import("../pkg/riffloom.js").MarkView[]} marks
 */
export function markElements(marks) {
  return marks.map((mark) => {
    const made = element("i", { class: "mark" }, shape(mark));
    place(made, { at: mark.at, height: mark.height });
    return made;
  });
}

/**
 * @param {string} address
 * @param {string} part
 */
function use(address, part) {
  const made = document.createElementNS(SVG, "use");
  made.setAttribute("href", address);
  made.setAttribute("class", part);
  made.setAttribute("width", "24");
  made.setAttribute("height", "24");
  return made;
}
