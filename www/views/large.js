// The large view: the form and one riff, to be read from the back of a room. One key or one button opens and leaves it.
import { isOn as wished } from "../wishes.js";
import { button, byId, element, say } from "./dom.js";
import { go } from "./tabs.js";

/** Opens and leaves the view. */
const KEY = "0";
/** Hides and shows the names of notes. */
const NAMES = "9";

/** @param {import("../session.js").Session} session */
export function mountLarge(session) {
  const opener = byId("large");
  const names = button("Hide names", () => hideNames(), { class: "quiet", "aria-pressed": "false", title: `Key ${NAMES}` });
  const leave = button("Leave", () => turn(false), { class: "quiet", title: `Key ${KEY}` });
  const bar = element("span", { class: "large-bar", role: "group", "aria-label": "The large view", hidden: true }, names, leave);
  byId("hold").before(bar);
  const isOn = () => document.body.classList.contains("large");

  /** @param {boolean} on */
  function turn(on) {
    // A narrow window has no room for it, and no button.
    if (on && opener.offsetParent === null) return;
    const { tab = "riff" } = document.body.dataset;
    if (on && !["riff", "practice", "play"].includes(tab)) go(session, "riff");
    document.body.classList.toggle("large", on);
    document.body.classList.remove("nameless");
    names.setAttribute("aria-pressed", "false");
    opener.setAttribute("aria-pressed", String(on));
    bar.hidden = !on;
    (on ? byId("play") : opener).focus({ preventScroll: true });
    say(on ? "Large view. Key 0 leaves it." : "");
    scrollTo(0, 0);
  }

  function hideNames() {
    names.setAttribute("aria-pressed", String(document.body.classList.toggle("nameless")));
  }

  opener.addEventListener("click", () => turn(!isOn()));
  document.addEventListener("keydown", (event) => {
    // The switch that turns letters off turns these off, too.
    if (!wished("letters") || event.repeat || event.ctrlKey || event.metaKey || event.altKey) return;
    if (event.target instanceof Element && event.target.closest("input, select, textarea")) return;
    if (event.key === KEY) turn(!isOn());
    else if (event.key === NAMES && isOn()) hideNames();
    else return;
    event.preventDefault();
  });
}
