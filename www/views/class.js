// The class: lessons that go out as links, and a board of the answers that come back. All of it stays on this device.
import { freshId } from "../ids.js";
import { riffCloth } from "./cloth.js";
import { button, element, sync } from "./dom.js";
import { saveAs } from "./files.js";
import { mountLesson } from "./lesson.js";
import { lessonForm } from "./lesson-form.js";
import { linkOut } from "./link-out.js";
import { OPENED, openLink } from "./share.js";

/** @typedef {import("../pkg/riffloom.js").ClassView} ClassView */
/** @typedef {import("../pkg/riffloom.js").AnswerView} AnswerView */
/** @typedef {import("../pkg/riffloom.js").OpenedView} OpenedView */
/** @typedef {Parameters<import("../session.js").Session["inClass"]>[0]} ClassCommand */

/** @param {import("../session.js").Session} session */
export function mountClass(session) {
  const said = element("p", { role: "status" });
  const opened = element("section", { class: "opened card", hidden: true });
  const rows = element("ul", { class: "lessons" });
  const form = lessonForm((command) => {
    const view = session.inClass(command);
    show(view);
    if (view?.made) made.querySelector("button")?.focus();
    return view;
  });
  const made = element("section", { class: "made", "aria-label": "The link", hidden: true });
  const pasted = element("textarea", { id: "class-pasted", rows: 2, autocomplete: "off", spellcheck: "false" });
  const picker = element("input", {
    type: "file",
    multiple: true,
    accept: ".txt,.csv,.html,.eml,text/*",
    hidden: true,
    onchange: () => void openFiles(picker.files),
  });
  const heading = element("h3", {});
  const about = element("p", { class: "hint" });
  const wall = element("ol", { class: "wall", "aria-label": "Answers" });
  const undo = button("Undo", () => does({ do: "undo" }), { class: "quiet" });
  const told = element("div", { class: "told" }, said, undo);
  const turns = button("Play in turn", () => play("turns"), { class: "quiet strong" });
  const chorus = button("Play as one chorus", () => play("chorus"), { class: "quiet" });
  const keep = button("Keep the chorus", () => void keepChorus(), { class: "quiet" });
  const names = button("", () => does({ do: "show-names", on: !now?.board.names }), { class: "quiet" });
  const table = button("Save as a table", () => now && saveAs(now.board.file, now.board.csv, "text/csv"), {
    class: "quiet",
  });
  const paper = element("section", { class: "class-paper", "aria-hidden": "true" });
  const print = button("Print", () => printBoard(), { class: "quiet" });
  const all = button("All answers", () => does({ do: "choose", id: "" }), { class: "link" });
  const board = element(
    "section",
    { class: "board", "aria-label": "Answers" },
    heading,
    about,
    element("div", { class: "row" }, turns, chorus, keep, names, table, print, all),
    wall,
    element("label", { for: "class-pasted" }, "Paste answers here: any number of links, one a line"),
    element(
      "div",
      { class: "row" },
      pasted,
      button("Put on the board", () => paste(pasted.value), { class: "quiet" }),
      button("Open files", () => picker.click(), { class: "quiet" }),
      picker,
    ),
  );
  const lessons = element("section", { "aria-label": "Lessons" }, element("h3", {}, "Lessons"), rows, form.whole, made);
  const dialog = element(
    "dialog",
    { class: "class-room", "aria-labelledby": "class-title" },
    element(
      "div",
      { class: "row head" },
      element("h2", { id: "class-title" }, "Class"),
      button("Close", () => dialog.close(), { class: "quiet" }),
    ),
    told,
    opened,
    lessons,
    board,
  );
  document.body.append(dialog, paper);
  /** @type {ClassView | undefined} */
  let now;
  /** When each turn begins, and whose it is. @type {{ at: number[], ids: string[] }} */
  let turn = { at: [], ids: [] };
  const lesson = mountLesson(session);

  /** @param {ClassCommand} command */
  function does(command) {
    show(session.inClass(command));
  }

  /** @param {ClassView | undefined} view */
  function show(view) {
    if (!view) return;
    now = view;
    said.textContent = view.told;
    undo.hidden = !view.canUndo;
    told.hidden = !view.told && undo.hidden;
    lesson.show(dialog.open ? { ...view, opened: undefined } : view);
    if (!dialog.open) return;
    opened.hidden = !view.opened;
    // A learner who looks at a lesson is asked nothing else.
    lessons.hidden = board.hidden = Boolean(view.opened?.lesson);
    opened.replaceChildren(...(view.opened ? preview(view.opened) : []));
    sync(rows, view.lessons, row);
    form.show(view);
    made.hidden = !view.made;
    made.replaceChildren(...(view.made ? linkOut(view.made, "Link") : []));
    heading.textContent = view.board.title;
    about.textContent = view.board.about;
    const none = view.board.answers.length === 0;
    for (const each of [turns, chorus, names, table, print]) each.hidden = none;
    keep.hidden = none || !view.board.chorus;
    all.hidden = !view.lessons.some(({ chosen }) => chosen);
    names.textContent = view.board.names ? "Hide names" : "Show names";
    table.textContent = view.board.names ? "Save as a table" : "Save as a table, without names and links";
    sync(wall, view.board.answers, card);
    tellPlaying();
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
      : button("Put it on the board", () => paste(link), { class: "quiet strong" });
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
              button("Hear", () => play(`model${index}`), { class: "link", "aria-label": `Hear ${riff.name}` }),
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
        button("Not now", () => (isLesson ? dialog.close() : does({ do: "close" })), { class: "quiet" }),
      ),
    ];
  }

  /** @param {import("../pkg/riffloom.js").LessonRow} lesson */
  function row({ id, title, about: said, chosen, link, form: fields }) {
    return element(
      "li",
      chosen ? { "aria-current": "true" } : {},
      element("span", {}, element("b", {}, title), element("small", {}, ` ${said}`)),
      element(
        "span",
        { class: "row" },
        button(
          "Answers",
          () => {
            does({ do: "choose", id });
            board.scrollIntoView({ block: "start" });
          },
          { class: "link", "aria-label": `Answers to ${title}` },
        ),
        button(
          "Link",
          () => {
            made.hidden = false;
            made.replaceChildren(...linkOut(link, title));
            made.scrollIntoView({ block: "nearest" });
          },
          { class: "link", "aria-label": `Link to ${title}` },
        ),
        button("Change", () => form.edit(id, fields), { class: "link", "aria-label": `Change ${title}` }),
        button("Try it", () => void openLink(session, link), { class: "link", "aria-label": `Try it: ${title}` }),
        button("Delete", () => does({ do: "delete", id }), { class: "link", "aria-label": `Delete ${title}` }),
      ),
    );
  }

  /** @param {AnswerView} answer */
  function card({ id, name, about: said, notes, beats, limits, can, marks }) {
    return element(
      "li",
      { class: "answer card", "data-answer": id },
      element(
        "button",
        { type: "button", class: "open", onclick: () => play(id) },
        element("span", { class: "unseen" }, "Hear "),
        element("b", {}, name),
        riffCloth(notes, beats),
        element("small", {}, said),
      ),
      element(
        "ul",
        { class: "held" },
        ...limits.map(({ text, kept }) => element("li", { class: kept ? "kept-to" : "beside" }, text)),
      ),
      ...(can.length > 0 ? [element("p", { class: "can" }, can.join(" · "))] : []),
      element(
        "div",
        { class: "kind-marks", role: "group", "aria-label": `Marks for ${name}` },
        ...marks.map(({ value, text, chosen }) =>
          button(text, () => does({ do: "mark", id, mark: Number(value), on: !chosen }), {
            "aria-pressed": String(chosen),
          }),
        ),
      ),
      button("Delete", () => does({ do: "delete", id }), {
        class: "link",
        "aria-label": `Delete the answer of ${name}`,
      }),
    );
  }

  /** @param {string} what */
  function play(what) {
    if (session.playing) session.stop();
    const view = session.inClass({ do: "play", what });
    turn = { at: view?.turns ?? [], ids: view?.turnIds ?? [what] };
    show(view);
    tellPlaying();
  }

  const stop = button("Stop", () => session.stop(), { class: "quiet" });
  turns.before(stop);

  /** Whose turn it is stands on the wall; read from a plan, so that no frame asks the core. */
  function tellPlaying() {
    stop.hidden = !session.playing;
    const heard = session.heardNow();
    const place = turn.at.findLastIndex((at) => at <= heard);
    const id = session.playing ? (turn.at.length > 0 ? turn.ids[place] : turn.ids[0]) : undefined;
    for (const each of wall.children) {
      if (!(each instanceof HTMLElement)) continue;
      const sounds = id !== undefined && each.dataset.answer === id;
      each.classList.toggle("sounds", sounds);
      if (sounds) each.setAttribute("aria-current", "true");
      else each.removeAttribute("aria-current");
    }
    if (session.playing && dialog.open) requestAnimationFrame(() => setTimeout(tellPlaying, 50));
  }
  session.addEventListener("playing", tellPlaying);

  /** @param {string} text */
  function paste(text) {
    does({ do: "paste", text, id: freshId() });
    // What does not read stays where it can be mended.
    pasted.value = now?.unread ?? "";
  }

  /** @param {FileList | File[] | null} files */
  async function openFiles(files) {
    const texts = await Promise.all([...(files ?? [])].map((file) => file.text()));
    picker.value = "";
    if (texts.length > 0) paste(texts.join("\n"));
  }

  async function keepChorus() {
    if (!now?.board.chorus) return;
    dialog.close();
    await openLink(session, now.board.chorus);
  }

  function printBoard() {
    if (!now) return;
    const { title, answers } = now.board;
    const one = (/** @type {AnswerView} */ { name, about: said, notes, beats, limits, marks }) =>
      element(
        "li",
        {},
        element("b", {}, name),
        riffCloth(notes, beats),
        element("p", {}, said),
        element("p", {}, limits.map(({ text }) => text).join(" · ")),
        element(
          "p",
          {},
          marks
            .filter(({ chosen }) => chosen)
            .map(({ text }) => text)
            .join(" · "),
        ),
      );
    paper.replaceChildren(element("h1", {}, title), element("ol", {}, ...answers.map(one)));
    document.body.classList.add("printing-class");
    window.print();
  }
  addEventListener("afterprint", () => document.body.classList.remove("printing-class"));

  function openDialog() {
    if (!dialog.open) dialog.showModal();
    does({ do: "look" });
    const first = opened.querySelector("button.strong");
    if (first instanceof HTMLElement) first.focus();
  }

  dialog.addEventListener("close", () => {
    if (session.playing) session.stop();
    // A lesson waits until it is begun or put away.
    if (now?.opened && !now.opened.lesson) does({ do: "close" });
    else show(now);
  });
  dialog.addEventListener("dragover", (event) => event.preventDefault());
  dialog.addEventListener("drop", (event) => {
    event.preventDefault();
    const { files } = event.dataTransfer ?? {};
    if (files && files.length > 0) void openFiles(files);
    else paste(event.dataTransfer?.getData("text/plain") ?? "");
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
