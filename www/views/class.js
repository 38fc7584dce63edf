// The class: lessons that go out as links, and a board of the answers that come back. All of it stays on this device.
import { freshId } from "../ids.js";
import { classBoard } from "./class-board.js";
import { classFirst } from "./class-first.js";
import { classIn } from "./class-in.js";
import { classRota } from "./class-rota.js";
import { riffCloth } from "./cloth.js";
import { button, element, sync } from "./dom.js";
import { fortyMinutes } from "./forty.js";
import { mountLesson } from "./lesson.js";
import { lessonForm } from "./lesson-form.js";
import { linkOut } from "./link-out.js";
import { OPENED, openLink } from "./share.js";

/** @typedef {import("../pkg/riffloom.js").ClassView} ClassView */
/** @typedef {import("../pkg/riffloom.js").OpenedView} OpenedView */
/** @typedef {Parameters<import("../session.js").Session["inClass"]>[0]} ClassCommand */

/** @param {import("../session.js").Session} session */
export function mountClass(session) {
  const said = element("p", { role: "status" });
  const undo = button("Undo", () => does({ do: "undo" }), { class: "quiet" });
  const told = element("div", { class: "told" }, said, undo);
  const opened = element("section", { class: "opened card", hidden: true });
  const rows = element("ul", { class: "lessons" });
  const form = lessonForm((command) => {
    const view = does(command);
    if (view?.made) {
      made.querySelector("button")?.focus({ preventScroll: true });
      made.scrollIntoView();
    }
    return view;
  });
  const made = element("section", { class: "made", "aria-label": "The link", hidden: true });
  const plan = element(
    "section",
    { class: "forty card", "aria-label": "A lesson of forty minutes", hidden: true },
    element("h3", {}, "A lesson of forty minutes"),
    fortyMinutes("help-kept"),
  );
  const planner = button("Plan for forty minutes", () => showPlan(plan.hidden), {
    class: "quiet",
    "aria-expanded": "false",
  });
  const first = classFirst({
    make: () => form.anew(),
    gather: () => gather.focus(),
    example: () => does({ do: "example", on: true }),
    plan: () => showPlan(true),
  });
  const board = classBoard(session, { does, show, isOpen: () => dialog.open, keep: (link) => void keepChorus(link) });
  const gather = classIn(does, paste);
  const rota = classRota(session, does, () => dialog.close());
  const lessons = element("section", { "aria-label": "Lessons" }, element("h3", {}, "Lessons"), rows, form.whole);
  const example = button("Look at an example", () => does({ do: "example", on: !now?.example }), { class: "quiet" });
  const side = element("div", { class: "side" }, lessons, gather.whole, rota.whole);
  const main = element("div", { class: "main" }, made, board.whole);
  const columns = element("div", { class: "columns" }, side, main);
  const below = button("Lessons, more answers", () => side.scrollIntoView(), { class: "quiet" });
  const dialog = element(
    "dialog",
    { class: "class-room has-foot", "aria-labelledby": "class-title" },
    element(
      "div",
      { class: "room" },
      element(
        "div",
        { class: "row head" },
        element("h2", { id: "class-title" }, "Class"),
        below,
        example,
        planner,
        button("Close", () => dialog.close(), { class: "quiet class-close" }),
      ),
      opened,
      plan,
      first,
      columns,
    ),
    told,
  );
  document.body.append(dialog);
  /** @type {ClassView | undefined} */
  let now;
  /** The link that was shown last. */
  let givenOut = "";
  const lesson = mountLesson(session);

  /** @param {ClassCommand} command */
  function does(command) {
    const view = session.inClass(command);
    show(view);
    return view;
  }

  /** @param {ClassView | undefined} view */
  function show(view) {
    if (!view) return;
    now = view;
    said.textContent = view.told;
    undo.hidden = !view.canUndo;
    told.hidden = !view.told;
    lesson.show(dialog.open ? { ...view, opened: undefined } : view);
    if (!dialog.open) return;
    opened.hidden = !view.opened;
    // A learner who looks at a lesson is asked nothing else.
    const isLooking = Boolean(view.opened?.lesson);
    const isBare = !view.example && !view.made && view.lessons.length === 0 && view.board.answers.length === 0;
    first.hidden = isLooking || !isBare;
    columns.hidden = isLooking;
    planner.hidden = isLooking || isBare;
    example.hidden = isLooking || isBare || view.example;
    dialog.classList.toggle("bare", isBare);
    dialog.classList.toggle("example", view.example);
    opened.replaceChildren(...(view.opened ? preview(view.opened) : []));
    sync(rows, view.lessons, row);
    // Answers have the whole width, and what a teacher does stands below them.
    const hasWall = !view.example && view.board.answers.length > 0;
    dialog.classList.toggle("gathered", hasWall);
    // Only where it is elsewhere: what is moved loses the focus.
    if (hasWall !== (columns.firstElementChild === main)) columns.prepend(hasWall ? main : side);
    below.hidden = isLooking || !hasWall;
    form.show(view);
    const isNew = view.made !== givenOut;
    givenOut = view.made;
    showLink(!hasWall || isNew ? view.made : "", "Link", !hasWall);
    board.show(view);
    rota.show(view.rota);
  }

  /** A lesson's link; its code open where there is room for it. @param {string} link @param {string} title @param {boolean} isOpen */
  function showLink(link, title, isOpen) {
    made.hidden = !link;
    if (!link) return made.replaceChildren();
    made.replaceChildren(element("h3", {}, "Give it out"), ...linkOut(link, title));
    const code = made.querySelector("details");
    if (code) code.open = isOpen;
  }

  /** @param {boolean} isShown */
  function showPlan(isShown) {
    plan.hidden = !isShown;
    planner.setAttribute("aria-expanded", String(isShown));
    if (isShown) plan.scrollIntoView({ block: "nearest" });
  }

  /** Lets the riff of a lesson or of an answer go from seat to seat here. @param {string} id */
  function relay(id) {
    if (!does({ do: "relay", id })?.work?.passes) return;
    session.do({ do: "take-lesson", id: freshId() });
    dialog.close();
    does({ do: "look" });
    lesson.begin();
  }

  /** @param {OpenedView} view */
  function preview({ lesson: isLesson, title, ground, lines, words, can, riffs, link }) {
    const take = isLesson
      ? button(
          "Begin this lesson",
          () => {
            session.do({ do: "take-lesson", id: freshId() });
            try {
              sessionStorage.setItem(OPENED, location.hash);
            } catch {
              // Then it is looked at once more when the page is loaded again.
            }
            dialog.close();
            show(session.inClass({ do: "look" }));
            lesson.begin();
          },
          { class: "quiet strong" },
        )
      : button("Put it on the board", () => paste(link, false), { class: "quiet strong" });
    const pass = button("Change one thing, pass it on", () => relay(freshId()), { class: "quiet" });
    return [
      element("h3", {}, title),
      element("p", { class: "hint" }, ground),
      ...(words ? [element("p", { class: "own-words" }, words)] : []),
      ...lines.map((line) => element("p", {}, line)),
      ...(can.length > 0 ? [element("ul", { class: "can" }, ...can.map((each) => element("li", {}, each)))] : []),
      element(
        "div",
        { class: "riffs" },
        ...riffs.map((riff, index) =>
          element(
            "figure",
            {},
            riffCloth(riff.notes, riff.beats),
            element(
              "figcaption",
              {},
              riff.name,
              " ",
              button("Hear", () => board.play(`model${index}`), { class: "link", "aria-label": `Hear ${riff.name}` }),
            ),
          ),
        ),
      ),
      element(
        "p",
        { class: "hint" },
        isLesson
          ? "Nothing is added before you begin. Nothing is sent anywhere."
          : "Nothing is added before you say so.",
      ),
      element(
        "div",
        { class: "row" },
        take,
        ...(isLesson ? [] : [pass]),
        button("Not now", () => (isLesson ? dialog.close() : does({ do: "close" })), { class: "quiet" }),
      ),
    ];
  }

  /** @param {import("../pkg/riffloom.js").LessonRow} lesson */
  function row({ id, title, about: said, chosen, link, form: fields }) {
    return element(
      "li",
      chosen ? { "aria-current": "true" } : {},
      element(
        "span",
        {},
        button(
          title,
          () => {
            does({ do: "choose", id });
            board.whole.scrollIntoView({ block: "nearest" });
          },
          { class: "link of-lesson", "aria-label": `Answers to ${title}` },
        ),
        element("small", {}, ` ${said}`),
      ),
      element(
        "span",
        { class: "row" },
        button("Print", () => void printLesson(id), { class: "quiet", "aria-label": `Print ${title}` }),
        button("Try it", () => void openLink(session, link), { class: "quiet", "aria-label": `Try it: ${title}` }),
        element(
          "details",
          { class: "rest" },
          element("summary", { "aria-label": `More for ${title}` }, "More"),
          button(
            "Link and code",
            () => {
              showLink(link, title, true);
              made.scrollIntoView({ block: "nearest" });
            },
            { class: "link", "aria-label": `Link and code of ${title}` },
          ),
          button("Change", () => form.edit(id, fields), { class: "link", "aria-label": `Change ${title}` }),
          button("From seat to seat", () => relay(id), {
            class: "link",
            "aria-label": `From seat to seat on this device: ${title}`,
            title: "On one device: each changes one thing, and passes it on",
          }),
          button("Delete", () => does({ do: "delete", id }), { class: "link", "aria-label": `Delete ${title}` }),
        ),
      ),
    );
  }

  /** @param {string} text @param {boolean} amongWords */
  function paste(text, amongWords) {
    return does({ do: "paste", text, id: freshId(), amongWords });
  }

  /** @param {string} link */
  async function keepChorus(link) {
    dialog.close();
    await openLink(session, link);
  }

  /** The staff and its engraver come when a sheet is wanted. @param {string} id */
  async function printLesson(id) {
    if (!(await session.opened("staff"))) return;
    try {
      const { askLessonSheet } = await import("./lesson-sheet.js");
      askLessonSheet(session, id);
    } catch (error) {
      console.info("A part of the page did not come:", error);
      session.dispatchEvent(new CustomEvent("missing"));
    }
  }

  function openDialog() {
    if (!dialog.open) dialog.showModal();
    does({ do: "look" });
    const first = opened.querySelector("button.strong");
    if (first instanceof HTMLElement) first.focus();
  }

  dialog.addEventListener("close", () => {
    if (session.playing) session.stop();
    gather.stop();
    // A lesson waits until it is begun or put away.
    if (now?.opened && !now.opened.lesson) does({ do: "close" });
    else show(now);
  });
  dialog.addEventListener("dragover", (event) => event.preventDefault());
  dialog.addEventListener("drop", (event) => {
    event.preventDefault();
    const { files } = event.dataTransfer ?? {};
    if (files && files.length > 0) void gather.open(files);
    else gather.put(event.dataTransfer?.getData("text/plain") ?? "", true);
  });
  // Keys that play must not be heard behind the dialog.
  dialog.addEventListener("keydown", (event) => event.key !== "Escape" && event.stopPropagation());

  // It was asked for, or a link for a class was opened; one that is worked on already has its line of steps.
  session.addEventListener("class", (event) => {
    const view = session.inClass({ do: "look" });
    if (view?.opened || /** @type {CustomEvent} */ (event).detail) openDialog();
    else show(view);
  });
  show(session.inClass({ do: "look" }));
}
