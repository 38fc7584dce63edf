// The setting of a practice run: one sentence, each part of which opens what it can be.
import { button, byId, element } from "./dom.js";
import { barsOf, list, part } from "./tune.js";

/** @typedef {import("../session.js").Session} Session */
/** @typedef {import("../pkg/riffloom.js").PracticeView} PracticeView */
/** @typedef {import("../pkg/riffloom.js").StepperView} StepperView */

/** How many parts of the sentence are always in sight: what one does, with what, how fast. */
const ALWAYS = 3;

/** @param {Session} session */
export function mountSetting(session) {
  const root = byId("setting");
  const sentence = element("p", { class: "sentence", id: "setting-sentence" });
  const brief = element("button", {
    type: "button",
    class: "brief",
    "aria-expanded": "false",
    "aria-controls": "setting-sentence",
  });
  brief.addEventListener("click", () => brief.setAttribute("aria-expanded", String(sentence.classList.toggle("open"))));
  root.append(brief, sentence);
  const rest = element("span", { id: "setting-rest", hidden: true });
  const more = button("more", () => unfold(rest.hidden), {
    class: "link more",
    "aria-expanded": "false",
    "aria-controls": "setting-rest",
  });
  /** @param {boolean} open */
  function unfold(open) {
    rest.hidden = !open;
    more.setAttribute("aria-expanded", String(open));
    more.textContent = open ? "less" : "more";
    // In a low window the takes give way to it.
    byId("desk").classList.toggle("unfolded", open);
  }
  /** @type {PracticeView["parts"]} */
  let parts = [];
  /** By their titles: a part that stays keeps its open panel. @type {Map<string, ReturnType<typeof part>>} */
  const made = new Map();
  let drawn = "";

  return (/** @type {PracticeView} */ view) => {
    parts = view.parts;
    const words = JSON.stringify(parts.map(({ title, before }) => [title, before]));
    if (words !== drawn) {
      drawn = words;
      const focused = document.activeElement;
      const [first, others] = [parts.slice(0, ALWAYS), parts.slice(ALWAYS)].map((some) =>
        some.flatMap(({ title, before }) => [before, partOf(title).root]),
      );
      rest.replaceChildren(...(others ?? []));
      sentence.replaceChildren(...(first ?? []), rest, ". ", more);
      more.hidden = parts.length <= ALWAYS;
      // What is moved within the page loses the focus.
      if (focused instanceof HTMLElement && sentence.contains(focused)) focused.focus({ preventScroll: true });
    }
    for (const { title, text } of parts) partOf(title).show(text);
    brief.textContent = view.brief;
    brief.setAttribute("aria-label", `How you practise: ${view.brief}. Change it`);
  };

  /** @param {string} title */
  function partOf(title) {
    const kept = made.get(title) ?? part(title, (panel, then) => fill(panel, title, then));
    made.set(title, kept);
    return kept;
  }

  /**
   * @param {HTMLElement} panel
   * @param {string} title
   * @param {import("./tune.js").Then} then
   */
  function fill(panel, title, then) {
    const each = parts.find((one) => one.title === title);
    if (!each) return;
    const closes =
      each.groups.length === 1 && each.steppers.length === 0
        ? then
        : (/** @type {(value: string) => void} */ choose) => choose;
    for (const group of each.groups) {
      if (group.title) panel.append(element("h3", {}, group.title));
      list(
        panel,
        group.choices,
        closes((value) => set(group.what, value)),
      );
    }
    for (const stepper of each.steppers) panel.append(stepperElement(stepper));
  }

  /** @param {StepperView} stepper */
  function stepperElement({ what, title, value, least, most, step }) {
    const go = (/** @type {number} */ by) => set(what, String(Math.min(Math.max(value + by, least), most)));
    const turn = (/** @type {string} */ sign, /** @type {number} */ by, /** @type {string} */ word) =>
      button(sign, () => go(by), {
        class: "quiet turn",
        "aria-label": `${title}: ${word}`,
        "data-value": `${what}${sign}`,
        disabled: by < 0 ? value <= least : value >= most,
      });
    return element(
      "div",
      { class: "row stepper", role: "group", "aria-label": title },
      element("span", {}, title),
      turn("−", -step, "less"),
      element("output", {}, String(Math.round(value))),
      turn("+", step, "more"),
    );
  }

  /**
   * @param {string} what
   * @param {string} value
   */
  function set(what, value) {
    if (what === "loop") session.do({ do: "set-loop", bars: barsOf(value) });
    else if (what === "tempo") session.do({ do: "set-tempo", bpm: Number(value) });
    else session.do({ do: "set-practice", what, value });
  }
}
