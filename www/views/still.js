// A strip to be read and not changed.
import { element, place } from "./dom.js";
import { beatElement, giveRoom, joining, tokenElement } from "./strip.js";

/** @typedef {import("../pkg/riffloom.js").PhraseView} PhraseView */
/** @typedef {Pick<PhraseView, "beats" | "tokens" | "endsAt"> & { spot?: number }} Drawn */

/**
 * A strip to be read and not changed.
 * @param {Drawn} drawn
 * @param {string} title
 */
export function still({ beats, tokens, endsAt, spot }, title) {
  const joins = joining();
  joins.draw(tokens);
  const fray = element("div", { class: "fray-end" });
  place(fray, { at: endsAt });
  const notes = tokens.map((token) => {
    const made = tokenElement(token);
    for (const name of ["id", "role", "aria-selected", "aria-label"]) made.removeAttribute(name);
    return made;
  });
  const label = tokens.length > 0 ? tokens.map((token) => token.label).join("; ") : "No notes yet";
  const made = element(
    "div",
    { class: "strip still", role: "img", "aria-label": `${title}: ${label}` },
    element("div", { class: "beats-row" }, ...beats.map(beatElement)),
    joins.picture,
    fray,
    element("div", { class: "notes" }, ...notes),
  );
  place(made, { beats: beats.length });
  giveRoom(made, tokens);
  // Riffs of a chorus have no thread: each is drawn in bars of its own.
  if (spot === undefined) made.append(element("div", { class: "own-notes" }), element("span", { class: "thread" }));
  else made.dataset.spot = String(spot);
  return made;
}
