// One page of paper for a riff or a chorus, by the browser's own print: built when it is asked for, and seen only there.
import { button, element, svg } from "./dom.js";
import { cloth } from "./cloth.js";
import { engrave } from "./engrave.js";
import { still } from "./to-play.js";
import { hasChorus } from "./track.js";
import { kept, UNDER } from "./under.js";

/** What the woven band on paper shows. */
const WOVEN = "The weave: time runs to the right, higher notes lie higher.";

/** @typedef {import("../session.js").Session} Session */
/** @typedef {import("../pkg/riffloom.js").SheetView} SheetView */
/** @typedef {import("../pkg/riffloom.js").StaffView} StaffView */
/** @typedef {{ empties?: number, size?: number, words: string, named: boolean, under: string, isChorus: boolean }} How */

/** What can be printed, and what it is for. @type {Record<string, [string, string]>} */
const KINDS = {
  page: ["One page", "Staff, strip, form, empty bars to write in, and four rows for how it went."],
  handout: ["Class handout", "The same, with a line for a name and your own words on top."],
  band: [
    "Parts for a band",
    "So that everybody plays while one plays alone: two-note chords, bass and claps, a page for each pitch and clef.",
  ],
  card: ["Pocket card", "Staff and form on a quarter of the page. Cut it out, or fold the page twice."],
};

/** The height that a page leaves on the shorter of A4 and Letter, with margins of 12 mm, in CSS pixels (96 to the inch). */
const PAGE_HEIGHT = ((279.4 - 24) / 25.4) * 96 - 4;
/** How wide a sheet is laid out: a little less than both papers leave, in CSS pixels; sheet.css has the same. */
const PAGE_WIDTH = (185 / 25.4) * 96;
const CARD_WIDTH = ((105 - 16) / 25.4) * 96;
/** How large a staff may be on a card, the largest first. */
const CARD_SCALES = [0.75, 0.65, 0.55, 0.45, 0.38, 0.32];
/** How large the staves of a band's parts may be, the largest first. */
const BAND_SCALES = [0.85, 0.75, 0.65, 0.55, 0.45];
/** The longest words of one's own. */
const MOST_WORDS = 600;

/** So that all is on one page: fewer lines to write in, then a smaller staff. @param {number} most lines @returns {[number, number][]} */
const fits = (most) => [
  ...Array.from({ length: most + 1 }, (_, fewer) => /** @type {[number, number]} */ ([most - fewer, 1])),
  [0, 0.85],
  [0, 0.7],
  [0, 0.55],
];

let part = "own";

/** The part that is written, by its name in data. */
export const chosenPart = () => part;

/** @param {Session} session @param {string} name */
export function setPart(session, name) {
  part = name;
  session.dispatchEvent(new CustomEvent("part"));
}

/**
 * @param {Session} session
 * @returns {(isChorus: boolean) => void} asks how, and prints
 */
export function mountSheet(session) {
  const paper = element("section", { class: "sheet", "aria-hidden": "true" });
  const kind = element(
    "select",
    { id: "sheet-kind" },
    ...Object.entries(KINDS).map(([value, [text]]) => element("option", { value }, text)),
  );
  const whom = element("select", { id: "sheet-part" });
  const under = element(
    "select",
    { id: "sheet-under" },
    ...Object.entries(UNDER).map(([value, text]) => element("option", { value }, text)),
  );
  /** What stands under the notes: as it was chosen here, else as on the page, else what a sheet of its kind has. */
  let chosen = "";
  under.addEventListener("change", () => (chosen = under.value || "none"));
  const below = (/** @type {boolean} */ isChorus) =>
    chosen === "none" ? "" : chosen || kept() || (isChorus ? "" : "names");
  const words = element("textarea", { id: "sheet-words", rows: 3, maxlength: MOST_WORDS });
  const about = element("p", { class: "hint" });
  const go = button(
    "Print",
    () => {
      fill(asked);
      window.print();
    },
    { class: "quiet strong" },
  );
  const close = button("Close", () => dialog.close(), { class: "quiet" });
  const field = (/** @type {string} */ text, /** @type {HTMLElement} */ made) =>
    element("p", {}, element("label", { for: made.id }, text), made);
  const dialog = element(
    "dialog",
    { class: "print-dialog", "aria-label": "Print a sheet" },
    element("h2", {}, "Print a sheet"),
    field("What", kind),
    about,
    field("Written", whom),
    field("Under the notes", under),
    field("Your own words (left out where there are none)", words),
    element(
      "p",
      { class: "hint" },
      "Your browser asks for printer and paper, A4 or Letter. There you can also keep it as a PDF.",
    ),
    element("div", { class: "row" }, go, close),
  );
  document.body.append(paper, dialog);
  let asked = false;
  const tell = () => {
    about.textContent = KINDS[kind.value]?.[1] ?? "";
    // A band's parts are written for everyone, without anything below.
    for (const each of [whom, under])
      /** @type {HTMLElement} */ (each.parentElement).hidden = kind.value === "band";
  };
  kind.addEventListener("change", tell);
  whom.addEventListener("change", () => setPart(session, whom.value));
  // Also where somebody prints by the browser's menu: riff and chorus have a sheet, other parts of the page print as they are.
  addEventListener("beforeprint", () => {
    const { tab } = document.body.dataset;
    if (document.body.classList.contains("printing-class")) return;
    if (dialog.open || tab === "riff" || tab === "chorus") fill(dialog.open ? asked : tab === "chorus");
  });
  addEventListener("afterprint", () => document.body.classList.remove("printing"));

  /** @param {boolean} isChorus */
  function fill(isChorus) {
    const staff = /** @type {StaffView | undefined} */ (session.app.staff(isChorus, part, below(isChorus)));
    const sheet = /** @type {SheetView | undefined} */ (session.app.sheet(isChorus, part));
    if (!staff || !sheet) return;
    document.body.classList.add("printing");
    const own = words.value.trim();
    const how = { words: own, named: kind.value === "handout", under: below(isChorus), isChorus };
    if (kind.value === "card") return fillCard(staff, sheet, how);
    if (kind.value === "band") return fillBand(staff, sheet, how);
    for (const [empties, size] of fits(sheet.emptyBars / 4)) {
      paper.replaceChildren(...page(staff, sheet, { ...how, empties, size }));
      if (paper.scrollHeight <= PAGE_HEIGHT) break;
    }
  }

  /** A card is as small as it must be to hold all. @param {StaffView} staff @param {SheetView} sheet @param {How} how */
  function fillCard(staff, sheet, how) {
    for (const scale of CARD_SCALES) {
      const made = card(staff, sheet, how, scale);
      paper.replaceChildren(made);
      if (made.scrollHeight <= made.clientHeight) break;
    }
  }

  /** A page for each who reads differently, with all that a band plays on it. @param {StaffView} staff @param {SheetView} sheet @param {How} how */
  function fillBand(staff, sheet, { words, isChorus }) {
    const readers = staff.parts.filter(({ name }) => name !== "own");
    const pages = readers.map(() => element("div", { class: "sheet-part" }));
    paper.replaceChildren(...pages);
    readers.forEach(({ name }, index) => {
      const parts = sheet.band.map(({ value, text }) => ({
        text,
        staff: /** @type {StaffView} */ (session.app.staff(isChorus, `${value}:${name}`, "")),
      }));
      for (const scale of BAND_SCALES) {
        pages[index]?.replaceChildren(...bandPage(parts, sheet, { words, scale }));
        if ((pages[index]?.scrollHeight ?? 0) <= PAGE_HEIGHT) break;
      }
    });
  }

  const ask = (/** @type {boolean} */ isChorus) => {
    asked = isChorus;
    const staff = /** @type {StaffView | undefined} */ (session.app.staff(isChorus, part, ""));
    under.value = below(isChorus);
    whom.replaceChildren(
      ...(staff?.parts ?? []).map(({ name, text, chosen }) =>
        element("option", { value: name, selected: chosen }, text),
      ),
    );
    tell();
    dialog.showModal();
  };
  // From the panel that passes on.
  session.addEventListener("staff", () => ask(hasChorus(session)));
  return ask;
}

/**
 * @param {StaffView} staff
 * @param {SheetView} sheet
 * @param {How} how
 */
function page(staff, sheet, { empties = 0, size = 1, words, named, under, isChorus }) {
  /** @type {Element[]} */
  const made = [
    ...head(staff, sheet),
    ...(named ? [element("p", { class: "sheet-name" }, rule("Name"), rule("Date"))] : []),
  ];
  if (words) made.push(element("p", { class: "sheet-words" }, words));
  made.push(engrave(staff, { width: PAGE_WIDTH, scale: size * (isChorus ? 0.85 : 1), under }));
  if (sheet.strip) made.push(still(sheet.strip, sheet.title), shapes());
  made.push(cloth(sheet.cloth), element("p", { class: "sheet-shapes" }, WOVEN));
  made.push(form(sheet), ...verses(sheet), notes(sheet));
  if (empties > 0) made.push(element("h2", {}, "Write your own"), ...Array.from({ length: empties }, emptyLine));
  made.push(element("h2", {}, "How did it go?"), log());
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
    ...parts.flatMap(({ text, staff }) => [
      element("h2", {}, text),
      ...(staff.how ? [element("p", {}, staff.how)] : []),
      engrave(staff, { width: PAGE_WIDTH, scale }),
    ]),
  ];
}

/**
 * @param {StaffView} staff
 * @param {SheetView} sheet
 * @param {How} how
 * @param {number} scale
 */
function card(staff, sheet, { words, under }, scale) {
  const drawn = engrave(staff, { width: CARD_WIDTH, scale, under });
  const said = words ? [element("p", { class: "sheet-words" }, words)] : [];
  return element("div", { class: "sheet-card" }, ...head(staff, sheet), drawn, ...said, form(sheet), notes(sheet));
}

/** @param {StaffView} staff @param {SheetView} sheet */
function head(staff, sheet) {
  return [
    element("h1", {}, sheet.title),
    element("p", { class: "sheet-ground" }, `${sheet.ground} ${staff.writtenFor}`),
    ...[staff.note, staff.underNote].filter(Boolean).map((text) => element("p", {}, text)),
  ];
}

/** A line to write on. @param {string} text */
const rule = (text) => element("span", { class: "rule" }, `${text} `, element("i", {}));

/** The form, four bars a line: numbers and chords. @param {SheetView} sheet */
function form(sheet) {
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

/** The words of the times after the first, whose words stand over the form. @param {SheetView} sheet */
function verses(sheet) {
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

/** Every chord with its notes. @param {SheetView} sheet */
function notes(sheet) {
  return element(
    "p",
    { class: "sheet-notes" },
    ...sheet.chords.map(({ name, notes }) => element("span", {}, element("b", {}, name), ` ${notes}`)),
  );
}

/** What the shapes on the strip mean. */
function shapes() {
  return element(
    "p",
    { class: "sheet-shapes" },
    "Round: in the chord. Drop: blue note. Pointing right: coming next. Open ring: outside note.",
  );
}

/** Five lines and four bars, to write in. */
function emptyLine() {
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
function log() {
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
