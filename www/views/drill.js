// A drill: whose turn it is, the bars of each side on the form, and what is said of an answer.
import { button, byId, element, say, write } from "./dom.js";

/** @typedef {import("../session.js").Session} Session */
/** @typedef {import("../pkg/riffloom.js").PracticeView} PracticeView */
/** @typedef {import("../pkg/riffloom.js").DrillView} DrillView */
/** @typedef {import("../pkg/riffloom.js").DrillTurnView} DrillTurnView */

/** @param {Session} session */
export function mountDrill(session) {
  const [root, form] = [byId("after"), byId("form")];
  const name = element("h2", {});
  const line = element("p", {});
  const whose = element("p", { class: "whose" });
  const said = element("p", { class: "said-line" });
  const reveal = button("Show the notes", () => show(!shown), { class: "quiet", "aria-pressed": "false" });
  const notes = element("p", { class: "revealed" });
  const places = element("div", { class: "places", role: "group", "aria-label": "Which bar is it?", hidden: true });
  const elsewhere = button("Begin somewhere else", () => session.practise(), { class: "quiet" });
  const card = element(
    "section",
    { class: "card drill", "aria-label": "The drill", hidden: true },
    name,
    line,
    whose,
    said,
    element("div", { class: "row" }, reveal, elsewhere),
    notes,
  );
  root.prepend(card);
  form.after(places);
  /** @type {DrillView | undefined} */
  let drill;
  /** @type {DrillTurnView | undefined} */
  let turn;
  let number = 0;
  let shown = false;
  let following = false;

  session.addEventListener("practice", (event) =>
    update(/** @type {CustomEvent<PracticeView>} */ (event).detail.drill),
  );
  session.addEventListener("gone", () => {
    update(session.place === "practice" ? session.practice?.drill : undefined);
  });
  // Bars that were drawn anew have lost their marks.
  session.addEventListener("drawn", () => turn && mark(turn));

  /** @param {DrillView | undefined} view */
  function update(view) {
    if (view?.name !== drill?.name) show(false);
    const begins = view?.going && !drill?.going;
    drill = view;
    card.hidden = !drill;
    document.body.classList.toggle("drilling", drill !== undefined);
    // An echo stays on the first line: the next chord never comes.
    document.body.classList.toggle("staying", Boolean(drill?.canReveal));
    write(name, drill?.name ?? "");
    write(line, drill?.line ?? "");
    write(said, drill?.said ?? "");
    if (drill && drill.number > number && drill.said) say(drill.said);
    number = drill?.number ?? 0;
    reveal.hidden = !drill?.canReveal;
    elsewhere.hidden = places.hidden = !drill?.places;
    form.hidden = Boolean(drill?.places);
    // The keys have nothing to say about where the band is: the hands go to the bars.
    document.body.classList.toggle("finding", Boolean(drill?.places));
    if (places.children.length !== (drill?.places ?? 0)) {
      places.replaceChildren(
        ...Array.from({ length: drill?.places ?? 0 }, (_, bar) =>
          button(String(bar + 1), () => {}, {
            class: "quiet place",
            "aria-label": `Bar ${bar + 1}`,
            "data-bar-guess": bar,
            tabindex: bar === 0 ? 0 : -1,
          }),
        ),
      );
    }
    if (begins && !places.hidden) places.querySelector("button")?.focus({ preventScroll: true });
    if (drill?.going && !following) requestAnimationFrame(follow);
    if (!drill?.going) take(undefined);
  }

  // The moment of the press counts, not the one at which it is handled.
  for (const type of /** @type {const} */ (["pointerdown", "click"])) {
    places.addEventListener(type, (event) => {
      const pressed = event.target instanceof Element ? event.target.closest("[data-bar-guess]") : null;
      // A click that follows a press was counted; one of a keyboard or a screen reader was not.
      if (!(pressed instanceof HTMLElement) || (type === "click" && event.detail !== 0)) return;
      session.guess(Number(pressed.dataset.barGuess), event.timeStamp);
    });
  }

  // One stop for Tab, as the form has it, and arrows from bar to bar.
  places.addEventListener("keydown", (event) => {
    const step = { ArrowRight: 1, ArrowLeft: -1, ArrowDown: 4, ArrowUp: -4 }[event.key];
    if (step === undefined || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    const bars = [...places.querySelectorAll("button")];
    const here = bars.findIndex((bar) => bar === document.activeElement);
    bars[Math.min(Math.max(here + step, 0), bars.length - 1)]?.focus();
  });
  places.addEventListener("focusin", (event) => {
    for (const bar of places.querySelectorAll("button")) bar.tabIndex = bar === event.target ? 0 : -1;
  });

  /** Follows what is heard: no call into the core. */
  function follow() {
    following = Boolean(drill?.going && session.playing);
    if (!following) return take(undefined);
    const heard = session.heardNow();
    const now = drill?.turns.findLast(({ at }) => at <= heard);
    if (now?.at !== turn?.at) take(now);
    requestAnimationFrame(follow);
  }

  /** @param {DrillTurnView | undefined} now */
  function take(now) {
    turn = now;
    write(whose, now?.text ?? (drill?.going ? "Ready…" : ""));
    card.dataset.who = now?.who ?? "";
    show(false);
    if (now?.aloud) say(now.text);
    mark(now);
  }

  /** @param {boolean} on */
  function show(on) {
    shown = on;
    reveal.setAttribute("aria-pressed", String(on));
    write(notes, on ? (turn?.notes ?? "") : "");
  }

  /** @param {DrillTurnView | undefined} now */
  function mark(now) {
    for (const old of form.querySelectorAll("[data-side]")) if (old instanceof HTMLElement) delete old.dataset.side;
    for (const old of form.querySelectorAll(".side")) old.remove();
    if (!now || drill?.places) return;
    for (const { who, bars, round } of drill?.turns ?? []) {
      if (round !== now.round || !who) continue;
      for (const [index, bar] of bars.entries()) {
        const drawn = form.querySelector(`[data-bar="${bar}"]`);
        if (!(drawn instanceof HTMLElement)) continue;
        drawn.dataset.side = who;
        if (index === 0) drawn.append(element("span", { class: "side" }, who));
      }
    }
  }
}
