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
  /** @type {ReturnType<typeof part>[]} */
  let made = [];

  return (/** @type {PracticeView} */ view) => {
    parts = view.parts;
    if (made.length !== parts.length) {
      made = parts.map((each, index) => part(each.title, (panel) => fill(panel, index)));
      sentence.replaceChildren(...made.flatMap(({ root: phrase }, index) => [parts[index]?.before ?? "", phrase]), ".");
    }
    parts.forEach(({ text }, index) => made[index]?.show(text));
    brief.textContent = view.brief;
    brief.setAttribute("aria-label", `How you practise: ${view.brief}. Change it`);
  };

  /**
   * @param {HTMLElement} panel
   * @param {number} index
   */
  function fill(panel, index) {
    const each = parts[index];
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
