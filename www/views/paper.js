// What stands on every sheet of paper: its size, the form with its chords, lines to write on, rows for how it went.
import { element, svg } from "./dom.js";
import { engraveLines } from "./engrave.js";

/** @typedef {import("../pkg/riffloom.js").StaffView} StaffView */
/** @typedef {import("../pkg/riffloom.js").SheetView} SheetView */
/** @typedef {Pick<SheetView, "lines" | "verse">} Form */

/** The height that a page leaves on the shorter of A4 and Letter, with margins of 12 mm, in CSS pixels (96 to the inch). */
export const PAGE_HEIGHT = ((279.4 - 24) / 25.4) * 96 - 4;
/** How wide a sheet is laid out: a little less than both papers leave, in CSS pixels; sheet.css has the same. */
export const PAGE_WIDTH = (185 / 25.4) * 96;

/** Five lines are 40 of the library's units, which are CSS pixels at size 1. @param {number} height of a staff in millimetres */
const sizeOf = (height) => ((height / 25.4) * 96) / 40;
/**
 * The smallest staff for learners, for a chorus, and for a band's part: 9.2, 7.9 and 7 mm high. Source: E. Gould, *Behind Bars*,
 * 2011, on staff sizes: what music for beginners and single-staff parts are printed in (from memory).
 */
export const [LEARNER, READER, PART] = [sizeOf(9.2), sizeOf(7.9), sizeOf(7)];

/**
 * So that all is on one page: fewer lines to write in, then a staff that is a little smaller; where even that is too much,
 * all of it in full, on as many pages as it takes.
 * @param {number} most lines @param {number} largest @param {number} smallest size of a staff
 * @returns {[number, number][]}
 */
export const fits = (most, largest, smallest) => [
  ...Array.from({ length: most + 1 }, (_, fewer) => /** @type {[number, number]} */ ([most - fewer, largest])),
  [0, smallest],
  [most, largest],
];

/** The one sheet that is printed. */
export function paper() {
  const there = document.querySelector("body > .sheet");
  if (there) return there;
  const made = element("section", { class: "sheet", "aria-hidden": "true" });
  document.body.append(made);
  return made;
}

let isHeld = false;
/** Whether another part of the page fills it than the riff or the chorus. */
export const held = () => isHeld;
/** @param {boolean} on */
export const hold = (on) => (isHeld = on);

/** A staff on paper: each line by itself, so that a page ends between two lines. @param {StaffView} staff @param {import("./engrave.js").How} how */
export const onPaper = (staff, how) => engraveLines(staff, how);

/** What no page ends in. @param {Element[]} pieces */
export const together = (...pieces) => element("div", { class: "sheet-together" }, ...pieces);

/** A line to write on. @param {string} text */
export const rule = (text) => element("span", { class: "rule" }, `${text} `, element("i", {}));

/** The form, four bars a line: numbers and chords. @param {Form} sheet */
export function form(sheet) {
  let number = 0;
  const bar = (/** @type {string} */ chords, /** @type {string} */ words) =>
    element(
      "span",
      {},
      element("small", {}, String((number += 1))),
      element("b", {}, chords),
      ...(words ? [element("em", {}, words)] : []),
    );
  const made = sheet.lines.map((line, index) =>
    element("div", {}, ...line.map((chords, place) => bar(chords, sheet.verse[index]?.bars[place] ?? ""))),
  );
  return element("div", { class: "sheet-form" }, ...made);
}

/** The words of the times after the first, whose words stand over the form. @param {Form} sheet */
export function verses(sheet) {
  const later = sheet.verse.filter(({ time, text }) => time > 0 && text);
  return later.map(({ time, title, bars }) =>
    element(
      "p",
      { class: "sheet-verse" },
      element("b", {}, `Time ${time + 1}, ${title.toLowerCase()}: `),
      bars.join(" "),
    ),
  );
}

/** Every chord with its notes. @param {Pick<SheetView, "chords">} sheet */
export function notes(sheet) {
  return element(
    "p",
    { class: "sheet-notes" },
    ...sheet.chords.map(({ name, notes }) => element("span", {}, element("b", {}, name), ` ${notes}`)),
  );
}

/** What the shapes on the strip mean. */
export function shapes() {
  return element(
    "p",
    { class: "sheet-shapes" },
    "Round: in the chord. Drop: blue note. Pointing right: coming next. Open ring: outside note. " +
      "Pale beats: after the end of the riff.",
  );
}

/** Five lines and four bars, to write in. */
export function emptyLine() {
  const [width, gap, top] = [1000, 9, 14];
  const bottom = top + 4 * gap;
  let d = "";
  for (let line = 0; line < 5; line++) d += `M0 ${top + line * gap}H${width}`;
  for (let bar = 0; bar <= 4; bar++) d += `M${bar === 0 ? 0.5 : (bar * width) / 4 - 0.5} ${top}V${bottom}`;
  return svg(
    "svg",
    { class: "sheet-empty", viewBox: `0 0 ${width} ${bottom + 14}`, "aria-hidden": "true" },
    svg("path", { d, fill: "none", stroke: "currentColor" }),
  );
}

/** Four rows for how it went. */
export function log() {
  const names = ["Day", "Tempo", "What went well", "Next time"];
  const row = (/** @type {string} */ kind) =>
    element("tr", {}, ...names.map((name) => (kind === "th" ? element("th", {}, name) : element("td", {}))));
  const made = element(
    "table",
    { class: "sheet-log" },
    element("thead", {}, row("th")),
    element("tbody", {}, row("td"), row("td"), row("td"), row("td")),
  );
  return made;
}
