// Words over the lines of the chorus: typed here, each syllable where it is sung, and over the form.
import { freshId } from "../ids.js";
import { isOn, setWish } from "../wishes.js";
import { button, byId, element, place, write } from "./dom.js";

/** @typedef {import("../session.js").Session} Session */
/** @typedef {import("../pkg/riffloom.js").VerseLineView} LineView */
/** @typedef {import("../pkg/riffloom.js").VerseCommand} VerseCommand */

const WISH = "chorus-verse";
/** As many letters as 48 syllables of one letter take, which is the most that a line holds. */
const MOST_LETTERS = 96;

/** @param {Session} session */
export function mountVerse(session) {
  const root = element("details", { class: "verse card", id: "chorus-verse" }, element("summary", {}, "Words"));
  const example = button("Show me an example", () => act("example"), { class: "quiet" });
  const hint = element(
    "p",
    { class: "hint" },
    "A line, the same line again, and an answer: so go many blues verses. ",
    example,
  );
  const rule = element(
    "details",
    { class: "verse-rule hint" },
    element("summary", {}, "How words are written"),
    "Hyphens part syllables, as in morn-ing; " +
      "a star makes one strong, as in a-*gain; a bar line ends what comes before the line begins, as in And it | rained. Tap a syllable, then tap where it begins.",
  );
  const list = element("div", { class: "verse-lines" });
  root.append(hint, list, rule);
  root.open = isOn(WISH);
  byId("chorus").append(root);
  const place = () => (root.hidden = session.place !== "chorus");
  place();
  session.addEventListener("gone", place);
  root.addEventListener("toggle", () => {
    setWish(WISH, root.open);
    draw();
    if (root.open) root.scrollIntoView({ block: "nearest" });
  });

  /** The line with words where one was last, and where one is; the first line before any is. */
  let [writing, focused] = [-1, -1];
  const mark = () => {
    if (lines.some(({ index, text }) => index === focused && text)) writing = focused;
    const shown = [...list.children].map((each) => /** @type {HTMLElement} */ (each));
    const at = shown.findIndex(({ dataset }) => Number(dataset.line) === writing);
    shown.forEach((each, index) => each.classList.toggle("writing", index === Math.max(at, 0)));
  };
  // Not sooner: a button that moves under the finger is missed.
  for (const type of ["click", "keyup"])
    list.addEventListener(type, ({ target }) => {
      const line = /** @type {Element} */ (target).closest(".verse-line");
      if (!(line instanceof HTMLElement)) return;
      focused = Number(line.dataset.line);
      mark();
    });

  /** The syllable that is chosen: its line and its place in it. @type {[number, number] | undefined} */
  let chosen;
  /** @type {Map<number, ReturnType<typeof mountLine>>} */
  const mounted = new Map();
  /** @type {LineView[]} */
  let lines = [];

  /** @param {VerseCommand} does */
  const act = (does) => session.do({ do: "verse", does: JSON.stringify(does) });

  const choose = (/** @type {number} */ line, /** @type {number | undefined} */ syllable) => {
    chosen = syllable === undefined ? undefined : [line, syllable];
    draw();
  };

  /** The time through that the chosen bar is in. */
  function time() {
    const { chorus } = session.screen;
    return chorus ? Math.min(Math.floor(chorus.bar / chorus.bars), chorus.times - 1) : 0;
  }

  function draw() {
    const here = session.place === "chorus";
    lines = here ? (session.app.verse() ?? []) : [];
    overForm(session, lines);
    if (!root.open || !here) return;
    const shown = lines.filter((line) => line.time === time());
    example.hidden = lines.some(({ text }) => text);
    for (const { index } of shown) if (!mounted.has(index)) mounted.set(index, mountLine(index, act, choose));
    const made = shown.map(({ index }) => /** @type {ReturnType<typeof mountLine>} */ (mounted.get(index)));
    if (made.some(({ root }, at) => list.children[at] !== root) || list.childElementCount !== made.length)
      list.replaceChildren(...made.map(({ root }) => root));
    made.forEach((line, at) => {
      const view = /** @type {LineView} */ (shown[at]);
      line.update(view, chosen?.[0] === view.index ? chosen[1] : -1, shown[at - 1]);
    });
    mark();
  }

  byId("chorus-lines").addEventListener("drawn", () => overForm(session, lines));
  session.addEventListener("gone", () => requestAnimationFrame(draw));
  // What is written moves nothing else on the page, so that no part of it says that it changed.
  return () => draw();
}

/**
 * One line: its words, and where each syllable stands.
 * @param {number} index
 * @param {(does: VerseCommand) => void} act
 * @param {(line: number, syllable: number | undefined) => void} choose
 */
function mountLine(index, act, choose) {
  const id = `verse-line-${index}`;
  const title = element("b", {});
  const about = element("small", {});
  const words = element("input", { id, type: "text", maxlength: MOST_LETTERS, autocomplete: "off" });
  words.addEventListener("change", () => act({ write: { line: index, text: words.value } }));
  let before = "";
  const same = button("The same again", () => act({ write: { line: index, text: before } }), { class: "quiet" });
  const settle = button("By the rule again", () => act({ settle: { line: index } }), { class: "quiet" });
  const sing = button("Make it a riff", () => act({ sing: { line: index, id: freshId() } }), { class: "quiet" });
  const track = element("div", { class: "verse-track" });
  const note = element("small", { class: "hint" });
  let [steps, lead] = [1, 0];
  let picked = -1;
  /** @type {number[]} */
  let at = [];
  const move = (/** @type {number} */ syllable, /** @type {number} */ to) =>
    act({ move: { line: index, syllable, to } });
  track.addEventListener("click", (event) => {
    const target = /** @type {Element} */ (event.target).closest("[data-syllable]");
    if (target instanceof HTMLElement) {
      const syllable = Number(target.dataset.syllable);
      choose(index, syllable === picked ? undefined : syllable);
    } else if (picked >= 0) {
      const { left, width } = track.getBoundingClientRect();
      move(picked, Math.floor(((event.clientX - left) / width) * steps) - lead);
    }
  });
  track.addEventListener("keydown", (event) => {
    const by = { ArrowLeft: -1, ArrowRight: 1 }[event.key];
    const target = /** @type {Element} */ (event.target);
    if (by === undefined || !(target instanceof HTMLElement)) return;
    event.preventDefault();
    const syllable = Number(target.dataset.syllable);
    picked = syllable;
    choose(index, syllable);
    move(syllable, (at[syllable] ?? 0) + by);
  });
  const row = element("div", { class: "verse-row" }, words, same, settle, sing);
  const root = element(
    "div",
    { class: "verse-line", role: "group", "data-line": index },
    element("label", { for: id }, title, " ", about),
    row,
    element("div", { class: "verse-scroll" }, track),
    note,
  );
  let drawn = "";

  /** @param {LineView} view @param {number} syllable the chosen one @param {LineView | undefined} above */
  function update(view, syllable, above) {
    ({ steps, before: lead } = view);
    picked = syllable;
    at = view.syllables.map(({ step }) => step);
    before = above?.text ?? "";
    write(title, view.title);
    write(about, view.about);
    root.setAttribute("aria-label", `${view.title}, ${view.about}`);
    if (document.activeElement !== words || words.value === "") words.value = view.text;
    same.hidden = view.text !== "" || before === "";
    settle.hidden = !view.moved;
    sing.hidden = track.hidden = view.text === "";
    write(note, view.note);
    const text = JSON.stringify([view.syllables, view.lines, steps, picked]);
    if (text === drawn) return;
    drawn = text;
    const focused = track.contains(document.activeElement)
      ? /** @type {HTMLElement} */ (document.activeElement).dataset.syllable
      : undefined;
    place(track, { steps });
    track.replaceChildren(
      ...view.lines.map((from) => bar(from)),
      ...view.syllables.map((one, number) => {
        const made = button(one.text, () => {}, {
          class: `syllable${one.strong ? " strong" : ""}`,
          "data-syllable": number,
          "aria-pressed": String(number === picked),
          "aria-label": one.label,
        });
        place(made, { at: one.at });
        return made;
      }),
    );
    if (focused !== undefined)
      /** @type {HTMLElement | null} */ (track.querySelector(`[data-syllable="${focused}"]`))?.focus();
  }

  return { root, update };
}

/** A bar line on the track. @param {number} at */
function bar(at) {
  const made = element("i", {});
  place(made, { at });
  return made;
}

/** The words of each bar over the form, where there are some. @param {Session} session @param {LineView[]} lines */
function overForm(session, lines) {
  const form = byId("chorus-lines");
  const text = lines.some(({ text }) => text) ? JSON.stringify(lines.map(({ bars }) => bars)) : "";
  if (form.dataset.words === text && (text === "" || form.querySelector(".sung"))) return;
  form.dataset.words = text;
  for (const old of form.querySelectorAll(".sung")) old.remove();
  for (const drawn of form.querySelectorAll(".cline")) {
    const first = Number(drawn.querySelector(".bar")?.getAttribute("data-bar"));
    const view = session.screen.chorus?.lines.findIndex((line) => line.first === first) ?? -1;
    const line = lines[view];
    if (!line?.text) continue;
    drawn.before(element("div", { class: "sung" }, ...line.bars.map((text) => element("span", {}, text))));
  }
}
