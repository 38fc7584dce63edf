// Labels of one's own on riffs and choruses: put on, taken off, and looked for.
import { button, element } from "./dom.js";

/** @typedef {import("../session.js").Session} Session */
/** @typedef {import("../pkg/riffloom.js").LabelView} LabelView */

/** The most characters of a label. */
const LONGEST = 30;
/** The list of what is in use, that fields offer. */
const LIST = "labels-in-use";

/**
 * The labels that are in use.
 * @param {Session} session
 * @returns {LabelView[]}
 */
export const labelsInUse = (session) => session.app.shelf("labels", "", 0)?.labels ?? [];

/**
 * The ids of the riffs and choruses that have a label.
 * @param {Session} session
 * @param {string} label
 * @returns {Set<string>}
 */
export const labelled = (session, label) => new Set(session.app.shelf("labelled", label, 0) ?? []);

/**
 * Puts a label on riffs and choruses, or takes it off.
 * @param {Session} session
 * @param {string[]} ids
 * @param {string} label
 * @param {boolean} on
 */
export function putLabel(session, ids, label, on) {
  /** @type {import("../pkg/riffloom.js").NotebookCommand} */
  const does = { label: { ids: ids.join(" "), label, on } };
  session.do({ do: "notebook", does: JSON.stringify(does) });
}

/**
 * A field for a label, which offers those that are in use.
 * @param {Session} session
 */
export function labelField(session) {
  document.getElementById(LIST)?.remove();
  const offered = labelsInUse(session).map(({ text }) => element("option", { value: text }));
  document.body.append(element("datalist", { id: LIST }, ...offered));
  return element("input", { type: "text", maxlength: LONGEST, "aria-label": "Label", list: LIST, autocomplete: "off" });
}

/**
 * What a card shows of labels: those on it, each with a way to take it off; nothing where there are none.
 * @param {Session} session
 * @param {string} id of the riff or chorus
 * @param {string[]} labels
 */
export function labelsOn(session, id, labels) {
  const one = (/** @type {string} */ text) =>
    element(
      "li",
      {},
      text,
      button("×", () => putLabel(session, [id], text, false), { "aria-label": `Take off the label “${text}”` }),
    );
  return labels.length > 0 ? [element("ul", { class: "labels", "aria-label": "Labels" }, ...labels.map(one))] : [];
}

/**
 * The way to put a label on a card.
 * @param {Session} session
 * @param {string} id of the riff or chorus
 */
export function wayToLabel(session, id) {
  const way = button("Label…", () => open(), { class: "link" });
  function open() {
    const field = labelField(session);
    const close = () => {
      if (!field.isConnected) return;
      field.replaceWith(way);
      way.focus();
    };
    field.addEventListener("change", () => {
      const label = field.value;
      close();
      putLabel(session, [id], label, true);
    });
    field.addEventListener("keydown", (event) => {
      if (event.key !== "Escape") return;
      event.preventDefault();
      close();
    });
    way.replaceWith(field);
    field.focus();
  }
  return way;
}
