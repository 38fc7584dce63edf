// The tabs: one thing on the screen at a time.
import { byId } from "./dom.js";

/** @param {import("../session.js").Session} session */
export function mountTabs(session) {
  for (const tab of document.querySelectorAll("[data-go]")) {
    tab.addEventListener("click", () => {
      if (tab instanceof HTMLElement) go(session, tab.dataset.go ?? "riff");
      session.stop();
    });
  }
  // The browser's way back leads to the part that was shown before, and not off the page.
  addEventListener("popstate", ({ state }) => {
    const place = state?.place ?? "riff";
    if (place === session.place) return;
    show(session, place);
    session.stop();
  });
}

/**
 * Shows a part of the page; the core sends what it shows.
 * @param {import("../session.js").Session} session
 * @param {string} place
 */
export function go(session, place) {
  if (place !== session.place) history.pushState({ place }, "");
  show(session, place);
}

/**
 * @param {import("../session.js").Session} session
 * @param {string} place
 */
function show(session, place) {
  // Another part of the page begins at its head.
  if (place !== session.place) scrollTo(0, 0);
  session.place = document.body.dataset.tab = place;
  byId("notebook").hidden = place !== "notebook";
  byId("choruses").hidden = place !== "notebook";
  byId("chorus").hidden = place !== "chorus";
  byId("desk").hidden = place === "notebook" || place === "chorus";
  for (const each of document.querySelectorAll("[data-go]")) {
    if (each instanceof HTMLElement && each.dataset.go === place) each.setAttribute("aria-current", "page");
    else each.removeAttribute("aria-current");
  }
  session.do({ do: "go", place });
  session.dispatchEvent(new CustomEvent("gone"));
}

/**
 * Goes to practise what a command takes up; what plays stops, as it does at a tab.
 * @param {import("../session.js").Session} session
 * @param {import("../session.js").Command} command
 */
export function goToPractise(session, command) {
  session.do(command);
  go(session, "practice");
  session.stop();
}

/**
 * The command that takes up a riff or a chorus as it is set to be practised.
 * @param {string} subject its id
 * @returns {import("../session.js").Command}
 */
export const takeUp = (subject) => ({ do: "set-practice", what: "subject", value: subject });
