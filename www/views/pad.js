// A large pad for rhythm alone and for tapping along: any finger, any key.
import { byId, element, write } from "./dom.js";

/** Keys that lead elsewhere. */
const NOT_TAPS = new Set(["Tab", "Escape", "Shift", "Control", "Alt", "Meta", "CapsLock"]);
/** How long the pad looks pressed, in milliseconds. */
const PRESSED = 120;

/** @param {import("../session.js").Session} session */
export function mountPad(session) {
  const pad = tapPad((timeStamp) => session.heard(-1, timeStamp));
  // For the eye alone: a screen reader would speak into the clicks, and is told at the end.
  const progress = element("span", { class: "tapped", "aria-hidden": "true", hidden: true });
  pad.append(progress);
  byId("pad").append(pad);
  session.addEventListener("practice", (event) => {
    const { delay } = /** @type {import("../pkg/riffloom.js").PracticeView} */ (
      /** @type {CustomEvent} */ (event).detail
    );
    progress.hidden = delay.progress === "";
    write(progress, delay.progress);
  });
}

/**
 * A pad to be tapped.
 * @param {(timeStamp: number) => void} tapped is told when, in milliseconds, by the event's own time
 */
export function tapPad(tapped) {
  const pad = element(
    "button",
    { type: "button", class: "tap-pad" },
    element("b", {}, "Tap here"),
    element("small", {}, "or press any letter, or Space"),
  );
  /** @type {ReturnType<typeof setTimeout>} */
  let timer;
  const tap = (/** @type {number} */ timeStamp) => {
    tapped(timeStamp);
    pad.classList.add("down");
    clearTimeout(timer);
    timer = setTimeout(() => pad.classList.remove("down"), PRESSED);
  };
  pad.addEventListener("pointerdown", (event) => event.button === 0 && tap(event.timeStamp));
  pad.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || NOT_TAPS.has(event.key)) return;
    // Also keeps Space and Enter from clicking.
    event.preventDefault();
    if (!event.repeat) tap(event.timeStamp);
  });
  pad.addEventListener("keyup", (event) => event.key === " " && event.preventDefault());
  // A screen reader's click comes without a pointer and without a key.
  pad.addEventListener("click", (event) => event.detail === 0 && tap(event.timeStamp));
  return pad;
}
