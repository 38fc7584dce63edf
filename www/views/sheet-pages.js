// What stands on the pages of a sheet: all of them on the one sheet of paper, as large as each can be read.
import { cloth } from "./cloth.js";
import { element } from "./dom.js";
import {
  LEARNER,
  PAGE_HEIGHT,
  PAGE_WIDTH,
  PART,
  READER,
  emptyLine,
  fits,
  form,
  log,
  notes,
  onPaper,
  paper,
  rule,
  shapes,
  together,
  verses,
} from "./paper.js";
import { still } from "./still.js";

/** @typedef {import("../pkg/riffloom.js").SheetView} SheetView */
/** @typedef {import("../pkg/riffloom.js").StaffView} StaffView */
/** What is printed; a part of a band by its name. @typedef {{ staff: StaffView, sheet: SheetView, parts: (name: string) => StaffView }} What */
/** @typedef {{ empties?: number, size?: number, words: string, named: boolean, under: string, isChorus: boolean }} How */

/** What the woven band on paper shows. */
const WOVEN = "The weave: time runs to the right, higher notes lie higher.";
/** How wide a card's staff is: two cards stand side by side, each with a margin of 4 mm; sheet.css has the same. */
const CARD_WIDTH = ((92.5 - 8) / 25.4) * 96;
/** How large a staff may be on a card, the largest first. */
const CARD_SCALES = [0.75, 0.65, 0.55, 0.5];
/** How large the staves of a band's parts may be, the largest first. */
const BAND_SCALES = [0.95, 0.85, READER, PART];
/** The name in data of what is clapped. */
export const CLAPS = "claps";

/**
 * Lays a sheet out.
 * @param {string} kind `page`, `handout`, `card` or `band`
 * @param {What} what
 * @param {{ words: string, under: string, isChorus: boolean, wanted: string[] }} asked the teacher's words, what stands under
 * the notes, and of a band who gets a page
 */
export function layOut(kind, { staff, sheet, parts }, { wanted, ...asked }) {
  const how = { ...asked, named: kind === "handout" };
  if (kind === "card") return fillCard(staff, sheet, how);
  if (kind === "band") return fillBand(staff, sheet, { words: how.words, parts, wanted });
  const largest = how.isChorus ? 0.85 : 1;
  for (const [empties, size] of fits(sheet.emptyBars / 4, largest, how.isChorus ? READER : LEARNER)) {
    paper().replaceChildren(...page(staff, sheet, { ...how, empties, size }));
    if (paper().scrollHeight <= PAGE_HEIGHT) break;
  }
}

/** On as few cards as can be read: what one does not hold goes on to the next. @param {StaffView} staff @param {SheetView} sheet @param {How} how */
function fillCard(staff, sheet, how) {
  for (const scale of CARD_SCALES) {
    const cards = element("div", { class: "sheet-cards" });
    paper().replaceChildren(cards);
    let now = cards.appendChild(element("div", { class: "sheet-card" }));
    const pieces = card(staff, sheet, how, scale);
    for (const piece of pieces) {
      now.append(piece);
      if (now.scrollHeight <= now.clientHeight || now.childElementCount === 1) continue;
      // The notes of the chords alone are worth no second card: they stand on the sheet.
      if (piece === pieces.at(-1)) {
        piece.remove();
        continue;
      }
      now = cards.appendChild(element("div", { class: "sheet-card" }));
      now.append(piece);
    }
    if (cards.childElementCount === 1) break;
  }
}

/**
 * Pages for each who reads differently, with what such a player can play; and one of claps, which nobody reads otherwise.
 * @param {StaffView} staff
 * @param {SheetView} sheet
 * @param {{ words: string, parts: What["parts"], wanted: string[] }} how
 */
function fillBand(staff, sheet, { words, parts: written, wanted }) {
  const part = (/** @type {string} */ value, /** @type {string} */ reader) => ({
    text: sheet.band.find((each) => each.value === value)?.text ?? "",
    staff: written(`${value}:${reader}`),
  });
  const played = sheet.band.map(({ value }) => value).filter((value) => value !== CLAPS);
  const readers = staff.parts.filter(({ name }) => name !== "own").map(({ name }) => name);
  const all = [
    ...readers.filter((name) => wanted.includes(name)).map((name) => played.map((value) => part(value, name))),
    ...(wanted.includes(CLAPS) ? [[part(CLAPS, readers[0] ?? "")]] : []),
  ];
  const made = all.map(() => element("div", { class: "sheet-part" }));
  paper().replaceChildren(...made);
  all.forEach((parts, index) => {
    for (const scale of BAND_SCALES) {
      made[index]?.replaceChildren(...bandPage(parts, sheet, { words, scale }));
      if ((made[index]?.scrollHeight ?? 0) <= PAGE_HEIGHT) break;
    }
  });
}

/**
 * @param {StaffView} staff
 * @param {SheetView} sheet
 * @param {How} how
 */
function page(staff, sheet, { empties = 0, size = 1, words, named, under }) {
  /** @type {Element[]} */
  const made = [
    ...head(staff, sheet),
    ...(named ? [element("p", { class: "sheet-name" }, rule("Name"), rule("Date"))] : []),
  ];
  if (words) made.push(element("p", { class: "sheet-words" }, words));
  made.push(...onPaper(staff, { width: PAGE_WIDTH, scale: size, under }));
  if (sheet.strip) made.push(still(sheet.strip, sheet.title), shapes());
  const woven = cloth(sheet.cloth);
  // Under the strip, beat under beat.
  if (sheet.strip) woven.style.width = `${100 * sheet.strip.endsAt}%`;
  made.push(
    woven,
    element("p", { class: "sheet-shapes" }, sheet.strip ? `${WOVEN} It ends where the riff does.` : WOVEN),
  );
  made.push(form(sheet), ...verses(sheet), notes(sheet));
  if (empties > 0)
    made.push(
      together(element("h2", {}, "Write your own"), emptyLine()),
      ...Array.from({ length: empties - 1 }, emptyLine),
    );
  made.push(together(element("h2", {}, "How did it go?"), log()));
  return made;
}

/**
 * What a band plays, as one who reads it sees it.
 * @param {{ text: string, staff: StaffView }[]} parts the riff or the chorus first
 * @param {SheetView} sheet
 * @param {{ words: string, scale: number }} how
 */
function bandPage(parts, sheet, { words, scale }) {
  const written = parts[0]?.staff.writtenFor ?? "";
  return [
    element("h1", {}, sheet.title),
    element("p", { class: "sheet-ground" }, `${sheet.ground} ${written}`),
    ...(words ? [element("p", { class: "sheet-words" }, words)] : []),
    ...parts.flatMap(({ text, staff }, index) => {
      // How it swings is said once.
      const view = index > 0 ? { ...staff, feel: "" } : staff;
      const [first, ...more] = onPaper(view, { width: PAGE_WIDTH, scale });
      const how = staff.how ? [element("p", {}, staff.how)] : [];
      return [together(element("h2", {}, text), ...how, ...(first ? [first] : [])), ...more];
    }),
  ];
}

/**
 * @param {StaffView} staff
 * @param {SheetView} sheet
 * @param {How} how
 * @param {number} scale
 */
function card(staff, sheet, { words, under }, scale) {
  const lines = onPaper(staff, { width: CARD_WIDTH, scale, under });
  const said = words ? [element("p", { class: "sheet-words" }, words)] : [];
  return [...head(staff, sheet), ...lines, ...said, form(sheet), notes(sheet)];
}

/** @param {StaffView} staff @param {SheetView} sheet */
function head(staff, sheet) {
  return [
    element("h1", {}, sheet.title),
    element("p", { class: "sheet-ground" }, `${sheet.ground} ${staff.writtenFor}`),
    ...[staff.note, [staff.underNote, staff.underSource].join(" ").trim()]
      .filter(Boolean)
      .map((text) => element("p", {}, text)),
  ];
}
