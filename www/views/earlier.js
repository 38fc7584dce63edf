// In the notebook: how a riff was before, what was changed then, and the way back.
import { Heard } from "../session.js";
import { riffCloth } from "./cloth.js";
import { button, byId, element } from "./dom.js";

/** @typedef {import("../pkg/riffloom.js").VersionsView} VersionsView */
/** @typedef {import("../pkg/riffloom.js").VersionView} VersionView */

/** @param {import("../session.js").Session} session */
export function mountEarlier(session) {
  const root = element("section", { class: "look-back earlier", tabindex: -1, hidden: true });
  byId("notebook").querySelector(".folds")?.after(root);
  /** Whose versions are shown. */
  let id = "";
  /** What is shown, as text. */
  let shown = "";
  /** @type {Element | null} */
  let opener = null;
  session.addEventListener("earlier", (event) => {
    [id, shown, opener] = [/** @type {CustomEvent<string>} */ (event).detail, "", document.activeElement];
    root.hidden = false;
    draw();
    root.focus();
  });
  session.addEventListener("gone", () => (root.hidden = true));
  session.addEventListener("drawn", draw);
  root.addEventListener("keydown", (event) => {
    if (event.key !== "Escape") return;
    event.preventDefault();
    close();
  });

  function close() {
    root.hidden = true;
    if (opener instanceof HTMLElement && opener.isConnected) opener.focus();
  }

  function draw() {
    if (root.hidden) return;
    /** @type {VersionsView} */
    const view = session.app.shelf("versions", id, 0);
    const text = JSON.stringify(view);
    if (text === shown) return;
    shown = text;
    // Of a riff that is gone there is nothing to tell.
    root.hidden = view.title === "";
    const had = root.contains(document.activeElement);
    root.setAttribute("aria-label", view.title);
    root.replaceChildren(
      element(
        "div",
        { class: "row head" },
        element("h3", {}, view.title),
        button("Hear it as it is now", hearNow, { class: "quiet" }),
        button("Close", close, { class: "quiet" }),
      ),
      element("p", { class: "hint" }, view.note),
      element("ol", {}, ...view.versions.map(row)),
    );
    if (had) root.focus();
  }

  function hearNow() {
    session.do({ do: "pick-riff", id });
    session.play(Heard.Riff);
  }

  /** @param {VersionView} each */
  function row({ version, until, summary, changed, marks, beats }) {
    const hear = () => session.hear(() => session.app.shelf("hear", id, version));
    /** @type {import("../pkg/riffloom.js").NotebookCommand} */
    const back = { "take-back": { id, version } };
    return element(
      "li",
      {},
      riffCloth(marks, beats),
      element(
        "div",
        {},
        element("b", {}, until),
        element("p", { class: "hint" }, summary),
        element("p", {}, `Then: ${changed.join(" ")}`),
        element(
          "div",
          { class: "row" },
          button("Hear it", hear, { class: "quiet", "aria-label": `Hear it: ${until}` }),
          button("Take this one back", () => session.do({ do: "notebook", does: JSON.stringify(back) }), {
            class: "quiet",
            "aria-label": `Take this one back: ${until}`,
          }),
        ),
      ),
    );
  }
}
