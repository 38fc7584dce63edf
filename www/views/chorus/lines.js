// The form in continuous lines of four bars, with the riffs woven under them.
import { element, place } from "../dom.js";
import { barElement } from "../form.js";
import { nextGesture } from "../pointer.js";
import { drawMarks } from "../shapes.js";
import { attachBandDrag } from "./drag.js";

/** @typedef {import("../../pkg/riffloom.js").ChorusView} ChorusView */
/** @typedef {import("../../pkg/riffloom.js").ChorusLineView} LineView */
/** @typedef {import("../../pkg/riffloom.js").WovenView} WovenView */
/** @typedef {import("../../pkg/riffloom.js").BarView} BarView */

/**
 * @param {import("../../session.js").Session} session
 * @param {HTMLElement} root
 */
export function mountLines(session, root) {
  attachBandDrag(session, root);
  root.addEventListener("click", (event) => {
    const target = /** @type {Element} */ (event.target);
    const nudge = target.closest("[data-nudge]");
    if (nudge instanceof HTMLElement) {
      const index = session.screen.chorus?.chosen?.index;
      if (index !== undefined)
        session.do({
          do: "move-placement",
          index,
          bars: 0,
          halfBeats: Number(nudge.dataset.nudge),
          gesture: nextGesture(),
        });
      return;
    }
    const [band, bar] = [target.closest("[data-band]"), target.closest(".bar")];
    if (band instanceof HTMLElement) session.do({ do: "select-placement", index: Number(band.dataset.band) });
    else if (bar instanceof HTMLElement) {
      session.do({ do: "select-placement", index: undefined });
      session.do({ do: "choose-chorus-bar", bar: Number(bar.dataset.bar) });
    }
  });
  root.addEventListener("keydown", (event) => {
    const target = /** @type {Element} */ (event.target);
    if (target.matches("[data-band]")) onBand(event, Number(/** @type {HTMLElement} */ (target).dataset.band));
    else if (target.matches(".bar")) onBar(event, Number(/** @type {HTMLElement} */ (target).dataset.bar));
  });

  /**
   * @param {KeyboardEvent} event
   * @param {number} bar
   */
  function onBar(event, bar) {
    const step = { ArrowRight: 1, ArrowLeft: -1, ArrowDown: 4, ArrowUp: -4 }[event.key];
    const { chorus } = session.screen;
    if (step === undefined || !chorus) return;
    event.preventDefault();
    const last = chorus.times * chorus.bars - 1;
    wantsFocus = "bar";
    session.do({ do: "choose-chorus-bar", bar: Math.min(Math.max(bar + step, 0), last) });
  }

  /**
   * @param {KeyboardEvent} event
   * @param {number} index
   */
  function onBand(event, index) {
    const move = (/** @type {number} */ bars, /** @type {number} */ halfBeats) =>
      /** @type {const} */ ({ do: "move-placement", index, bars, halfBeats, gesture: nextGesture() });
    const keys = /** @type {Record<string, import("../../session.js").Command>} */ (
      event.shiftKey
        ? {
            ArrowLeft: move(0, -1),
            ArrowRight: move(0, 1),
            ArrowUp: { do: "transpose-placement", index, semitones: 1 },
            ArrowDown: { do: "transpose-placement", index, semitones: -1 },
          }
        : {
            ArrowLeft: { do: "select-placement", index: Math.max(index - 1, 0) },
            ArrowUp: { do: "select-placement", index: Math.max(index - 1, 0) },
            ArrowRight: { do: "select-placement", index: Math.min(index + 1, count() - 1) },
            ArrowDown: { do: "select-placement", index: Math.min(index + 1, count() - 1) },
            PageUp: move(-1, 0),
            PageDown: move(1, 0),
            Delete: { do: "remove-placement", index },
            Backspace: { do: "remove-placement", index },
          }
    );
    const command = keys[event.key];
    if (!command) return;
    event.preventDefault();
    wantsFocus = command.do === "remove-placement" ? "bar" : "band";
    session.do(command);
  }

  const count = () =>
    new Set(session.screen.chorus?.lines.flatMap((line) => line.bands.map((band) => band.index))).size;

  /** Where the focus goes once the lines are drawn. @type {"" | "bar" | "band"} */
  let wantsFocus = "";
  let drawn = "";

  return (/** @type {ChorusView} */ chorus, /** @type {number} */ time) => {
    const lines = chorus.lines.filter((line) => line.time === time);
    const text = JSON.stringify(lines);
    const had = root.contains(document.activeElement) ? document.activeElement : null;
    if (text !== drawn) {
      drawn = text;
      if (!wantsFocus && had) wantsFocus = had.matches("[data-band]") ? "band" : "bar";
      const first = Math.min(
        ...lines.flatMap((line) => line.bands.filter((band) => band.begins).map((band) => band.index)),
      );
      const chosen = lines.some((line) => line.bands.some((band) => band.chosen));
      root.replaceChildren(...lines.map((line) => lineElement(line, chosen ? -1 : first)));
      // Whoever stands words over them does it again.
      root.dispatchEvent(new Event("drawn"));
    }
    if (wantsFocus) {
      const wanted = wantsFocus === "band" ? "[data-band][aria-pressed=true]" : ".bar[aria-pressed=true]";
      /** @type {HTMLElement | null} */ (root.querySelector(wanted))?.focus();
      wantsFocus = "";
    }
  };
}

/**
 * @param {LineView} line
 * @param {number} entry the band that Tab comes to where none is chosen
 */
function lineElement(line, entry) {
  const bars = element("div", { class: "cbars" }, ...line.bars.map((bar, index) => drawnBar(bar, line.first + index)));
  const bands = element(
    "div",
    { class: "bands" },
    ...line.bands.map((band) => bandElement(band, entry)),
    ...line.joins.filter((join) => !line.bands.some((band) => hasArrowsAt(band, join))).map(joinElement),
    ...line.bands.filter((band) => band.chosen).flatMap(nudges),
  );
  return element("div", { class: "cline", role: "group", "aria-label": line.label }, bars, bands);
}

/**
 * @param {BarView} bar
 * @param {number} index
 */
function drawnBar(bar, index) {
  const made = barElement(bar, index);
  const marks = made.querySelector(".marks");
  if (marks) drawMarks(marks, bar.marks);
  const points = bar.marks.map((each) => `${each.at * 100},${(1 - each.height) * 100}`);
  made.querySelector("polyline")?.setAttribute("points", points.join(" "));
  return made;
}

/**
 * @param {WovenView} band
 * @param {number} entry
 */
function bandElement(band, entry) {
  const classes = [
    "woven",
    `dye-${band.dye}`,
    band.begins ? "begins" : "",
    band.ends ? "ends" : "",
    band.chosen ? "chosen" : "",
    band.stays ? "stays" : "",
    band.clashes ? "clashes" : "",
  ];
  // Only where a riff begins is it a control; its second part goes with it.
  const made = band.begins
    ? element("button", {
        type: "button",
        "data-band": band.index,
        "aria-pressed": String(band.chosen),
        "aria-label": band.label,
        tabindex: band.chosen || band.index === entry ? 0 : -1,
      })
    : element("span", { "data-band": band.index, "aria-hidden": "true" });
  made.setAttribute("class", classes.filter(Boolean).join(" "));
  const weave = element(
    "span",
    { class: "weave" },
    ...band.threads.map((thread) => {
      const stretch = element("i", {});
      place(stretch, { at: thread.at, length: thread.length });
      return stretch;
    }),
  );
  made.append(weave);
  if (band.name) {
    const words = element("span", { class: "woven-name" }, element("b", {}, band.name));
    if (band.change) words.append(`, ${band.change}`);
    if (band.stays) words.prepend("⚑ ");
    made.append(words);
  }
  place(made, { at: band.at, length: band.length });
  return made;
}

/**
 * Whether the arrows of a riff stand where a way to the next one is told; its card tells it, too.
 * @param {WovenView} band
 * @param {import("../../pkg/riffloom.js").JoinView} join
 */
function hasArrowsAt({ chosen, ends, at, length }, join) {
  return chosen && ends && join.at <= at + length && join.at + join.length >= at + length;
}

/**
 * Arrows on the end of the chosen riff, for a finger or a mouse; its card has the same for everyone.
 * @param {WovenView} band
 */
function nudges(band) {
  const arrow = (/** @type {string} */ text, /** @type {number} */ halfBeats, /** @type {number} */ at) => {
    const made = element(
      "span",
      {
        class: `nudge ${halfBeats < 0 ? "back" : "on"}`,
        "aria-hidden": "true",
        "data-nudge": halfBeats,
        title: halfBeats < 0 ? "Half a beat earlier" : "Half a beat later",
      },
      text,
    );
    place(made, { at });
    return made;
  };
  return band.ends ? [arrow("‹", -1, band.at + band.length), arrow("›", 1, band.at + band.length)] : [];
}

/** @param {import("../../pkg/riffloom.js").JoinView} join */
function joinElement(join) {
  const made = element(
    "span",
    { class: `gap-word${join.far ? " far" : ""}`, "aria-hidden": "true" },
    element("span", {}, join.text),
  );
  place(made, { at: join.at, length: join.length });
  return made;
}
