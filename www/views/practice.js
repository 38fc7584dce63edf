// The Practice screen: how one practises, the riff to play, a pad to tap, and what is said afterwards.
import { deviceInUse, keepDelay, recallDelay } from "../delays.js";
import { Heard } from "../session.js";
import { mountAfter } from "./after.js";
import { button, byId, element, place, say } from "./dom.js";
import { mountPad } from "./pad.js";
import { mountSetting } from "./setting.js";
import { beatElement, joining, tokenElement } from "./strip.js";

/** @typedef {import("../session.js").Session} Session */
/** @typedef {import("../pkg/riffloom.js").PracticeView} PracticeView */

/** @param {Session} session */
export function mountPractice(session) {
  const sections = ["setting", "to-play", "after"].map(byId);
  const [toPlay, pad, keyboard, start] = [byId("to-play"), byId("pad"), byId("keyboard"), byId("play")];
  const [setting, after] = [mountSetting(session), mountAfter(session)];
  mountPad(session);
  const isOpen = () => document.body.dataset.tab === "practice";
  /** @type {PracticeView | null} */
  let shown = null;

  session.addEventListener("gone", () => {
    for (const section of sections) section.hidden = !isOpen();
    pad.hidden = true;
    keyboard.hidden = false;
    if (!isOpen()) return;
    drawRiff(toPlay, session);
    if (session.practice) show(session.practice);
    session.tellPractice();
  });
  session.addEventListener("changed", (event) => {
    const { grid, strip } = /** @type {CustomEvent} */ (event).detail;
    if ((grid || strip) && isOpen()) drawRiff(toPlay, session);
  });
  session.addEventListener("practice", (event) => show(/** @type {CustomEvent} */ (event).detail));
  session.addEventListener("key", (event) => {
    const { midi, down, velocity, time } = /** @type {CustomEvent<import("../midi.js").KeyMove>} */ (event).detail;
    if (down) session.heard(midi, time, velocity);
  });
  keepDelays(session);

  // The player's hands go to the keys or the pad; Escape stops, from wherever they are.
  addEventListener("keydown", (event) => {
    if (!isOpen() || !session.playing || event.key !== "Escape" || event.defaultPrevented) return;
    session.stop();
    start.focus();
  });

  /** @param {PracticeView} view */
  function show(view) {
    const before = shown;
    shown = view;
    document.body.dataset.sight = view.sight;
    const usesPad = view.taps || view.tapping;
    pad.hidden = !isOpen() || !usesPad;
    keyboard.hidden = isOpen() && usesPad;
    setting(view);
    after(view);
    const begins = (view.running && !before?.running) || (view.tapping && !before?.tapping);
    if (!begins) return;
    if (view.hint) say(view.hint);
    const hands = usesPad ? pad.querySelector("button") : keyboard.querySelector('.key[tabindex="0"]');
    if (hands instanceof HTMLElement) hands.focus({ preventScroll: true });
  }
}

/**
 * The riff as on the strip, to be read and not changed.
 * @param {HTMLElement} root
 * @param {Session} session
 */
function drawRiff(root, session) {
  const { grid, strip } = session.screen;
  if (!grid || !strip) return;
  const still = (/** @type {Element} */ made) => {
    for (const name of ["id", "role", "aria-selected", "aria-label"]) made.removeAttribute(name);
    return made;
  };
  const beats = element("div", { class: "beats-row" }, ...grid.beats.map(beatElement));
  const notes = element("div", { class: "notes" }, ...strip.tokens.map((token) => still(tokenElement(token))));
  const joins = joining();
  joins.draw(strip.tokens);
  const fray = element("div", { class: "fray-end" });
  place(fray, { at: strip.endsAt });
  const label = strip.tokens.length > 0 ? strip.tokens.map((token) => token.label).join("; ") : "No notes yet";
  root.replaceChildren(
    element("div", { class: "strip still", role: "img", "aria-label": `${strip.name || "The riff"}: ${label}` }, beats, joins.picture, fray, notes),
    button("Hear it", () => session.play(Heard.Riff), { class: "quiet hear" }),
  );
}

/**
 * Takes up what was kept for the device that is in use, and keeps what is found.
 * @param {Session} session
 */
async function keepDelays(session) {
  let device = await deviceInUse();
  const take = () => {
    const kept = recallDelay(device);
    session.app.setDelay(kept?.seconds ?? NaN, kept?.giveOrTake ?? NaN);
    session.tellPractice();
  };
  take();
  let wasTapping = false;
  session.addEventListener("practice", (event) => {
    const { tapping, delay } = /** @type {PracticeView} */ (/** @type {CustomEvent} */ (event).detail);
    if (wasTapping && !tapping && delay.known) keepDelay(device, { seconds: delay.seconds, giveOrTake: delay.giveOrTake });
    wasTapping = tapping;
  });
  navigator.mediaDevices?.addEventListener?.("devicechange", async () => {
    const now = await deviceInUse();
    if (now !== device) {
      device = now;
      take();
    }
  });
}
