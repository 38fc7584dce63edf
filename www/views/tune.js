// The tune strip: one sentence, each part of which opens what it can be.
import { isOpen } from "../rooms.js";
import { bandPanel } from "./band.js";
import { button, byId, element, write } from "./dom.js";
import { midiControl } from "./midi.js";
import { opener, withClose } from "./panel.js";

/** @typedef {import("../session.js").Session} Session */
/** @typedef {import("../pkg/riffloom.js").TuneView} TuneView */
/** @typedef {import("../pkg/riffloom.js").ChoiceView} ChoiceView */

/** @param {Session} session */
export function mountTune(session) {
  const sentence = byId("sentence");
  /** @type {TuneView} */
  let tune;
  const command = (/** @type {string} */ name, /** @type {string} */ field) => (/** @type {string} */ value) =>
    session.do(/** @type {any} */ ({ do: name, [field]: value }));

  const midi = midiControl(session);
  const parts = {
    instrument: part(
      "What I play",
      (panel, then) => {
        list(panel, tune.instruments, then(command("set-instrument", "instrument")));
        panel.querySelector("h2")?.after(midi);
      },
      "two",
    ),
    key: part("Key", (panel, then) => keyPanel(panel, session, tune, then(command("set-key", "key"))), "keys-of-music"),
    form: part("Form", (panel, then) => formPanel(panel, session, tune, then), "two"),
    feel: part("Feel", (panel, then) => list(panel, tune.feels, then(command("set-feel", "feel")))),
    tempo: part("Tempo", (panel) => tempoPanel(panel, session, tune)),
    band: lasting("Who plays", "band", session, bandPanel),
    material: part("Notes to use", (panel, then) =>
      list(panel, tune.materials, then(command("set-material", "material"))),
    ),
    loop: part("What is looped", (panel, then) => loopPanel(panel, session, tune, then)),
  };
  const word = (/** @type {string} */ text) => element("span", {}, text);
  const sounds = element("small", { class: "sounds" });
  // A form of the other mode than the key's: the one that belongs to it is one tap away.
  const fitting = button("", () => tune.formOffer[0] && session.do({ do: "set-form", form: tune.formOffer[0].value }), {
    class: "link fitting",
    hidden: true,
  });
  const own = button("", () => session.do({ do: "own-tune-again" }), { class: "link own-tune", hidden: true });
  // What a practice run has words of its own for.
  const writing = (/** @type {HTMLElement[]} */ ...inside) => element("span", { class: "for-writing" }, ...inside);
  // The chorus has loops of its own, and no notes are written there.
  const ofRiff = writing(word(". Notes: "), parts.material.root, word(". Looping "), parts.loop.root);
  ofRiff.classList.add("of-riff");
  sentence.append(
    word("I play "),
    parts.instrument.root,
    sounds,
    word(". In "),
    parts.key.root,
    word(", "),
    parts.form.root,
    fitting,
    word(", "),
    parts.feel.root,
    writing(word(", "), parts.tempo.root),
    word(", with "),
    parts.band.root,
    ofRiff,
    word(". "),
    own,
  );

  // On a phone the sentence is folded behind its two most changed words.
  const brief = byId("brief");
  const unfold = (/** @type {boolean} */ open) => {
    sentence.classList.toggle("open", open);
    brief.setAttribute("aria-expanded", String(open));
  };
  brief.addEventListener("click", () => unfold(!sentence.classList.contains("open")));
  // It lies over the bars, and over what opens from the head: a tap on them puts it away.
  for (const id of ["desk", "listen", "pass", "help"])
    byId(id).addEventListener("pointerdown", () => unfold(false), { capture: true });

  session.addEventListener("gone", () => unfold(false));

  return (/** @type {import("../session.js").Changed} */ changed) => {
    if (!changed.tune) return;
    tune = changed.tune;
    write(brief, `${tune.keyText} · ${tune.bpm}`);
    write(sounds, tune.soundsText && ` (${tune.soundsText})`);
    write(own, tune.ownText);
    own.hidden = tune.ownText === "";
    write(fitting, tune.formOffer[0]?.text ?? "");
    fitting.hidden = tune.formOffer.length === 0;
    brief.setAttribute("aria-label", `The tune: in ${tune.keyText}, ${tune.bpm} beats a minute. Change it`);
    parts.instrument.show(tune.instrumentText);
    parts.key.show(tune.keyText);
    parts.form.show(tune.formText);
    parts.feel.show(tune.feelText);
    parts.tempo.show(String(tune.bpm));
    parts.band.show(tune.bandText);
    parts.material.show(tune.materialText);
    parts.loop.show(tune.loopText);
  };
}

/**
 * The bars of a choice of what is looped; none for the whole form.
 * @param {string} value
 * @returns {[number, number] | undefined}
 */
export function barsOf(value) {
  const [from, to] = value.split("-").map(Number);
  return to === undefined ? undefined : [from ?? 0, to];
}

/** Makes what a choice does close its panel first. @typedef {(choose: (value: string) => void) => (value: string) => void} Then */

/**
 * One part of the sentence and its panel, which is filled anew whenever it opens or the tune changes under it.
 * @param {string} title
 * @param {(panel: HTMLElement, then: Then) => void} fill
 * @param {string} [kind]
 */
export function part(title, fill, kind = "") {
  const {
    root,
    button: opens,
    panel,
    close,
  } = opener(title, "part", { panel: `choices ${kind}`, fill: () => refill() });
  /** @type {Then} */
  const then = (choose) => (value) => {
    close();
    opens.focus({ preventScroll: true });
    choose(value);
  };
  const refill = () => {
    const focused = document.activeElement instanceof HTMLElement ? document.activeElement.dataset.value : undefined;
    panel.replaceChildren(element("h2", {}, title));
    fill(panel, then);
    withClose(panel, close);
    const again = focused === undefined ? null : panel.querySelector(`[data-value="${CSS.escape(focused)}"]`);
    if (again instanceof HTMLElement) again.focus();
  };
  return {
    root,
    /** @param {string} text */
    show(text) {
      write(opens, text);
      opens.setAttribute("aria-label", `${title}: ${text}`);
      if (!panel.hidden && !panel.contains(document.activeElement?.closest("input, textarea") ?? null)) refill();
    },
  };
}

/**
 * One part of the sentence whose panel is filled once its room is open, and then drawn with every change while it is
 * seen.
 * @param {string} title
 * @param {import("../rooms.js").Room} kind its room
 * @param {Session} session
 * @param {(panel: HTMLElement, session: Session) => () => void} fill gives what draws it
 */
function lasting(title, kind, session, fill) {
  /** @type {(() => void) | undefined} */
  let draw;
  const {
    root,
    button: opens,
    panel,
  } = opener(title, "part", {
    panel: `choices ${kind}`,
    fill: () => {
      if (isOpen(kind)) return (draw ??= fill(panel, session))();
      // What is in it comes: then it opens once more, in its size.
      session.opened(kind).then((here) => here && !panel.hidden && (opens.click(), opens.click()));
    },
  });
  panel.append(element("h2", {}, title));
  session.addEventListener("changed", () => !panel.hidden && draw?.());
  return {
    root,
    /** @param {string} text */
    show(text) {
      write(opens, text);
      opens.setAttribute("aria-label", `${title}: ${text}`);
    },
  };
}

/**
 * @param {HTMLElement} panel
 * @param {ChoiceView[]} choices
 * @param {(value: string) => void} choose
 */
export function list(panel, choices, choose) {
  for (const { value, text, chosen, hint } of choices) {
    const row = button("", () => choose(value), {
      class: "choice",
      "aria-pressed": String(chosen),
      "data-value": value,
    });
    row.append(element("b", {}, text));
    if (hint) row.append(element("small", {}, hint));
    panel.append(row);
  }
}

/**
 * @param {ChoiceView} choice
 * @param {(on: boolean) => void} turn
 */
function toggle({ value, text, chosen, hint }, turn) {
  const row = button("", () => turn(row.getAttribute("aria-checked") !== "true"), {
    class: "choice switch",
    role: "switch",
    "aria-checked": String(chosen),
    "data-value": value,
  });
  row.append(element("b", {}, text));
  if (hint) row.append(element("small", {}, hint));
  return row;
}

/**
 * @param {HTMLElement} panel
 * @param {Session} session
 * @param {TuneView} tune
 * @param {(key: string) => void} choose
 */
function keyPanel(panel, session, tune, choose) {
  if (tune.moveText)
    panel.append(
      button(tune.moveText, () => session.do({ do: "move-to-key" }), { class: "quiet strong", "data-value": "move" }),
    );
  const isMinor = (/** @type {ChoiceView} */ key) => key.value.endsWith("m");
  panel.append(element("h3", {}, "Major, upwards by half steps"));
  list(
    panel,
    tune.keys.filter((key) => !isMinor(key)),
    choose,
  );
  panel.append(element("h3", {}, "Minor"));
  list(panel, tune.keys.filter(isMinor), choose);
  if (tune.transpositionNote) panel.append(element("p", { class: "hint" }, tune.transpositionNote));
}

/**
 * @param {HTMLElement} panel
 * @param {Session} session
 * @param {TuneView} tune
 * @param {Then} then
 */
function formPanel(panel, session, tune, then) {
  list(
    panel,
    tune.forms,
    then((form) => session.do({ do: "set-form", form })),
  );
  if (tune.hasSwitches) {
    const two = {
      value: "two",
      text: "Quick change",
      chosen: tune.fourInBarTwo,
      hint: "chord 4 (IV) comes early, in bar 2",
    };
    const twelve = {
      value: "twelve",
      text: "Turnaround",
      chosen: tune.fiveInBarTwelve,
      hint: "chord 5 (V) in bar 12 leads back to the start",
    };
    // As a form that is chosen: the sentence says it, and what lies under the panel is at hand again.
    const done = (/** @type {string} */ name) => (/** @type {boolean} */ on) =>
      then(() => session.do(/** @type {any} */ ({ do: name, on })))("");
    panel.append(
      element("h3", {}, "Of the twelve bars"),
      toggle(two, done("set-four-in-bar-two")),
      toggle(twelve, done("set-five-in-bar-twelve")),
    );
  }
  panel.append(element("h3", {}, "The chords"));
  list(panel, tune.chords, (chords) => session.do({ do: "set-chords", chords }));
  // Several lines, so that the line breaks of what is pasted stay between the bars.
  const input = element("textarea", {
    id: "chart",
    rows: "2",
    autocomplete: "off",
    spellcheck: "false",
    "aria-describedby": "chart-signs",
  });
  input.value = tune.chartText;
  // What does not read is said where it was typed.
  const wrong = element("p", { class: "warning", role: "alert" });
  const use = () => {
    const { message, offer } = session.do({ do: "set-form", form: input.value });
    if (message) session.dispatchEvent(new CustomEvent("beside"));
    wrong.replaceChildren(
      message ?? "",
      ...(offer
        ? [" ", button(offer.text, () => session.do(/** @type {any} */ ({ do: offer.does })), { class: "quiet" })]
        : []),
    );
  };
  input.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" || event.shiftKey) return;
    event.preventDefault();
    use();
  });
  panel.append(
    element("label", { for: "chart" }, "Or type your own chords, with | between the bars"),
    element("div", { class: "row" }, input, button("Use them", use, { class: "quiet" })),
    wrong,
    element("p", { class: "hint", id: "chart-signs" }, tune.chartHint),
  );
}

/**
 * @param {HTMLElement} panel
 * @param {Session} session
 * @param {TuneView} tune
 * @param {Then} then
 */
function loopPanel(panel, session, tune, then) {
  list(
    panel,
    tune.loops,
    then((value) => session.do({ do: "set-loop", bars: barsOf(value) })),
  );
  const bars = session.screen.form?.lines.flatMap((line) => line.bars) ?? [];
  const looped = bars.filter((bar) => bar.looped).map((bar) => bar.number);
  const [first, last] = [looped[0] ?? 1, looped.at(-1) ?? bars.length];
  const number = (
    /** @type {string} */ name,
    /** @type {number} */ value,
    /** @type {(bar: number) => void} */ set,
  ) => {
    const select = element("select", { "aria-label": name, "data-value": name });
    select.append(
      ...bars.map((bar) =>
        element("option", { value: bar.number, selected: bar.number === value }, String(bar.number)),
      ),
    );
    select.addEventListener("change", () => set(Number(select.value)));
    return select;
  };
  const loop = (/** @type {number} */ from, /** @type {number} */ to) =>
    session.do({ do: "set-loop", bars: from === 1 && to === bars.length ? undefined : [from - 1, to] });
  const chosen = bars.find((bar) => bar.chosen)?.number ?? 1;
  panel.append(
    element(
      "div",
      { class: "row" },
      "From bar",
      number("Loop from bar", first, (bar) => loop(bar, Math.max(bar, last))),
      "to bar",
      number("Loop to bar", last, (bar) => loop(Math.min(first, bar), bar)),
    ),
    element("p", { class: "hint" }, "Or hold Shift and tap a bar: it loops from the bar that is marked to that one."),
    element(
      "div",
      { class: "row" },
      button(`Play from bar ${chosen}`, () => session.playFrom(chosen - 1), { class: "quiet", "data-value": "from" }),
    ),
    element("p", { class: "hint" }, "Or tap a bar twice. While it plays, it jumps there on the next beat."),
  );
}

/**
 * @param {HTMLElement} panel
 * @param {Session} session
 * @param {TuneView} tune
 */
function tempoPanel(panel, session, tune) {
  const range = { min: tune.bpmLeast, max: tune.bpmMost, step: 1, value: tune.bpm };
  const slider = element("input", { type: "range", "aria-label": "Tempo, in beats a minute", ...range });
  const number = element("input", {
    type: "number",
    class: "bpm",
    "aria-label": "Beats a minute",
    "data-value": "bpm",
    inputmode: "numeric",
    min: tune.bpmLeast,
    max: tune.bpmMost,
    value: tune.bpm,
  });
  const set = (/** @type {number} */ bpm) => {
    const within = Math.min(Math.max(Math.round(bpm), tune.bpmLeast), tune.bpmMost);
    slider.value = number.value = String(within);
    session.do({ do: "set-tempo", bpm: within });
  };
  slider.addEventListener("input", () => (number.value = slider.value));
  slider.addEventListener("change", () => set(Number(slider.value)));
  number.addEventListener("change", () => set(number.valueAsNumber || tune.bpm));
  panel.append(
    element(
      "div",
      { class: "row" },
      button("Slower", () => set(Number(slider.value) - 4), { class: "quiet" }),
      number,
      button("Faster", () => set(Number(slider.value) + 4), { class: "quiet" }),
    ),
    slider,
    element("p", { class: "hint" }, tune.tempoHint),
  );
}
