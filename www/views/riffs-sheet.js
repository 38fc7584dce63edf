// Riffs of the notebook on paper, one after the other.
import { element } from "./dom.js";
import { PAGE_WIDTH, hold, onPaper, paper, together } from "./paper.js";
import { still } from "./still.js";
import { kept } from "./under.js";

/** @typedef {import("../pkg/riffloom.js").LessonRiffView} LessonRiffView */

/**
 * @param {import("../session.js").Session} session
 * @param {string[]} ids
 */
export function printRiffs(session, ids) {
  const under = kept() || "names";
  const riffs = ids.flatMap((id) => {
    const riff = /** @type {LessonRiffView | undefined} */ (session.app.riffOnPaper(id, "own", under));
    return riff ? [riff] : [];
  });
  const made = riffs.map(({ name, staff, strip }) =>
    together(
      element("h2", {}, name),
      element("p", {}, [staff.writtenFor, staff.underNote, staff.underSource, staff.note].filter(Boolean).join(" ")),
      ...onPaper(staff, { width: PAGE_WIDTH, under }),
      ...(strip ? [still(strip, name)] : []),
    ),
  );
  const done = () => {
    document.body.classList.remove("printing");
    paper().replaceChildren();
    hold(false);
    removeEventListener("afterprint", done);
  };
  hold(true);
  paper().replaceChildren(...made);
  document.body.classList.add("printing");
  addEventListener("afterprint", done);
  window.print();
}
