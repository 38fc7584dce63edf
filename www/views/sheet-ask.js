// What other parts of the page ask of the sheets, whose room comes when it is wanted.

/** @typedef {import("../session.js").Session} Session */
/** A page to be printed as it is, or a kind of sheet to be asked for. @typedef {{ title: string, content: Node[] } | { kind: string }} Asked */

/** What is asked for until the sheets take it up. @type {Asked | undefined} */
let asked;

/** Takes up what was asked for: it is told once. */
export function takeAsked() {
  const taken = asked;
  asked = undefined;
  return taken;
}

/** @param {Session} session @param {Asked} what */
function ask(session, what) {
  asked = what;
  session.dispatchEvent(new CustomEvent("ask", { detail: "staff" }));
}

/** Prints a page. @param {Session} session @param {string} title @param {Node[]} content */
export const printPaper = (session, title, content) => ask(session, { title, content });

/** Asks how the parts for a band are to be printed. @param {Session} session */
export const showBandParts = (session) => ask(session, { kind: "band" });
