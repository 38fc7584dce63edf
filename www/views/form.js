// The form as continuous lines of four bars, with the riff's notes in every bar.
import { button, byId, element, mark, place, svg, sync, write } from "./dom.js";
import { drawMarks } from "./shapes.js";

/** @typedef {import("../pkg/riffloom.js").BarView} BarView */

/** @param {import("../session.js").Session} session */
export function mountForm(session) {
  const root = byId("form");
  const focusBar = (/** @type {number} */ index) => {
    const bars = [...root.querySelectorAll(".bar")];
    const bar = bars[Math.min(Math.max(index, 0), bars.length - 1)];
    if (!(bar instanceof HTMLElement)) return;
    if (bar.parentElement?.hidden) showTimeOf(session, Number(bar.dataset.bar));
    bar.focus();
  };
  root.addEventListener("click", (event) => {
    const bar = /** @type {Element} */ (event.target).closest(".bar");
    if (!(bar instanceof HTMLElement)) return;
    const index = Number(bar.dataset.bar);
    session.do(event.shiftKey ? { do: "loop-to", bar: index } : { do: "choose-bar", bar: index });
  });
  root.addEventListener("dblclick", (event) => {
    const bar = /** @type {Element} */ (event.target).closest(".bar");
    if (bar instanceof HTMLElement && !event.shiftKey) session.playFrom(Number(bar.dataset.bar));
  });
  root.addEventListener("keydown", (event) => {
    const bar = /** @type {Element} */ (event.target).closest(".bar");
    const step = { ArrowRight: 1, ArrowLeft: -1, ArrowDown: 4, ArrowUp: -4 }[event.key];
    if (!(bar instanceof HTMLElement)) return;
    const index = Number(bar.dataset.bar);
    if (event.key === "Enter" && (event.ctrlKey || event.metaKey)) {
      event.preventDefault();
      session.playFrom(index);
    }
    if (step === undefined) return;
    event.preventDefault();
    const last = root.querySelectorAll(".bar").length - 1;
    const next = Math.min(Math.max(index + step, 0), last);
    focusBar(next);
    if (event.shiftKey) session.do({ do: "loop-to", bar: next });
  });

  /** What each bar was drawn from, but for its notes, as text: a bar that is the same stays. @type {string[]} */
  let drawn = [];
  const which = element("p", { class: "which-time", hidden: true });
  root.append(which);
  const map = mapOf(session);

  return (/** @type {import("../session.js").Changed} */ changed) => {
    if (!changed.form) return;
    const bars = changed.form.lines.flatMap((line) => line.bars);
    const texts = bars.map((bar) => JSON.stringify({ ...bar, marks: [] }));
    const before = drawn;
    drawn = texts;
    const focused =
      document.activeElement instanceof HTMLElement && root.contains(document.activeElement)
        ? document.activeElement.dataset.bar
        : undefined;
    const lines = [...root.querySelectorAll(".line")];
    if (texts.length === before.length && lines.length === changed.form.lines.length) {
      const old = root.querySelectorAll(".bar");
      bars.forEach((bar, index) => texts[index] !== before[index] && old[index]?.replaceWith(barElement(bar, index)));
    } else {
      let index = 0;
      root.replaceChildren(
        which,
        ...changed.form.lines.map((line) =>
          element("div", { class: "line" }, ...line.bars.map((bar) => barElement(bar, index++))),
        ),
      );
    }
    for (const [index, marks] of [...root.querySelectorAll(".bar > .marks")].entries()) {
      const notes = bars[index]?.marks ?? [];
      drawMarks(marks, notes);
      const line = marks.previousElementSibling?.firstElementChild;
      if (line) mark(line, "points", notes.map(({ at, height }) => `${at * 100},${(1 - height) * 100}`).join(" "));
    }
    map.draw(changed.form.lines);
    for (const line of root.querySelectorAll(".line"))
      line.classList.toggle("chosen-line", line.querySelector(".chosen") !== null);
    if (focused !== undefined) focusBar(Number(focused));
    if (session.playing) return;
    const chosen = bars.findIndex((bar) => bar.chosen);
    showTimeOf(session, chosen);
    map.show(chosen);
  };
}

/**
 * The whole form in small, for a screen with room for one line of it: a button a line, in it the bars with the numbers of
 * their chords.
 * @param {import("../session.js").Session} session
 */
function mapOf(session) {
  const root = byId("whole-form");
  const told = element("span", { class: "which-line", "aria-hidden": "true" });
  const lines = element("span", { class: "lines" });
  root.append(told, lines);
  const show = (/** @type {number} */ bar) => {
    let [first, line] = [0, 0];
    for (const [index, each] of [...lines.children].entries()) {
      const isHere = first <= bar && bar < first + each.childElementCount;
      mark(each, "aria-pressed", isHere);
      [...each.children].forEach((cell, place) => cell.classList.toggle("now", first + place === bar));
      if (isHere) line = index;
      first += each.childElementCount;
    }
    write(told, `line ${line + 1} of ${lines.childElementCount}`);
  };
  session.addEventListener("bar", (event) => session.playing && show(/** @type {CustomEvent} */ (event).detail));
  return {
    show,
    /** @param {import("../pkg/riffloom.js").LineView[]} drawn */
    draw(drawn) {
      let bar = 0;
      const rows = drawn.map(({ bars }) => ({
        from: bar,
        numbers: bars.map(({ chords }) => chords[0]?.number.replace(/\D+/g, "") ?? ""),
        to: (bar += bars.length),
      }));
      sync(lines, rows, ({ from, numbers, to }) => {
        const go = () => (session.playing ? session.playFrom(from) : session.do({ do: "choose-bar", bar: from }));
        const made = button("", go, { "aria-label": `Bars ${from + 1} to ${to}` });
        // Drawn by the style sheet: read aloud, the bars are named once.
        made.append(...numbers.map((number) => element("i", { "data-number": number })));
        return made;
      });
    },
  };
}

/**
 * Where the form is gone through several times, shows the time in which a bar lies.
 * @param {import("../session.js").Session} session
 * @param {number} index of the bar, from 0
 */
export function showTimeOf(session, index) {
  const lines = [...byId("form").querySelectorAll(".line")];
  const names = session.screen.form?.times ?? [];
  const each = lines.length / Math.max(names.length, 1);
  const time = Math.max(Math.floor(lines.findIndex((line) => line.querySelector(`[data-bar="${index}"]`)) / each), 0);
  lines.forEach((line, place) => line instanceof HTMLElement && (line.hidden = Math.floor(place / each) !== time));
  const which = document.querySelector(".which-time");
  if (which instanceof HTMLElement) {
    which.hidden = names.length === 0;
    write(which, names[time] ?? "");
  }
}

/**
 * A bar without its notes.
 * @param {BarView} bar
 * @param {number} index of the bar, from 0, from the beginning of all that is drawn
 */
export function barElement(bar, index) {
  const made = element("button", {
    type: "button",
    class: `bar${bar.chosen ? " chosen" : ""}${bar.looped ? ` looped ${bar.looped}` : ""}`,
    "data-bar": index,
    "aria-pressed": String(bar.chosen),
    tabindex: bar.chosen ? 0 : -1,
  });
  if (bar.looped === "first" || bar.looped === "only") made.append(element("span", { class: "repeat from" }));
  if (bar.looped === "last" || bar.looped === "only") made.append(element("span", { class: "repeat to" }));
  // Read aloud instead of what is drawn: "G seven", not "G7".
  made.append(element("span", { class: "unseen" }, bar.label));
  for (const chord of bar.chords) {
    const name = element(
      "span",
      { class: "chord", "aria-hidden": "true" },
      element("b", {}, chord.symbol),
      element("small", {}, chord.number),
    );
    if (bar.chords.length > 1) name.classList.add("shared");
    place(name, { at: chord.at });
    made.append(name);
  }
  if (bar.metre) made.append(element("span", { class: "metre", "aria-hidden": "true" }, bar.metre));
  made.append(element("span", { class: "number", "aria-hidden": "true" }, String(bar.number)));
  const line = svg(
    "svg",
    { class: "line-through", viewBox: "0 0 100 100", preserveAspectRatio: "none", "aria-hidden": "true" },
    svg("polyline"),
  );
  made.append(line, element("span", { class: "marks", "aria-hidden": "true" }), element("span", { class: "thread" }));
  return made;
}
