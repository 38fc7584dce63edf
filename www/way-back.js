// The steps back of this tab, which wait while the page is loaded again.

/** @typedef {import("./pkg/riffloom.js").App} App */

const WAY_BACK = "riffloom way back";

/** @param {App} app */
export function keepWayBack(app) {
  try {
    const text = app.wayBack();
    if (text !== undefined) sessionStorage.setItem(WAY_BACK, text);
  } catch {
    // Without it, a step back leads to where the page was loaded.
  }
}

/** @param {App} app */
export function takeWayBack(app) {
  try {
    const text = sessionStorage.getItem(WAY_BACK);
    if (text) app.takeWayBack(text);
  } catch {
    // As above.
  }
}
