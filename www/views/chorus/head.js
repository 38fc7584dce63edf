// The head of the chorus: which one, its name, its times, what is looped, and what is done to all of it.
import { freshId } from "../../ids.js";
import { button, element, write } from "../dom.js";
import { opener } from "../panel.js";
import { goToPractise, takeUp } from "../tabs.js";

/** @typedef {import("../../pkg/riffloom.js").ChorusView} ChorusView */

/**
 * @param {import("../../session.js").Session} session
 * @param {HTMLElement} root
 */
export function mountHead(session, root) {
  const view = () => /** @type {ChorusView} */ (session.screen.chorus);
  const summary = element("p", { class: "hint summary" });

  const which = opener("Choruses", "tool which", {
    root: "phrase which-phrase",
    fill(panel) {
      const name = element("input", {
        type: "text",
        maxlength: 60,
        value: view().name,
        placeholder: view().title,
        "aria-label": "Name of the chorus",
        autocomplete: "off",
      });
      name.addEventListener("change", () => session.do({ do: "rename-chorus", id: view().id, name: name.value }));
      const kept = view().choruses.map((each) =>
        choice(
          each.text,
          each.chosen,
          () => {
            session.do({ do: "pick-chorus", id: each.value });
            which.close();
          },
          each.hint,
        ),
      );
      const act = (/** @type {string} */ text, /** @type {() => void} */ does) =>
        button(
          text,
          () => {
            does();
            which.close();
          },
          { class: "quiet" },
        );
      const own = view().id
        ? [
            element("h2", {}, "This chorus"),
            name,
            element(
              "div",
              { class: "row" },
              act("Duplicate", () => session.do({ do: "duplicate-chorus", id: view().id, copy: freshId() })),
              act("Delete", () => session.do({ do: "delete-chorus", id: view().id })),
            ),
            element("h2", {}, "All choruses"),
          ]
        : [];
      panel.replaceChildren(
        ...own,
        ...kept,
        act("New chorus", () => session.do({ do: "new-chorus", id: freshId() })),
      );
    },
  });

  const fewer = button("−", () => session.do({ do: "set-chorus-times", times: view().times - 1 }), {
    class: "small",
    "aria-label": "Once less through the form",
  });
  const more = button("+", () => session.do({ do: "set-chorus-times", times: view().times + 1 }), {
    class: "small",
    "aria-label": "Once more through the form",
  });
  const times = element("span", { class: "times-text" });
  const before = button("‹", () => show(-1), { class: "small", "aria-label": "The time before" });
  const after = button("›", () => show(1), { class: "small", "aria-label": "The next time" });

  const looped = opener("What is looped", "tool looped", {
    root: "phrase looped-phrase",
    fill(panel) {
      panel.replaceChildren(
        element("h2", {}, "Loop"),
        ...view().loops.map((each) =>
          choice(each.text, each.chosen, () => {
            const [from, to] = each.value.split("-").map(Number);
            session.do(
              each.value ? { do: "loop-chorus", bars: [from ?? 0, to ?? 0] } : { do: "loop-chorus", bars: undefined },
            );
            looped.close();
          }),
        ),
      );
    },
  });

  const copy = opener("Copy a line", "tool copy", {
    root: "phrase copy-phrase",
    fill(panel) {
      const lines = view().lines;
      const from = lines.findIndex((line) => line.first <= view().bar && view().bar < line.first + line.bars.length);
      panel.replaceChildren(
        element("h2", {}, `Copy ${lines[from]?.label ?? ""} to`),
        ...lines.flatMap((line, to) =>
          to === from
            ? []
            : [
                choice(line.label, false, () => {
                  session.do({ do: "copy-line", from, to });
                  copy.close();
                }),
              ],
        ),
      );
    },
  });
  copy.button.textContent = "Copy a line";

  const clear = button("Clear", () => session.do({ do: "clear-chorus" }), { class: "tool" });
  const suggest = button("Suggest a chorus", () => session.do({ do: "suggest-chorus" }), { class: "tool strong" });
  const practise = button("Practise it", () => goToPractise(session, takeUp(view().subject)), { class: "tool" });
  // On a phone the rest of the tools stand behind a word.
  const rest = button("More", () => unfold(!root.classList.contains("unfolded")), {
    class: "tool rest",
    "aria-expanded": "false",
  });
  /** @param {boolean} isOpen */
  function unfold(isOpen) {
    root.classList.toggle("unfolded", isOpen);
    rest.setAttribute("aria-expanded", String(isOpen));
  }
  root.append(
    which.root,
    summary,
    element(
      "span",
      { class: "group times", role: "group", "aria-label": "Times through the form" },
      before,
      times,
      after,
      fewer,
      more,
    ),
    element("span", { class: "group" }, looped.root, copy.root, clear, practise, suggest, rest),
  );

  let time = 0;
  /** @param {number} by */
  function show(by) {
    session.do({ do: "choose-chorus-bar", bar: (time + by) * view().bars });
  }

  return (/** @type {ChorusView} */ chorus, /** @type {number} */ shown) => {
    time = shown;
    which.button.textContent = chorus.title;
    write(summary, chorus.trying || chorus.summary);
    summary.classList.toggle("trying", chorus.trying !== "");
    times.textContent = chorus.times === 1 ? "once through" : `time ${time + 1} of ${chorus.times}`;
    before.hidden = after.hidden = chorus.times === 1;
    before.disabled = time === 0;
    after.disabled = time + 1 >= chorus.times;
    fewer.disabled = chorus.times <= 1;
    more.disabled = chorus.times >= chorus.mostTimes;
    looped.button.textContent = `Loop: ${chorus.loopText}`;
    clear.disabled = copy.button.disabled = practise.disabled = chorus.summary === "";
    suggest.disabled = chorus.riffs.length === 0 && chorus.find === "";
  };
}

/**
 * @param {string} text
 * @param {boolean} chosen
 * @param {() => void} act
 * @param {string} [hint]
 */
function choice(text, chosen, act, hint = "") {
  const made = button("", act, { class: "choice", "aria-pressed": String(chosen) });
  made.append(element("b", {}, text), ...(hint ? [element("small", {}, hint)] : []));
  return made;
}
