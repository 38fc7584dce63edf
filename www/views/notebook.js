// The notebook: all riffs by name, and a card for each that is in sight.
//
// A thousand cards would take seconds to make. A riff out of sight has only its name, on the button that opens it: so the
// page finds it, a screen reader reads it and Tab reaches it, and what else belongs on its card is put there as it comes
// near.
import { freshId } from "../ids.js";
import { Heard } from "../session.js";
import { riffCloth } from "./cloth.js";
import { button, byId, element, write } from "./dom.js";
import { labelled, labelsInUse, labelsOn, wayToLabel } from "./labels.js";
import { mountSeveral } from "./several.js";
import { go, goToPractise, takeUp } from "./tabs.js";
import { newRiff } from "./tools.js";

/** @typedef {import("../pkg/riffloom.js").RiffRowView} RiffRowView */
/** @typedef {import("../pkg/riffloom.js").RiffCardView} RiffCardView */
/** @typedef {{ item: HTMLLIElement, tick: HTMLElement, open: HTMLButtonElement, name: HTMLElement, text: string, shows: string }} Card */

/** Of so many riffs none need be looked for. */
const FEW = 5;
/** How many riffs are listed at once: more than any window shows. */
const AT_ONCE = 60;
/** How many more at a time, while the page is idle. */
const LATER = 120;
/** How many cards are made with the list itself, before the page knows which are in sight. */
const FIRST = 20;
/** One card of so many is watched, and tells of those around it: watching each would cost something in every frame. */
const WATCHED = 8;
/** How near to the window a card is made, in CSS pixels: about a screen. */
const NEAR = "600px";

/** @param {import("../session.js").Session} session */
export function mountNotebook(session) {
  const root = byId("notebook");
  const summary = element("p", { class: "hint" });
  const list = element("ul", { class: "cards" });
  const none = element("p", { class: "bare" }, "No riff yet. Begin with three notes and a rest.");
  const fresh = () => {
    newRiff(session);
    go(session, "riff");
  };
  const newOne = button("New riff", fresh, { class: "quiet" });
  const find = element("input", {
    type: "text",
    placeholder: "Find by name",
    "aria-label": "Find a riff by its name",
    autocomplete: "off",
  });
  const sort = element(
    "select",
    { "aria-label": "Order of the riffs" },
    element("option", { value: "" }, "newest first"),
    element("option", { value: "name" }, "by name"),
  );
  const label = element("select", { "aria-label": "Only with this label", hidden: true });
  const missing = element("p", { class: "hint", role: "status" });
  const several = mountSeveral(
    session,
    root,
    () => rows.map(({ id }) => id),
    () => [...rows, ...all.filter((riff) => !rows.includes(riff))].map(({ id }) => id),
  );
  const finding = element("div", { class: "row finding-riffs" }, find, sort, label, missing);
  for (const each of [find, sort, label])
    each.addEventListener("input", () => {
      if (each === label) narrow();
      arrange();
      fill();
    });
  root.append(
    element("div", { class: "row head" }, element("h2", {}, "Notebook"), summary, newOne, several.begin),
    element("div", { class: "folds" }),
    none,
    finding,
    several.bar,
    list,
  );

  /** All riffs, the newest first. @type {RiffRowView[]} */
  let all = [];
  /** Those that are looked for, in the order that is wished. @type {RiffRowView[]} */
  let rows = [];
  /** The ids of what has the label that is looked for; none is looked for. @type {Set<string> | null} */
  let only = null;
  /** The labels that are in use, as they were last shown. */
  let offered = "";
  /** How many of them may be listed so far. */
  let listed = AT_ONCE;
  /** @type {Map<string, Card>} */
  const cards = new Map();
  /** The cards that are watched, and whether each is near the window. @type {Map<Element, boolean>} */
  const watched = new Map();
  const watch = new IntersectionObserver(
    (entries) => {
      for (const { target, isIntersecting } of entries) if (watched.has(target)) watched.set(target, isIntersecting);
      fill();
    },
    { rootMargin: NEAR },
  );

  return (/** @type {import("../session.js").Changed} */ { notebook }) => {
    if (notebook) {
      write(summary, notebook.summary);
      all = notebook.riffs;
      none.hidden = all.length > 0;
      newOne.classList.toggle("strong", all.length === 0);
      several.begin.hidden = all.length < 2 || root.classList.contains("ticking");
    }
    if ((!root.hidden && offer()) || notebook) arrange();
    // A tune in another key, a time through that was played: what is in sight is asked for whatever was done.
    if (!root.hidden) fill();
  };

  /** Offers the labels that are in use. Gives whether the list may be another one. */
  function offer() {
    const labels = labelsInUse(session);
    const text = JSON.stringify(labels);
    const isNew = text !== offered;
    if (isNew) {
      offered = text;
      const { value } = label;
      const options = labels.map(({ text, counted }) => element("option", { value: text }, counted));
      label.replaceChildren(element("option", { value: "" }, "any label, or none"), ...options);
      label.value = labels.some(({ text }) => text === value) ? value : "";
      label.hidden = labels.length === 0;
      // Whether a card offers labels is seen anew.
      for (const card of cards.values()) card.shows = "";
    }
    const before = only;
    narrow();
    return isNew || before !== null || only !== null;
  }

  function narrow() {
    const had = only !== null;
    only = label.value ? labelled(session, label.value) : null;
    if (had || only) session.dispatchEvent(new CustomEvent("only", { detail: only }));
  }

  /** Brings the list in the order of the rows; what is there already stays the same element. */
  function arrange() {
    // A few are seen at a glance.
    finding.hidden = all.length <= FEW && label.hidden;
    if (finding.hidden) find.value = "";
    const text = find.value.trim().toLocaleLowerCase();
    const is = (/** @type {RiffRowView} */ { id, name }) =>
      name.toLocaleLowerCase().includes(text) && (only === null || only.has(id));
    rows = all.filter(is);
    const none = only ? "No riff here has that label." : text ? "No riff has a name like that." : "";
    write(missing, rows.length === 0 ? none : "");
    if (!finding.hidden && sort.value === "name")
      rows.sort((one, other) => one.name.localeCompare(other.name, undefined, { numeric: true }));
    const wanted = new Set(rows.map((row) => row.id));
    const focused = focusedPlace();
    for (const [id, { item }] of cards) {
      if (wanted.has(id)) continue;
      item.remove();
      cards.delete(id);
      watch.unobserve(item);
      watched.delete(item);
    }
    let next = list.firstElementChild;
    let unwatched = WATCHED;
    for (const { id, name } of rows.slice(0, listed)) {
      const card = cards.get(id) ?? begin(id);
      if (card.text !== name) card.name.textContent = card.text = name;
      if (card.item === next) next = next.nextElementSibling;
      else list.insertBefore(card.item, next);
      unwatched = watched.has(card.item) ? 0 : unwatched + 1;
      if (unwatched < WATCHED) continue;
      unwatched = 0;
      watched.set(card.item, false);
      watch.observe(card.item);
    }
    // Whoever deletes a riff by key goes on from the one that took its place.
    if (focused >= 0 && !list.contains(document.activeElement))
      cards.get(rows[Math.min(focused, rows.length - 1)]?.id ?? "")?.open.focus();
    if (rows.length > listed) setTimeout(listMore);
  }

  function listMore() {
    if (root.hidden || rows.length <= listed) return;
    listed += LATER;
    arrange();
  }

  /** The place in the list of the card that has the focus, from 0; −1 where none has. */
  function focusedPlace() {
    const focused = document.activeElement?.closest("li");
    return focused && list.contains(focused) ? [...list.children].indexOf(focused) : -1;
  }

  /**
   * A card with nothing but the riff's name.
   * @param {string} id
   */
  function begin(id) {
    const name = element("b");
    const open = button(
      "",
      () => {
        session.do({ do: "pick-riff", id });
        go(session, "riff");
      },
      { class: "open" },
    );
    open.append(name);
    const tick = several.box(id, () => name.textContent ?? "");
    const card = {
      item: element("li", { class: "card", "data-riff": id }, tick, open),
      tick,
      open,
      name,
      text: "",
      shows: "",
    };
    cards.set(id, card);
    return card;
  }

  /** The riffs whose cards are near the window: those around a watched one that is, or the first where none is known yet. */
  function nearby() {
    const ids = rows.slice(0, listed).map((row) => row.id);
    const near = ids.map((id) => watched.get(cards.get(id)?.item ?? list) === true);
    if (!near.includes(true)) return ids.slice(0, FIRST);
    return ids.filter((_, index) => near.slice(Math.max(index - WATCHED, 0), index + WATCHED + 1).includes(true));
  }

  /** Makes the cards that are near the window, and makes those anew that have changed. */
  function fill() {
    const near = nearby();
    if (near.length === 0) return;
    /** @type {RiffCardView[]} */
    const views = session.app.riffCards(near);
    for (const view of views) {
      const card = cards.get(view.id);
      const shows = JSON.stringify(view);
      if (!card || card.shows === shows) continue;
      card.shows = shows;
      complete(card, view);
    }
  }

  /**
   * @param {Card} card
   * @param {RiffCardView} riff
   */
  function complete({ item, tick, open, name }, riff) {
    const focused = item.contains(document.activeElement) ? document.activeElement?.textContent : undefined;
    open.replaceChildren(name, riffCloth(riff.marks, riff.beats));
    const rename = () => {
      const input = element("input", {
        type: "text",
        maxlength: 60,
        value: name.textContent ?? "",
        "aria-label": "New name",
      });
      const done = () => {
        if (input.isConnected) input.replaceWith(renaming);
        session.do({ do: "rename-riff", id: riff.id, name: input.value });
      };
      input.addEventListener("change", done);
      input.addEventListener("keydown", (event) => {
        if (event.key !== "Escape") return;
        event.preventDefault();
        input.replaceWith(renaming);
      });
      renaming.replaceWith(input);
      input.select();
    };
    const hear = () => {
      session.do({ do: "pick-riff", id: riff.id });
      session.play(Heard.Riff);
    };
    const silent = riff.marks.length === 0;
    const playing = element(
      "div",
      { class: "row main" },
      button("Hear it", hear, { class: "quiet", disabled: silent }),
      button("Practise it", () => goToPractise(session, takeUp(riff.id)), { class: "quiet", disabled: silent }),
    );
    const renaming = button("Rename", rename, { class: "link" });
    const back = button("Look back", () => session.dispatchEvent(new CustomEvent("look-back", { detail: riff.id })), {
      class: "link",
    });
    const earlier = () => session.dispatchEvent(new CustomEvent("earlier", { detail: riff.id }));
    const keeping = element(
      "div",
      { class: "row ways-of-card" },
      ...(riff.practised ? [back] : []),
      ...(riff.versions ? [button("Earlier versions", earlier, { class: "link" })] : []),
      // Who uses no labels finds the way to the first one on the card of the riff that is open, and nowhere else.
      ...(label.hidden && !riff.chosen ? [] : [wayToLabel(session, riff.id)]),
      renaming,
      button("Duplicate", () => session.do({ do: "duplicate-riff", id: riff.id, copy: freshId() }), { class: "link" }),
      button("Delete", () => session.do({ do: "delete-riff", id: riff.id }), { class: "link" }),
    );
    item.replaceChildren(
      tick,
      open,
      playing,
      element("p", { class: "standing" }, riff.standing),
      element("p", { class: "about" }, riff.summary),
      ...labelsOn(session, riff.id, riff.labels),
      keeping,
    );
    item.classList.toggle("chosen", riff.chosen);
    if (focused === undefined) return;
    const same = [...item.querySelectorAll("button")].find((each) => each.textContent === focused);
    (same ?? open).focus();
  }
}
