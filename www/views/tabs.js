// The tabs: one thing on the screen at a time.
import { byId } from "./dom.js";

/** @param {import("../session.js").Session} session */
export function mountTabs(session) {
  for (const tab of document.querySelectorAll("[data-go]")) {
    tab.addEventListener("click", () => {
      if (tab instanceof HTMLElement) go(tab.dataset.go ?? "riff");
      session.stop();
    });
  }
}

/** @type {(() => void)[]} */
const listeners = [];

/**
 * Calls `act` whenever another tab is shown.
 * @param {() => void} act
 */
export function onGo(act) {
  listeners.push(act);
}

/** @param {string} tab */
export function go(tab) {
  document.body.dataset.tab = tab;
  byId("notebook").hidden = tab !== "notebook";
  byId("desk").hidden = tab === "notebook";
  for (const each of document.querySelectorAll("[data-go]")) {
    if (each instanceof HTMLElement && each.dataset.go === tab) each.setAttribute("aria-current", "page");
    else each.removeAttribute("aria-current");
  }
  for (const act of listeners) act();
}
