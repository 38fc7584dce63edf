// The setting of a practice run: one sentence, each part of which opens what it can be.
import { button, byId, element } from "./dom.js";
import { barsOf, list, part } from "./tune.js";

/** @typedef {import("../session.js").Session} Session */
/** @typedef {import("../pkg/riffloom.js").PracticeView} PracticeView */
/** @typedef {import("../pkg/riffloom.js").StepperView} StepperView */

/** @param {Session} session */
export function mountSetting(session) {
  const root = byId("setting");
  const sentence = element("p", { class: "sentence", id: "setting-sentence" });
  const brief = element("button", { type: "button", class: "brief", "aria-expanded": "false", "aria-controls": "setting-sentence" });
  brief.addEventListener("click", () => brief.setAttribute("aria-expanded", String(sentence.classList.toggle("open"))));
  root.append(brief, sentence);
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
      sentence.replaceChildren(...parts.flatMap(({ title, before }) => [before, partOf(title).root]), ".");
      // What is moved within the page loses the focus.
      if (focused instanceof HTMLElement && sentence.contains(focused)) focused.focus({ preventScroll: true });
    }
    for (const { title, text } of parts) partOf(title).show(text);
    brief.textContent = view.brief;
    brief.setAttribute("aria-label", `How you practise: ${view.brief}. Change it`);
  };

  /** @param {string} title */
  function partOf(title) {
    const kept = made.get(title) ?? part(title, (panel) => fill(panel, title));
    made.set(title, kept);
    return kept;
  }

  /**
   * @param {HTMLElement} panel
   * @param {string} title
   */
  function fill(panel, title) {
    const each = parts.find((one) => one.title === title);
    if (!each) return;
    for (const group of each.groups) {
      if (group.title) panel.append(element("h3", {}, group.title));
      list(panel, group.choices, (value) => set(group.what, value));
    }
    for (const stepper of each.steppers) panel.append(stepperElement(stepper));
  }

  /** @param {StepperView} stepper */
  function stepperElement({ what, title, value, least, most, step }) {
    const go = (/** @type {number} */ by) => set(what, String(Math.min(Math.max(value + by, least), most)));
    const turn = (/** @type {string} */ sign, /** @type {number} */ by, /** @type {string} */ word) =>
      button(sign, () => go(by), { class: "quiet turn", "aria-label": `${title}: ${word}`, "data-value": `${what}${sign}`, disabled: by < 0 ? value <= least : value >= most });
    return element("div", { class: "row stepper", role: "group", "aria-label": title },
      element("span", {}, title), turn("−", -step, "less"), element("output", {}, String(Math.round(value))), turn("+", step, "more"));
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
