// What a link holds, before anything of it is added.
import { styled } from "../places.js";
import { riffCloth } from "./cloth.js";
import { button, element } from "./dom.js";

/** @typedef {import("../pkg/riffloom.js").OpenedView} OpenedView */

/**
 * Shows what a link holds, and gives whether a person wants it. What does not read is told by whoever opens it, and what
 * is for a class is looked at there.
 * @param {import("../session.js").Session} session
 * @param {string} text
 */
export async function isWanted(session, text) {
  if (!(await session.opened("files", "chorus", "class"))) return true;
  const seen = session.inClass({ do: "look-at", text })?.seen;
  // Where all of it is here already nothing is added.
  if (!seen || seen.forClass || seen.here) return true;
  await styled("link-seen").catch(() => {});
  return asked(seen);
}

/** @param {OpenedView} seen @returns {Promise<boolean>} */
function asked({ title, ground, lines, riffs, take }) {
  return new Promise((answer) => {
    const close = (/** @type {boolean} */ wanted) => {
      answer(wanted);
      dialog.remove();
    };
    const yes = button(take, () => close(true), { class: "quiet strong" });
    const dialog = element(
      "dialog",
      { class: "link-seen", "aria-labelledby": "link-seen-title" },
      element("h2", { id: "link-seen-title" }, `A link: ${title}`),
      element("p", { class: "ground" }, ground),
      ...riffs.map(({ name, notes, beats }) =>
        element("figure", {}, ...(name === title ? [] : [element("figcaption", {}, name)]), riffCloth(notes, beats)),
      ),
      ...lines.map((line) => element("p", {}, line)),
      element(
        "div",
        { class: "row" },
        yes,
        button("Not now", () => close(false), { class: "quiet" }),
      ),
    );
    dialog.addEventListener("cancel", () => close(false));
    document.body.append(dialog);
    dialog.showModal();
    yes.focus();
  });
}
