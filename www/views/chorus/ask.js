// Suggestions: what they are asked for with, the best ten, and why each. They are looked for in a worker.
import { building } from "../../rooms.js";
import { Heard } from "../../session.js";
import { startWorker } from "../../where.js";
import { button, element, place, say } from "../dom.js";

/** @typedef {import("../../pkg/riffloom.js").AskView} AskView */
/** @typedef {import("../../pkg/riffloom.js").ChoiceView} ChoiceView */

/**
 * @param {import("../../session.js").Session} session
 * @param {HTMLElement} root
 */
export function mountAsk(session, root) {
  const adventures = element("span", { class: "group", role: "group", "aria-label": "How adventurous" });
  const rooms = element("span", { class: "group", role: "group", "aria-label": "How much space" });
  const ask = button("Ask again", () => session.do({ do: "suggest-chorus" }), { class: "tool" });
  const close = button("×", () => session.do({ do: "ask-for-chorus", on: false }), {
    class: "tool",
    "aria-label": "Close",
  });
  const stays = element("span", { class: "hint" });
  const stop = button("Stop looking", () => session.do({ do: "stop-looking" }), { class: "tool" });
  const busy = element(
    "div",
    { class: "row looking", role: "status" },
    element("span", {}, "Looking for choruses"),
    element("progress", { "aria-label": "Looking for choruses" }),
    stop,
  );
  const looked = element("p", { class: "hint" });
  const ideas = element("div", { class: "ideas", role: "group", "aria-label": "Ideas, best first" });
  const title = element("h3", {});
  const reasons = element("div", { class: "reasons", role: "status" });
  const hear = button("Hear it", () => (session.playing ? session.stop() : session.play(Heard.Chorus)), {
    class: "tool",
  });
  const take = button("Take it", () => shown !== undefined && session.do({ do: "take-suggestion", index: shown }), {
    class: "tool strong",
  });
  const mine = button("Back to mine", () => session.do({ do: "show-suggestion", index: undefined }), {
    class: "tool",
    "aria-label": "Back to mine: my chorus as it is",
  });
  const head = element("div", { class: "row idea-head" }, title, mine, hear, take);
  session.addEventListener("playing", () => (hear.textContent = session.playing ? "Stop" : "Hear it"));
  root.append(
    element(
      "div",
      { class: "row ask-head" },
      element("h2", {}, "Ideas"),
      element("span", { class: "ask-group" }, "Surprises", adventures),
      element("span", { class: "ask-group" }, "Space", rooms),
      ask,
      close,
      stays,
    ),
    busy,
    ideas,
    looked,
    head,
    reasons,
  );

  /** The question that is being looked into, from 1; 0 while none is. */
  let number = 0;
  /** @type {Worker | null} */
  let worker = null;
  /** @type {number | undefined} */
  let shown;
  let drawn = "";

  return (/** @type {AskView} */ view) => {
    const hadFocus = root.contains(document.activeElement);
    const waited = busy.contains(document.activeElement);
    const began = number === 0 && view.looking !== 0;
    const came = number !== 0 && view.looking === 0;
    look(view.looking);
    root.hidden = !view.open;
    if (!view.open) {
      shown = undefined;
      if (hadFocus)
        /** @type {HTMLElement | null} */ (document.querySelector("#chorus-lines .bar[tabindex='0']"))?.focus();
      return;
    }
    shown = view.shown ?? undefined;
    choices(adventures, view.adventures, (adventure) => session.do({ do: "set-adventure", adventure }));
    choices(rooms, view.rooms, (room) => session.do({ do: "set-room", room }));
    stays.textContent = view.staysText;
    busy.hidden = !number;
    ask.hidden = Boolean(number);
    looked.textContent = view.lookedText;
    looked.hidden = !view.lookedText || Boolean(number);
    const now = JSON.stringify(view.ideas);
    if (now !== drawn) {
      drawn = now;
      ideas.replaceChildren(...view.ideas.map((idea, index) => ideaElement(idea, index)));
    }
    [...ideas.children].forEach((each, index) => each.setAttribute("aria-pressed", String(index === shown)));
    head.hidden = reasons.hidden = view.ideas.length === 0;
    const idea = shown === undefined ? undefined : view.ideas[shown];
    title.textContent = idea ? `${idea.title}: why this one` : "";
    reasons.replaceChildren(
      ...(idea?.reasons ?? ["Your own chorus is on the lines. Choose an idea to look at it there."]).map((text) =>
        element("p", {}, text),
      ),
    );
    hear.disabled = take.disabled = !idea;
    mine.disabled = !idea;
    const chosen = /** @type {HTMLElement | null} */ (ideas.querySelector("[aria-pressed=true]"));
    // The lines stay in sight: they show the idea.
    if (began) stop.focus({ preventScroll: true });
    if (came && waited) (chosen ?? ask).focus({ preventScroll: true });
    if (came && chosen) say(`${view.ideas.length} ideas, best first`);
  };

  /**
   * Looks into another question, or into none; what was being looked for is not wanted any more.
   * @param {number} next
   */
  function look(next) {
    if (next === number) return;
    number = next;
    worker?.terminate();
    worker = null;
    if (!next) return;
    worker = startWorker("workers/suggester.js");
    const answered = (/** @type {string[]} */ answer) => session.takeIn(session.app.takeAnswer(next, answer));
    worker.addEventListener("message", ({ data }) => answered(data));
    worker.addEventListener("error", () => answered(["Nothing was found. Choose fewer riffs and ask again."]));
    const [looking, question] = [worker, session.app.question()];
    building(session.core, ["chorus"]).then(
      (sent) => looking.postMessage({ building: sent, question }),
      () => answered(["A part of the page did not come. Look at your connection, then ask again."]),
    );
  }

  /**
   * @param {import("../../pkg/riffloom.js").SuggestedView} idea
   * @param {number} index
   */
  function ideaElement(idea, index) {
    const made = button("", () => session.do({ do: "show-suggestion", index }), {
      class: "idea",
      "aria-label": `${idea.title}. ${idea.reasons.join(" ")}`,
    });
    made.append(element("b", {}, String(index + 1)), inSmall(idea.lines));
    return made;
  }
}

/**
 * The notes of a suggestion in small, line by line.
 * @param {import("../../pkg/riffloom.js").IdeaLineView[]} lines
 */
function inSmall(lines) {
  return element(
    "span",
    { class: "cloth", "aria-hidden": "true" },
    ...lines.map((line) =>
      element(
        "span",
        {},
        ...line.notes.map(({ at, length, height, dye }) => {
          const made = element("i", { class: `dye-${dye}` });
          place(made, { at, length, height });
          return made;
        }),
      ),
    ),
  );
}

/**
 * @param {HTMLElement} root
 * @param {ChoiceView[]} list
 * @param {(value: string) => void} act
 */
function choices(root, list, act) {
  const had = root.contains(document.activeElement);
  root.replaceChildren(
    ...list.map((each) =>
      button(each.text, () => act(each.value), { class: "tool", "aria-pressed": String(each.chosen) }),
    ),
  );
  if (had) /** @type {HTMLElement | null} */ (root.querySelector("[aria-pressed=true]"))?.focus();
}
