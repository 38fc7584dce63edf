// In the notebook: ten minutes for today, and a look back at one riff or chorus.
import { button, byId, element, place } from "./dom.js";
import { saveAs } from "./files.js";
import { goToPractise } from "./tabs.js";

/** @typedef {import("../session.js").Session} Session */
/** @typedef {import("../pkg/riffloom.js").PlanView} PlanView */
/** @typedef {import("../pkg/riffloom.js").PastView} PastView */

/** @param {Session} session */
export function mountPast(session) {
  // What to begin with stands there; the rest is folded, so that the riffs are in sight below it.
  const plan = element("section", { class: "today", "aria-label": "Ten minutes for today" });
  let unfolded = false;
  const back = element("section", { class: "look-back", tabindex: -1, hidden: true });
  const folds = byId("notebook").querySelector(".folds");
  byId("notebook").querySelector(".head")?.after(plan);
  folds?.after(back);
  session.addEventListener("gone", () => {
    if (session.place !== "notebook") return void (back.hidden = true);
    drawPlan();
  });
  // What is not there any more is not practised.
  session.addEventListener("drawn", () => {
    if (session.place === "notebook") drawPlan();
  });
  session.addEventListener("look-back", (event) => look(/** @type {CustomEvent<string>} */ (event).detail));

  function drawPlan() {
    /** @type {PlanView} */
    const { title, turns, note } = session.app.planView();
    const rows = turns.map(({ of, key, how, text, why, length }) => {
      const start = () => goToPractise(session, { do: "practise-in", id: of, key, how });
      return element(
        "li",
        {},
        element("span", {}, element("b", {}, text), element("small", {}, `${length} · ${why}`)),
        button("Practise it", start, { class: "quiet", "aria-label": `Practise it: ${text}` }),
      );
    });
    plan.hidden = rows.length === 0;
    const [first, ...others] = rows;
    first?.querySelector("button")?.classList.add("strong");
    const later = element(
      "details",
      { class: "later", open: unfolded, ontoggle: () => (unfolded = later.open) },
      element("summary", {}, `Then ${others.length} more`),
      element("ol", { class: "turns", start: 2 }, ...others),
      element("p", { class: "hint" }, note),
    );
    plan.replaceChildren(
      element("h3", {}, title),
      element("ol", { class: "turns" }, ...(first ? [first] : [])),
      ...(others.length > 0 ? [later] : []),
    );
  }

  /** @param {string} of */
  function look(of) {
    /** @type {PastView} */
    const view = session.app.pastView(of);
    const opener = document.activeElement;
    const close = () => {
      back.hidden = true;
      if (opener instanceof HTMLElement) opener.focus();
    };
    back.setAttribute("aria-label", view.title);
    back.replaceChildren(
      element(
        "div",
        { class: "row head" },
        element("h3", {}, view.title),
        button("Save as a table (CSV)", () => saveAs(view.file, view.csv, "text/csv"), { class: "quiet" }),
        button("Close", close, { class: "quiet" }),
      ),
      element("p", {}, view.standing.join(" ")),
      picture(view),
      element("details", {}, element("summary", {}, "Each time through, as a table"), table(view)),
    );
    back.onkeydown = (event) => {
      if (event.key !== "Escape") return;
      event.preventDefault();
      close();
    };
    back.hidden = false;
    back.focus();
  }
}

/** @param {PastView} view */
function picture({ points, days, tempos, label }) {
  const dots = points.map(({ at, height, kind }) => {
    const dot = element("i", { class: kind });
    place(dot, { at, height });
    return dot;
  });
  const marks = days.map(({ at, text }) => placed(element("small", { class: "day" }, text), { at }));
  const sides = tempos.map(({ at, text }) => placed(element("small", { class: "tempo" }, text), { height: at }));
  return element(
    "figure",
    { class: "weeks" },
    element(
      "div",
      { class: "plot", role: "img", "aria-label": label },
      element("div", { class: "field" }, ...dots),
      ...marks,
      ...sides,
    ),
    element(
      "figcaption",
      { class: "hint" },
      key("by-heart", "by heart, all the notes"),
      key("all-notes", "all the notes, in sight"),
      key("on-the-way", "on the way"),
      "Higher is faster.",
    ),
  );
}

/**
 * @param {HTMLElement} made
 * @param {Record<string, number>} where
 */
function placed(made, where) {
  place(made, where);
  return made;
}

/**
 * @param {string} kind
 * @param {string} text
 */
function key(kind, text) {
  return element("span", { class: "legend" }, element("i", { class: kind, "aria-hidden": "true" }), text);
}

/** @param {PastView} view */
function table({ rows }) {
  const head = ["Day", "Key", "Tempo", "How", "What came"].map((text) => element("th", { scope: "col" }, text));
  return element(
    "div",
    { class: "scroll", tabindex: 0, role: "group", "aria-label": "Table of times through" },
    element(
      "table",
      {},
      element("thead", {}, element("tr", {}, ...head)),
      element(
        "tbody",
        {},
        ...rows.map(({ day, key: name, tempo, how, went }) =>
          element(
            "tr",
            {},
            element("th", { scope: "row" }, day),
            ...[name, tempo, how, went].map((cell) => element("td", {}, cell)),
          ),
        ),
      ),
    ),
  );
}
