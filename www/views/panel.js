// Panels that open under a button and close with Escape, with a tap elsewhere, or when another opens.
import { element } from "./dom.js";

/** @type {(() => void) | null} */
let closeOpen = null;

/**
 * A button with a panel under it.
 * @param {string} label of the panel
 * @param {string} look classes of the button
 * @param {object} [ways]
 * @param {string} [ways.text] on the button
 * @param {string} [ways.panel] classes of the panel beside `panel`
 * @param {string} [ways.root] classes of what holds both
 * @param {(panel: HTMLElement) => void} [ways.fill] is called before it opens
 */
export function opener(label, look, { text = "", panel: kind = "choices", root = "phrase", fill = () => {} } = {}) {
  const button = element("button", { type: "button", class: look, "aria-expanded": "false" }, text);
  const panel = element("div", { class: `panel ${kind}`, role: "group", "aria-label": label, hidden: true });
  const close = attachPanel(button, panel, () => fill(panel));
  return { root: element("span", { class: root }, button, panel), button, panel, close };
}

/**
 * Lets `opener` open and close `panel`. `fill` is called before it opens.
 * @param {HTMLElement} opener
 * @param {HTMLElement} panel
 * @param {() => void} [fill]
 */
export function attachPanel(opener, panel, fill = () => {}) {
  const close = () => {
    panel.hidden = true;
    opener.setAttribute("aria-expanded", "false");
    document.removeEventListener("pointerdown", outside, true);
    document.removeEventListener("keydown", escape);
    if (closeOpen === close) closeOpen = null;
  };
  const outside = (/** @type {Event} */ event) => {
    const target = /** @type {Node} */ (event.target);
    if (!panel.contains(target) && !opener.contains(target)) close();
  };
  // On the whole page: a panel without a control leaves the focus on its opener.
  const escape = (/** @type {KeyboardEvent} */ event) => {
    if (event.key !== "Escape") return;
    // It has done its work: nothing else stops by this press.
    event.preventDefault();
    close();
    opener.focus();
  };
  opener.addEventListener("click", () => {
    if (!panel.hidden) return close();
    closeOpen?.();
    fill();
    withClose(panel, close);
    panel.hidden = false;
    opener.setAttribute("aria-expanded", "true");
    document.addEventListener("pointerdown", outside, true);
    document.addEventListener("keydown", escape);
    closeOpen = close;
    keepInside(panel);
    // What is there to be read is read from its beginning.
    const first =
      panel.tabIndex === 0
        ? panel
        : panel.querySelector("[aria-pressed=true], [aria-checked=true], button:not(.shut), input");
    if (first instanceof HTMLElement) first.focus();
    panel.scrollIntoView({ block: "nearest" });
  });
  return close;
}

/**
 * On a phone a panel is a sheet from the foot, whose title and way out stay in sight: gives it that way out.
 * @param {HTMLElement} panel
 * @param {() => void} close
 */
export function withClose(panel, close) {
  const title = panel.querySelector(":scope > h2");
  // Some have a button of their own for every window.
  if (!title || [...panel.querySelectorAll("button")].some((each) => each.textContent === "Close")) return;
  const shut = element("button", { type: "button", class: "quiet shut" }, "Close");
  shut.addEventListener("click", close);
  title.after(shut);
}

/** How far a panel stays from the edge of the window, in CSS pixels. */
const EDGE = 8;

/**
 * Shifts a panel that would reach over the right edge of the window, and shortens one that would reach below it.
 * @param {HTMLElement} panel
 */
function keepInside(panel) {
  panel.style.translate = panel.style.maxHeight = "";
  // A sheet lies where it lies.
  if (getComputedStyle(panel).position === "fixed") return;
  const { right, top, bottom } = panel.getBoundingClientRect();
  const over = right + EDGE - document.documentElement.clientWidth;
  if (over > 0) panel.style.translate = `${-over}px`;
  // Its foot stays on the screen: the panel scrolls.
  if (bottom + EDGE > innerHeight) panel.style.maxHeight = `${Math.max(innerHeight - EDGE - top, 160)}px`;
}
