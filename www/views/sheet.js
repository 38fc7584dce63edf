// One page of paper for a riff or a chorus, by the browser's own print: built when it is asked for, and seen only there.
import { button, element } from "./dom.js";
import { cloth } from "./cloth.js";
import {
  PAGE_HEIGHT,
  PAGE_WIDTH,
  LEARNER,
  PART,
  READER,
  emptyLine,
  fits,
  form,
  held,
  hold,
  log,
  notes,
  onPaper,
  paper,
  rule,
  shapes,
  together,
  verses,
} from "./paper.js";
import { takeAsked } from "./sheet-ask.js";
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
  page: [
    "A sheet",
    "Staff, strip, form, empty bars to write in, and four rows for how it went. On one page where that leaves the staff large enough to read.",
  ],
  handout: ["Class handout", "The same, with a line for a name and your own words on top."],
  band: [
    "Parts for a band",
    "So that everybody plays while one plays alone: two-note chords and bass for each pitch and clef, and a page of claps.",
  ],
  card: [
    "Pocket card",
    "Staff and form on a quarter of the page. Cut it out, or fold the page twice. What one card cannot hold is on the next.",
  ],
};

/** How wide a card's staff is: two cards stand side by side, each with a margin of 4 mm; sheet.css has the same. */
const CARD_WIDTH = ((92.5 - 8) / 25.4) * 96;
/** How large a staff may be on a card, the largest first. */
const CARD_SCALES = [0.75, 0.65, 0.55, 0.5];
/** How large the staves of a band's parts may be, the largest first. */
const BAND_SCALES = [0.95, 0.85, READER, PART];
/** The name in data of what is clapped. */
const CLAPS = "claps";
/** The longest words of one's own. */
const MOST_WORDS = 600;

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
  /** For whom a band's pages are printed. */
  const pages = element("fieldset", { class: "sheet-pages" });
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
    pages,
    field("Your own words (left out where there are none)", words),
    element(
      "p",
      { class: "hint" },
      "Your browser asks for printer and paper, A4 or Letter. There you can also keep it as a PDF.",
    ),
    element("div", { class: "row" }, go, close),
  );
  document.body.append(dialog);
  let asked = false;
  const tell = () => {
    // A band's parts are written for everyone, without anything below.
    for (const each of [whom, under])
      /** @type {HTMLElement} */ (each.parentElement).hidden = kind.value === "band";
    pages.hidden = kind.value !== "band";
    tellPages();
  };
  const ticked = () => [...pages.querySelectorAll("input")].filter(({ checked }) => checked).map(({ value }) => value);
  const tellPages = () => {
    go.disabled = kind.value === "band" && ticked().length === 0;
    about.textContent = go.disabled ? "Tick a page first." : (KINDS[kind.value]?.[1] ?? "");
  };
  pages.addEventListener("change", tellPages);
  kind.addEventListener("change", tell);
  whom.addEventListener("change", () => setPart(session, whom.value));
  // Also where somebody prints by the browser's menu: riff and chorus have a sheet, other parts of the page print as they are.
  addEventListener("beforeprint", () => {
    const { tab } = document.body.dataset;
    if (held() || document.body.classList.contains("printing-class")) return;
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
    const largest = isChorus ? 0.85 : 1;
    for (const [empties, size] of fits(sheet.emptyBars / 4, largest, isChorus ? READER : LEARNER)) {
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

  /** Pages for each who reads differently, with what such a player can play; and one of claps, which nobody reads otherwise. @param {StaffView} staff @param {SheetView} sheet @param {How} how */
  function fillBand(staff, sheet, { words, isChorus }) {
    const wanted = ticked();
    const part = (/** @type {string} */ value, /** @type {string} */ reader) => ({
      text: sheet.band.find((each) => each.value === value)?.text ?? "",
      staff: /** @type {StaffView} */ (session.app.staff(isChorus, `${value}:${reader}`, "")),
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

  const ask = (/** @type {boolean} */ isChorus) => {
    asked = isChorus;
    const staff = /** @type {StaffView | undefined} */ (session.app.staff(isChorus, part, ""));
    under.value = below(isChorus);
    whom.replaceChildren(
      ...(staff?.parts ?? []).map(({ name, text, chosen }) =>
        element("option", { value: name, selected: chosen }, text),
      ),
    );
    if (pages.childElementCount === 0) {
      const page = (/** @type {string} */ value, /** @type {string} */ text) =>
        element("label", {}, element("input", { type: "checkbox", value, checked: true }), ` ${text}`);
      const readers = (staff?.parts ?? []).filter(({ name }) => name !== "own");
      pages.append(
        element("legend", {}, "A page for those who read it"),
        ...readers.map(({ name, text }) => page(name, text)),
        page(CLAPS, "claps, which everybody reads"),
      );
    }
    tell();
    dialog.showModal();
  };
  // From the panel that passes on, and from other parts of the page.
  session.addEventListener("staff", () => {
    const wish = takeAsked();
    if (wish && "content" in wish) return printContent(wish.title, wish.content);
    if (wish) kind.value = wish.kind;
    ask(hasChorus(session));
  });

  /** A page that another part of the page made. @param {string} title @param {Node[]} content */
  function printContent(title, content) {
    hold(true);
    addEventListener("afterprint", () => hold(false), { once: true });
    paper().replaceChildren(element("h1", {}, title), ...content);
    document.body.classList.add("printing");
    window.print();
  }
  return ask;
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
    ...[staff.note, staff.underNote].filter(Boolean).map((text) => element("p", {}, text)),
  ];
}
