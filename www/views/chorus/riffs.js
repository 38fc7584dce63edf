// The notebook beside the chorus: riffs as the cloth that they become in the lines, to be put in.
import { riffCloth } from "../cloth.js";
import { button, element } from "../dom.js";
import { attachRiffDrag } from "./drag.js";

/** @typedef {import("../../pkg/riffloom.js").ChorusView} ChorusView */

/**
 * @param {import("../../session.js").Session} session
 * @param {HTMLElement} root
 */
export function mountRiffs(session, root) {
  const find = element("input", {
    type: "text",
    placeholder: "Find by name or length",
    "aria-label": "Find riffs by name or length",
    autocomplete: "off",
  });
  find.addEventListener("input", () => session.do({ do: "find-riffs", text: find.value }));
  const text = element("span", { class: "hint", role: "status" });
  const target = element("p", { class: "hint target" });
  const list = element("ul", { class: "riff-list" });
  root.append(element("div", { class: "row riffs-head" }, element("h2", {}, "Your riffs"), find, text), target, list);
  let drawn = "";

  return (/** @type {ChorusView} */ chorus) => {
    find.hidden = text.hidden = chorus.riffs.length < 5 && chorus.find === "";
    text.textContent = chorus.riffsText;
    target.textContent = chorus.ask.open
      ? "Suggestions are made from the ones that are ticked."
      : `The next one goes into ${chorus.barText}. Or drag it.`;
    target.hidden = chorus.riffs.length === 0;
    const now = JSON.stringify([chorus.riffs, chorus.ask.open]);
    if (now === drawn) return;
    drawn = now;
    const focused = list.contains(document.activeElement)
      ? document.activeElement?.closest("[data-riff]")?.getAttribute("data-riff")
      : undefined;
    list.replaceChildren(...chorus.riffs.map((riff) => card(riff, chorus.ask.open)));
    if (focused)
      /** @type {HTMLElement | null} */ (
        list.querySelector(`[data-riff="${focused}"] button, [data-riff="${focused}"] input`)
      )?.focus();
  };

  /**
   * @param {import("../../pkg/riffloom.js").ChorusRiffView} riff
   * @param {boolean} asking
   */
  function card(riff, asking) {
    const picture = element(
      "span",
      { class: `picture dye-${riff.dye}`, "aria-hidden": "true" },
      riffCloth(riff.marks, riff.beats),
    );
    attachRiffDrag(session, picture, riff);
    const put = button(
      "Put it here",
      () => session.do({ do: "place-riff", id: riff.id, bar: session.screen.chorus?.bar ?? 0, halfBeats: 0 }),
      { class: "tool put", "aria-label": riff.putText },
    );
    const tick = element("input", { type: "checkbox", checked: riff.asked });
    tick.addEventListener("change", () => session.do({ do: "ask-riff", id: riff.id, on: tick.checked }));
    const use = element(
      "label",
      { class: "use" },
      tick,
      element("span", {}, "use", element("span", { class: "unseen" }, ` ${riff.name}`)),
    );
    return element(
      "li",
      { class: "riff-card", "data-riff": riff.id },
      element("b", { class: "riff-title" }, riff.name),
      picture,
      element("small", {}, riff.summary),
      asking ? use : put,
    );
  }
}
