// Help: the two ways past the head of the page, the panel, and the switches of this device.
import { isOn, setWish } from "../wishes.js";
import { button, byId, element } from "./dom.js";
import { attachPanel } from "./panel.js";
import { go } from "./tabs.js";
import { newRiff } from "./tools.js";

/** @typedef {import("../session.js").Session} Session */

/**
 * @param {Session} session
 * @param {import("../places.js").Places} places
 */
export function mountHelp(session, places) {
  const panel = byId("help-panel");
  // What is long to read comes with its own room.
  attachPanel(byId("help"), panel, () => void places.come("help"));
  const switches = element(
    "div",
    { class: "wishes", role: "group", "aria-label": "On this device" },
    wish(session, "letters", "Letters play notes", "off: letters of a computer keyboard do nothing"),
    wish(session, "say-chords", "Say each new chord", "for a screen reader, while the band plays"),
  );
  const again = button("Show “Your first minute” again", () => session.dispatchEvent(new CustomEvent("first-minute")), {
    class: "quiet",
  });
  byId("help-switches").append(switches, element("div", { class: "row" }, again));
  // The large view comes while nobody waits for it; a press before that waits for it.
  byId("large").addEventListener("click", async () => {
    if (places.isHere("large")) return;
    if (await places.come("large")) byId("large").click();
  });
  byId("skip-to-keys").addEventListener("click", (event) => {
    event.preventDefault();
    const key = document.querySelector('#keyboard .key[tabindex="0"]');
    if (key instanceof HTMLElement) key.focus();
  });
  byId("skip-to-write").addEventListener("click", () => {
    if (session.place !== "riff") go(session, "riff");
    newRiff(session);
  });
}

/**
 * @param {Session} session
 * @param {import("../wishes.js").Wish} of
 * @param {string} text
 * @param {string} hint
 */
function wish(session, of, text, hint) {
  const made = element(
    "button",
    { type: "button", class: "choice switch", role: "switch", "aria-checked": String(isOn(of)) },
    element("b", {}, text),
    element("small", {}, hint),
  );
  made.addEventListener("click", () => {
    setWish(of, !isOn(of));
    made.setAttribute("aria-checked", String(isOn(of)));
    session.dispatchEvent(new CustomEvent("wish", { detail: of }));
  });
  return made;
}
