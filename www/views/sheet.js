// One page of paper for a riff or a chorus, by the browser's own print: built when it is asked for, and seen only there.
import { button, element } from "./dom.js";
import { held, hold, paper } from "./paper.js";
import { CLAPS, layOut } from "./sheet-pages.js";
import { takeAsked } from "./sheet-ask.js";
import { hasChorus } from "./track.js";
import { kept, UNDER } from "./under.js";

/** @typedef {import("../session.js").Session} Session */
/** @typedef {import("../pkg/riffloom.js").SheetView} SheetView */
/** @typedef {import("../pkg/riffloom.js").StaffView} StaffView */

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
    const how = { words: words.value.trim(), under: below(isChorus), isChorus };
    const parts = (/** @type {string} */ name) =>
      /** @type {StaffView | undefined} */ (session.app.staff(isChorus, name, "")) ?? staff;
    layOut(kind.value, { staff, sheet, parts }, { ...how, wanted: ticked() });
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
