// The form of a lesson: what is on the desk, and a few choices.
import { freshId } from "../ids.js";
import { button, element } from "./dom.js";

/** @typedef {import("../pkg/riffloom.js").ClassView} ClassView */
/** @typedef {import("../pkg/riffloom.js").LessonForm} LessonForm */
/** @typedef {import("../pkg/riffloom.js").ChoiceView} ChoiceView */
/** @typedef {Parameters<import("../session.js").Session["inClass"]>[0]} ClassCommand */

/** @param {(command: ClassCommand) => ClassView | undefined} does */
export function lessonForm(does) {
  const title = element("input", { type: "text", id: "lesson-title", autocomplete: "off" });
  const words = element("textarea", { id: "lesson-words", rows: 2 });
  const can = element("textarea", { id: "lesson-can", rows: 3 });
  const locked = element("input", { type: "checkbox" });
  const [ground, riffs, steps, tiers] = [
    element("p", { class: "hint" }),
    group("Riffs to hear and copy"),
    group("Steps"),
    group("What is asked"),
  ];
  const more = button("Add another group", () => addTier({ beats: 8, space: 2, notes: "three" }), { class: "link" });
  const go = button("Make the link", make, { class: "quiet strong" });
  const anew = button("Begin a new one", () => clear(), { class: "link", hidden: true });
  const several = button("Only the ticked riffs, in one link", () => does({ do: "several", riffs: checked(riffs) }), {
    class: "link",
  });
  const whole = element(
    "details",
    { class: "lesson-form" },
    element("summary", {}, "Make a lesson"),
    ground,
    element(
      "div",
      { class: "fields" },
      element("div", {}, field("Title", title), riffs, steps, field("Your own words", words)),
      element(
        "div",
        {},
        tiers,
        element("div", { class: "row" }, more),
        element("label", { class: "check" }, locked, " Locked: only a riff that keeps to this can be handed in"),
        field("“I can” statements, one a line", can),
      ),
    ),
    element("div", { class: "row makes" }, go, anew, several),
  );
  /** The lesson that is being changed; none while a new one is made. */
  let id = "";
  /** @type {import("../pkg/riffloom.js").LessonChoices | undefined} */
  let choices;
  let isFilled = false;
  /** The riffs that are listed, as text. */
  let listed = "";

  /** @param {string} legend */
  function group(legend) {
    return element("fieldset", {}, element("legend", {}, legend));
  }

  /** @param {string} text @param {HTMLElement} made */
  function field(text, made) {
    return element("p", { class: "field" }, element("label", { for: made.id }, text), made);
  }

  /** @param {HTMLElement} fieldset */
  const checked = (fieldset) =>
    [...fieldset.querySelectorAll("input:checked")].map((each) => (each instanceof HTMLInputElement ? each.value : ""));

  /** @param {HTMLElement} fieldset @param {ChoiceView[]} given @param {(choice: ChoiceView) => boolean} isOn */
  function fill(fieldset, given, isOn) {
    const box = (/** @type {ChoiceView} */ choice) =>
      element(
        "label",
        { class: "check" },
        element("input", { type: "checkbox", value: choice.value, checked: isOn(choice) }),
        ` ${choice.text}`,
      );
    fieldset.replaceChildren(/** @type {Element} */ (fieldset.firstElementChild), ...given.map(box));
  }

  /** @param {import("../pkg/riffloom.js").TierForm} tier */
  function addTier({ beats, space, notes }) {
    if (!choices) return;
    const count = (
      /** @type {string} */ text,
      /** @type {number} */ value,
      /** @type {number} */ most,
      /** @type {string} */ name,
    ) => element("label", {}, `${text} `, element("input", { type: "number", min: 0, max: most, value, name }));
    const list = element(
      "select",
      { name: "notes" },
      ...choices.notes.map(({ value, text }) => element("option", { value, selected: value === notes }, text)),
    );
    const row = element(
      "div",
      { class: "row tier" },
      count("Beats at most", beats, choices.mostBeats, "beats"),
      count("Free beats at least", space, choices.mostBeats - 1, "space"),
      element("label", {}, "Notes ", list),
    );
    if (tierRows().length > 0)
      row.append(
        button(
          "Take out",
          () => {
            row.remove();
            more.hidden = false;
          },
          { class: "link" },
        ),
      );
    tiers.append(row);
    more.hidden = tierRows().length >= choices.mostTiers;
  }

  const tierRows = () => [...tiers.querySelectorAll(".tier")];
  /** @param {Element} row @param {string} name */
  const said = (row, name) =>
    /** @type {HTMLInputElement | HTMLSelectElement} */ (row.querySelector(`[name=${name}]`)).value;
  const inByte = (/** @type {string} */ text) => Math.min(Math.max(Math.round(Number(text) || 0), 0), 255);

  function make() {
    if (!id) id = freshId();
    const asked = tierRows().map((row) => ({
      beats: inByte(said(row, "beats")),
      space: inByte(said(row, "space")),
      notes: said(row, "notes"),
    }));
    anew.hidden = false;
    const view = does({
      do: "make",
      id,
      title: title.value,
      words: words.value,
      can: can.value.split("\n"),
      steps: checked(steps),
      locked: locked.checked,
      tiers: asked,
      riffs: checked(riffs),
    });
    // The link stands beside it, in sight.
    if (view?.made) whole.open = false;
  }

  /** @param {LessonForm} form @param {boolean} isNew */
  function put(form, isNew) {
    if (!choices) return;
    [title.value, words.value, can.value, locked.checked] = [form.title, form.words, form.can.join("\n"), form.locked];
    fill(riffs, choices.riffs, ({ chosen }) => isNew && chosen);
    fill(steps, choices.steps, ({ value }) => form.steps.includes(value));
    tierRows().forEach((row) => row.remove());
    form.tiers.forEach(addTier);
    go.textContent = isNew ? "Make the link" : "Make the link anew";
    anew.hidden = isNew;
    isFilled = true;
    listed = JSON.stringify(choices.riffs);
  }

  /** A new lesson. */
  function clear() {
    id = "";
    const notes = choices?.notes.find(({ chosen }) => chosen)?.value ?? "all";
    put(
      {
        title: "",
        words: "",
        can: [],
        steps: choices?.steps.filter(({ chosen }) => chosen).map(({ value }) => value) ?? [],
        locked: false,
        tiers: [{ beats: 8, space: 2, notes }],
      },
      true,
    );
  }

  return {
    whole,
    /** Opens it for a new lesson. */
    anew() {
      whole.open = true;
      title.focus();
      whole.scrollIntoView({ block: "nearest" });
    },
    /** @param {ClassView} view */
    show(view) {
      choices = view.choices;
      title.maxLength = choices.mostTitle;
      words.maxLength = choices.mostWords;
      ground.textContent = id ? "" : `Its tune is the one at the top of the page: ${choices.ground}`;
      if (id && !view.lessons.some((each) => each.id === id)) id = "";
      if (!isFilled) return clear();
      if (listed === JSON.stringify(choices.riffs)) return;
      // What was written meanwhile is listed, too; what was ticked stays so.
      const on = checked(riffs);
      fill(riffs, choices.riffs, ({ value }) => on.includes(value));
      listed = JSON.stringify(choices.riffs);
    },
    /** @param {string} of @param {LessonForm} form */
    edit(of, form) {
      id = of;
      put(form, false);
      ground.textContent = "Its tune and its riffs stay, unless you tick others.";
      whole.open = true;
      whole.scrollIntoView({ block: "nearest" });
      title.focus();
    },
  };
}
