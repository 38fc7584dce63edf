// The board: a wall of weaves, and the same answers as a family, each after the one it came from.
import { riffCloth } from "./cloth.js";
import { button, element, sync } from "./dom.js";
import { saveAs } from "./files.js";

/** @typedef {import("../session.js").Session} Session */
/** @typedef {import("../pkg/riffloom.js").ClassView} ClassView */
/** @typedef {import("../pkg/riffloom.js").AnswerView} AnswerView */
/** @typedef {import("../pkg/riffloom.js").RelativeView} RelativeView */
/** @typedef {Parameters<Session["inClass"]>[0]} ClassCommand */

/**
 * @param {Session} session
 * @param {object} acts
 * @param {(command: ClassCommand) => ClassView | undefined} acts.does
 * @param {(view: ClassView | undefined) => void} acts.show
 * @param {() => boolean} acts.isOpen
 * @param {(link: string) => void} acts.keep
 */
export function classBoard(session, { does, show: showAll, isOpen, keep: keepChorus }) {
  /** @type {ClassView | undefined} */
  let now;
  let isFamily = false;
  /** When each turn begins, and whose it is. @type {{ at: number[], ids: string[], what: string }} */
  let turn = { at: [], ids: [], what: "" };
  /** The answer that lies open: praise and all that is said of it. */
  let open = "";
  const heading = element("h3", {});
  const about = element("p", { class: "hint" });
  const wall = element("ol", { class: "wall", "aria-label": "Answers" });
  const family = element("ol", { class: "wall family", "aria-label": "The family" });
  const turns = button("Play in turn", () => play(isFamily ? "family" : "turns"), { class: "quiet strong" });
  const stop = button("Stop", () => session.stop(), { class: "quiet" });
  const chorus = button("Play as one chorus", () => play("chorus"), { class: "quiet" });
  const keep = button("Keep the chorus", () => now && keepChorus(now.board.chorus), { class: "quiet" });
  const ways = [button("Wall", () => look(false)), button("Family", () => look(true))];
  const way = element("div", { class: "ways", role: "group", "aria-label": "Show the answers as" }, ...ways);
  const names = button("", () => does({ do: "show-names", on: !now?.board.names }), { class: "quiet" });
  const table = button("Save as a table", () => now && saveAs(now.board.file, now.board.csv, "text/csv"), {
    class: "quiet",
  });
  const paper = element("section", { class: "class-paper", "aria-hidden": "true" });
  const print = button("Print", () => printBoard(), { class: "quiet" });
  const all = button("All answers", () => does({ do: "choose", id: "" }), { class: "link" });
  const away = button(
    "Put the example away",
    () => {
      if (session.playing) session.stop();
      does({ do: "example", on: false });
    },
    { class: "quiet" },
  );
  const whole = element(
    "section",
    { class: "board", "aria-label": "Answers" },
    element("div", { class: "row" }, heading, all, away),
    about,
    element("div", { class: "row" }, turns, stop, chorus, way, keep, names, table, print),
    wall,
    family,
  );
  document.body.append(paper);

  /** @param {ClassView} view */
  function show(view) {
    now = view;
    const { board } = view;
    heading.textContent = board.title;
    about.textContent = board.about;
    const none = board.answers.length === 0;
    for (const each of [turns, chorus, names, table, print]) each.hidden = none;
    keep.hidden = none || view.example || !board.chorus;
    all.hidden = view.example || !view.lessons.some(({ chosen }) => chosen);
    away.hidden = !view.example;
    way.hidden = board.family.length === 0;
    if (way.hidden) isFamily = false;
    names.textContent = board.names ? "Hide names" : "Show names";
    table.textContent = board.names ? "Save as a table" : "Save as a table, without names and links";
    const [inWall, focused] = [wall.contains(document.activeElement), document.activeElement?.textContent];
    sync(wall, board.answers, card);
    lay(open);
    // A card that was made anew keeps the focus.
    const same = [...wall.querySelectorAll(".opened button")].find((each) => each.textContent === focused);
    if (inWall && same instanceof HTMLElement && !wall.contains(document.activeElement)) same.focus();
    sync(family, board.family, relative);
    choose();
    tellPlaying();
  }

  /** @param {boolean} asFamily */
  function look(asFamily) {
    isFamily = asFamily;
    choose();
  }

  function choose() {
    [wall.hidden, family.hidden] = [isFamily, !isFamily];
    ways.forEach((each, index) => each.setAttribute("aria-pressed", String(isFamily === (index === 1))));
    chorus.hidden = isFamily || (now?.board.answers.length ?? 0) === 0;
    turns.textContent = isFamily ? "Play through the family" : "Play in turn";
  }

  /** Opens one answer; the others stay small. @param {string} id */
  function lay(id) {
    open = id;
    for (const each of wall.children)
      if (each instanceof HTMLElement) {
        each.classList.toggle("opened", each.dataset.answer === id);
        each.querySelector(".open")?.setAttribute("aria-expanded", String(each.dataset.answer === id));
      }
  }

  /** @param {AnswerView} answer */
  function card({ id, name, about: said, notes, beats, limits, can, marks }) {
    const given = marks.filter(({ chosen }) => chosen).map(({ text }) => text);
    const opens = () => {
      lay(id);
      play(id);
    };
    return element(
      "li",
      { class: "answer card", "data-answer": id },
      element(
        "button",
        { type: "button", class: "open", "aria-expanded": "false", onclick: opens },
        element("span", { class: "hear" }, "▶ Hear "),
        element("b", {}, name),
        riffCloth(notes, beats),
      ),
      ...(given.length > 0 ? [element("p", { class: "given" }, given.join(" · "))] : []),
      element("small", {}, said),
      element(
        "ul",
        { class: "held" },
        ...limits.map(({ text, kept }) => element("li", { class: kept ? "kept-to" : "beside" }, text)),
      ),
      ...(can.length > 0 ? [element("p", { class: "can" }, `${name} says: I can ${can.join(" · ")}`)] : []),
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

  /** @param {RelativeView} relative */
  function relative({ id, name, from, changed, depth, notes, beats }) {
    const isModel = depth === 0;
    const inside = [element("b", {}, name), element("small", {}, from), riffCloth(notes, beats)];
    return element(
      "li",
      { class: isModel ? "relative card begins" : "relative card", "data-answer": id },
      Number.parseInt(id, 16) === 0
        ? element("div", { class: "open" }, ...inside)
        : element(
            "button",
            { type: "button", class: "open", onclick: () => play(id) },
            element("span", { class: "hear" }, "▶ Hear "),
            ...inside,
          ),
      element("ul", { class: "changed" }, ...changed.map((text) => element("li", {}, text))),
    );
  }

  /** @param {string} what */
  function play(what) {
    if (session.playing) session.stop();
    const view = session.inClass({ do: "play", what });
    turn = { at: view?.turns ?? [], ids: view?.turnIds ?? [what], what };
    showAll(view);
    tellPlaying();
  }

  /** Whose turn it is stands on the wall; read from a plan, so that no frame asks the core. */
  function tellPlaying() {
    stop.hidden = !session.playing;
    const heard = session.heardNow();
    const place = turn.at.findLastIndex((at) => at <= heard);
    const id = session.playing ? (turn.at.length > 0 ? turn.ids[place] : turn.ids[0]) : undefined;
    const isThrough = turn.what === "family";
    for (const [index, each] of [...wall.children, ...family.children].entries()) {
      if (!(each instanceof HTMLElement)) continue;
      const inFamily = each.parentElement === family;
      const isIts = inFamily && isThrough ? index - wall.childElementCount === place : each.dataset.answer === id;
      const sounds = id !== undefined && isIts;
      if (sounds && !each.classList.contains("sounds")) each.scrollIntoView({ block: "nearest" });
      each.classList.toggle("sounds", sounds);
      if (sounds) each.setAttribute("aria-current", "true");
      else each.removeAttribute("aria-current");
    }
    if (session.playing && isOpen()) requestAnimationFrame(() => setTimeout(tellPlaying, 50));
  }
  session.addEventListener("playing", tellPlaying);

  function printBoard() {
    if (!now) return;
    const { title, answers } = now.board;
    const one = (/** @type {AnswerView} */ { name, about: said, notes, beats, limits, can, marks }) =>
      element(
        "li",
        {},
        element("b", {}, name),
        riffCloth(notes, beats),
        element("p", {}, said),
        element("p", {}, limits.map(({ text }) => text).join(" · ")),
        ...(can.length > 0 ? [element("p", {}, `I can ${can.join(" · ")}`)] : []),
        element(
          "p",
          {},
          marks
            .filter(({ chosen }) => chosen)
            .map(({ text }) => text)
            .join(" · "),
        ),
      );
    const day = element("p", {}, new Date().toLocaleDateString());
    paper.replaceChildren(element("h1", {}, title), day, element("ol", {}, ...answers.map(one)));
    document.body.classList.add("printing-class");
    window.print();
  }
  addEventListener("afterprint", () => document.body.classList.remove("printing-class"));

  return { whole, show, play, look };
}
