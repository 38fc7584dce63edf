// A computer keyboard plays: its letters sound wherever the focus is, but not where a person types.
import { byId } from "./dom.js";
import { isOn } from "../wishes.js";

/** @typedef {import("../session.js").Session} Session */
/** @typedef {import("../pkg/riffloom.js").LetterView} LetterView */

/** What is printed on keys whose codes are not their letters, on most keyboards. @type {Record<string, string>} */
const SIGNS = { Semicolon: ";", Quote: "'", BracketLeft: "[", BracketRight: "]", Comma: ",", Period: ".", Slash: "/" };
/** Where a person types or chooses by letters. */
const TYPED = "input:not([type=range], [type=checkbox], [type=radio]), textarea, select, [contenteditable]";

/**
 * @param {Session} session
 * @param {object} ways
 * @param {() => LetterView[]} ways.letters what plays what, now
 * @param {(code: string, midi: number, timeStamp: number) => void} ways.press
 * @param {(code: string, timeStamp: number) => void} ways.release
 */
export function mountLetters(session, { letters, press, release }) {
  const root = byId("keyboard");
  /** What this keyboard has printed on its keys, where the browser tells. @type {Map<string, string>} */
  const printed = new Map();
  /** @type {any} */ (navigator).keyboard?.getLayoutMap?.().then(
    (/** @type {Map<string, string>} */ map) => {
      for (const [code, sign] of map) printed.set(code, sign);
      root.dispatchEvent(new CustomEvent("printed"));
    },
    () => {},
  );

  // Where a keyboard is likely they are written from the beginning; elsewhere, once one of its keys was pressed.
  if (matchMedia("(any-pointer: fine) and (hover: hover)").matches && navigator.maxTouchPoints === 0)
    root.classList.toggle("letters", isOn("letters"));
  // On the window, so that whoever has the focus, and every panel, comes first.
  addEventListener("keydown", (event) => {
    const typed = event.target instanceof Element && event.target.closest(TYPED);
    if (event.isComposing || typed) return;
    if (event.code !== "" && event.isTrusted) root.classList.toggle("letters", isOn("letters"));
    if (event.defaultPrevented || event.ctrlKey || event.metaKey || event.altKey || event.shiftKey || !isOn("letters"))
      return;
    // Where a rhythm is tapped there are no keys.
    if (root.hidden) return;
    const letter = letters().find(({ code }) => code === event.code);
    if (!letter) return;
    // Also keeps browsers from searching the page for what is typed.
    event.preventDefault();
    if (!event.repeat) press(event.code, letter.midi, event.timeStamp);
  });
  addEventListener("keyup", (event) => release(event.code, event.timeStamp));
  session.addEventListener("wish", () =>
    root.classList.toggle("letters", root.classList.contains("letters") && isOn("letters")),
  );

  /** What is printed on a key. @param {string} code */
  return (code) => (printed.get(code) ?? SIGNS[code] ?? code.replace(/^Key/, "")).toUpperCase();
}
