// A lesson on paper: for learners, or for a teacher who stands in and is no musician. It comes when it is asked for.
import { isOneFile } from "../where.js";
import { button, element } from "./dom.js";
import { addressOf } from "./link-out.js";
import {
  LEARNER,
  PAGE_HEIGHT,
  PAGE_WIDTH,
  emptyLine,
  fits,
  form,
  hold,
  notes,
  onPaper,
  paper,
  rule,
  together,
} from "./paper.js";
import { code } from "./scan.js";
import { still } from "./still.js";
import { UNDER } from "./under.js";

/** @typedef {import("../pkg/riffloom.js").LessonSheetView} LessonSheetView */
/** @typedef {import("../pkg/riffloom.js").NamedView} NamedView */

/** What can be printed of a lesson, and what it is for. @type {Record<string, [string, string]>} */
const KINDS = {
  learners: ["For learners", "Steps, what is asked, the models on the staff, empty bars, and the picture of the link."],
  cover: [
    "For a cover teacher",
    "Minute by minute, for somebody who reads no music: what they do, what you do, what may go wrong.",
  ],
};

/**
 * Asks how a lesson is to be printed.
 * @param {import("../session.js").Session} session
 * @param {string} id the lesson's
 */
export function askLessonSheet(session, id) {
  const kind = select(
    "lesson-sheet-kind",
    Object.entries(KINDS).map(([value, [text]]) => ({ value, text })),
  );
  const first = view("own", "");
  const parts = first?.riffs[0]?.staff.parts ?? [];
  const part = select(
    "lesson-sheet-part",
    parts.map(({ name, text }) => ({ value: name, text })),
  );
  const under = select(
    "lesson-sheet-under",
    Object.entries(UNDER).map(([value, text]) => ({ value, text })),
  );
  under.value = "names";
  const about = element("p", { class: "hint" });
  const dialog = element(
    "dialog",
    { class: "class-room print-lesson", "aria-label": "Print the lesson" },
    element("h2", {}, "Print the lesson"),
    field("What", kind),
    about,
    field("Written", part),
    field("Under the notes", under),
    element(
      "p",
      { class: "hint" },
      "Your browser asks for printer and paper, A4 or Letter. There you can also keep it as a PDF.",
    ),
    element(
      "div",
      { class: "row" },
      button("Print", () => window.print(), { class: "quiet strong" }),
      button("Close", () => dialog.close(), { class: "quiet" }),
    ),
  );
  const tell = () => {
    about.textContent = KINDS[kind.value]?.[1] ?? "";
    for (const each of [part, under]) /** @type {HTMLElement} */ (each.parentElement).hidden = kind.value === "cover";
  };
  kind.addEventListener("change", tell);
  tell();

  /** @param {string} part @param {string} under */
  function view(part, under) {
    return /** @type {LessonSheetView | undefined} */ (session.app.lessonSheet(id, part, under));
  }

  function fill() {
    const lesson = view(part.value, under.value);
    if (!lesson) return;
    document.body.classList.add("printing");
    if (kind.value === "cover") return paper().replaceChildren(...forCover(lesson));
    for (const [empties, size] of fits(lesson.emptyBars / 4, 1, LEARNER)) {
      paper().replaceChildren(...forLearners(lesson, { empties, size, under: under.value }));
      if (paper().scrollHeight <= PAGE_HEIGHT) break;
    }
  }
  const filled = () => document.body.classList.remove("printing");

  hold(true);
  addEventListener("beforeprint", fill);
  addEventListener("afterprint", filled);
  dialog.addEventListener("close", () => {
    removeEventListener("beforeprint", fill);
    removeEventListener("afterprint", filled);
    hold(false);
    paper().replaceChildren();
    dialog.remove();
  });
  // Keys that play must not be heard behind the dialog.
  dialog.addEventListener("keydown", (event) => event.key !== "Escape" && event.stopPropagation());
  document.body.append(dialog);
  dialog.showModal();
}

/** @param {string} id @param {{ value: string, text: string }[]} choices */
const select = (id, choices) =>
  element("select", { id }, ...choices.map(({ value, text }) => element("option", { value }, text)));

/** @param {string} text @param {HTMLElement} made */
const field = (text, made) => element("p", { class: "field" }, element("label", { for: made.id }, text), made);

/** Name and text, one below the other. @param {NamedView[]} rows */
const named = (rows) =>
  element(
    "ul",
    { class: "sheet-list" },
    ...rows.map(({ name, text }) => element("li", {}, ...(name ? [element("b", {}, `${name}: `)] : []), text)),
  );

/** The picture of the link; where the page has no address, how to open it. @param {LessonSheetView} lesson */
function wayIn({ link }) {
  if (isOneFile)
    return element("p", {}, "Open the page, then “Pass it on”, and paste the link that your teacher gives you.");
  const picture = code(addressOf(link));
  return picture
    ? element("figure", { class: "sheet-code" }, picture, element("figcaption", {}, "Open the lesson with a camera."))
    : element("p", {}, "Your teacher gives you the link.");
}

/**
 * @param {LessonSheetView} lesson
 * @param {{ empties: number, size: number, under: string }} how
 */
function forLearners(lesson, { empties, size, under }) {
  const ticks = (/** @type {string[]} */ texts) =>
    element("ul", { class: "sheet-ticks" }, ...texts.map((text) => element("li", {}, text)));
  const steps = lesson.steps.map(({ title, say }) => element("li", {}, element("b", {}, `${title}. `), say));
  const models = lesson.riffs.map(({ name, staff, strip }) => {
    const [first, ...more] = onPaper(staff, { width: PAGE_WIDTH, scale: size, under });
    const about = [staff.underNote, staff.note].filter(Boolean).map((text) => element("p", {}, text));
    const shown = strip ? [still(strip, name)] : [];
    return together(element("h2", {}, name), ...about, ...(first ? [first] : []), ...more, ...shown);
  });
  return [
    element("h1", {}, lesson.title),
    element("p", { class: "sheet-ground" }, `${lesson.ground} ${lesson.riffs[0]?.staff.writtenFor ?? ""}`),
    element("p", { class: "sheet-name" }, rule("Name"), rule("Date")),
    ...(lesson.words ? [element("p", { class: "sheet-words" }, lesson.words)] : []),
    element(
      "div",
      { class: "sheet-halves" },
      element(
        "div",
        {},
        element("ol", { class: "sheet-steps" }, ...steps),
        element("h2", {}, "What is asked"),
        named(lesson.tiers),
        element("p", {}, lesson.locked),
        ...(lesson.can.length > 0 ? [element("h2", {}, "I can …"), ticks(lesson.can)] : []),
      ),
      wayIn(lesson),
    ),
    ...models,
    together(element("h2", {}, "The form"), form({ lines: lesson.lines, verse: [] }), notes(lesson)),
    ...(empties > 0 ? [together(element("h2", {}, "Write your own"), emptyLine())] : []),
    ...Array.from({ length: Math.max(0, empties - 1) }, emptyLine),
  ];
}

/** @param {LessonSheetView} lesson */
function forCover(lesson) {
  const { before, plan, words, trouble, back } = lesson.cover;
  const cells = (/** @type {"th" | "td"} */ tag, /** @type {string[]} */ texts) =>
    element("tr", {}, ...texts.map((text) => element(tag, {}, text)));
  const rows = plan.map(({ when, title, they, you }) => cells("td", [when, title, they, you]));
  return [
    element("h1", {}, `${lesson.title}: for a cover teacher`),
    element(
      "div",
      { class: "sheet-halves" },
      element(
        "div",
        {},
        ...before.map((text) => element("p", {}, text)),
        ...(lesson.words ? [element("p", { class: "sheet-words" }, lesson.words)] : []),
        element("p", {}, `Models: ${lesson.riffs.map(({ name }) => name).join(", ")}. ${lesson.ground}`),
      ),
      wayIn(lesson),
    ),
    element(
      "table",
      { class: "sheet-plan" },
      element("thead", {}, cells("th", ["Minutes", "Step", "They", "You"])),
      element("tbody", {}, ...rows),
    ),
    together(element("h2", {}, "What is asked of their riff"), named(lesson.tiers), element("p", {}, lesson.locked)),
    together(element("h2", {}, "Words on the page"), named(words)),
    together(element("h2", {}, "If something goes wrong"), named(trouble)),
    together(
      element("h2", {}, "For their teacher"),
      ...back.map((text) => element("p", { class: "sheet-name" }, rule(text))),
    ),
  ];
}
