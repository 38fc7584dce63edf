// The Practice screen: how one practises, what to play, a pad to tap, and what is said afterwards.
import { keepDelay, pairInUse, recallDelay } from "../delays.js";
import { mountAfter } from "./after.js";
import { byId, say } from "./dom.js";
import { mountPad } from "./pad.js";
import { mountSetting } from "./setting.js";
import { mountToPlay } from "./to-play.js";

/** @typedef {import("../session.js").Session} Session */
/** @typedef {import("../pkg/riffloom.js").PracticeView} PracticeView */

/** @param {Session} session */
export function mountPractice(session) {
  const sections = ["setting", "to-play", "after"].map(byId);
  const [pad, keyboard] = [byId("pad"), byId("keyboard")];
  const [setting, after] = [mountSetting(session), mountAfter(session)];
  mountPad(session);
  mountToPlay(session);
  const isOpen = () => session.place === "practice";
  /** @type {PracticeView | null} */
  let shown = null;

  session.addEventListener("gone", () => {
    for (const section of sections) section.hidden = !isOpen();
    pad.hidden = true;
    keyboard.hidden = false;
    if (!isOpen()) return;
    if (session.practice) show(session.practice);
    session.tellPractice();
  });
  session.addEventListener("practice", (event) => show(/** @type {CustomEvent} */ (event).detail));
  keepDelays(session);

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
    if (before?.tapping && !view.tapping && view.delay.spoken) say(view.delay.spoken);
    const begins = (view.running && !before?.running) || (view.tapping && !before?.tapping);
    if (!begins) return;
    if (view.hint) say(view.hint);
    const hands = usesPad ? pad.querySelector("button") : keyboard.querySelector('.key[tabindex="0"]');
    if (hands instanceof HTMLElement) hands.focus({ preventScroll: true });
  }
}

/**
 * Takes up what was kept for the device that is in use, or for the pair of it and the microphone, and keeps what is found.
 * @param {Session} session
 */
async function keepDelays(session) {
  let device = await pairInUse(session);
  const take = () => {
    const kept = recallDelay(device);
    const { seconds = NaN, giveOrTake = NaN, loop = false } = kept ?? {};
    if (loop) session.app.setLoopDelay(seconds, giveOrTake);
    else session.app.setDelay(seconds, giveOrTake);
    session.tellPractice();
  };
  take();
  session.addEventListener("anew", take);
  let wasTapping = false;
  session.addEventListener("practice", (event) => {
    const { tapping, delay } = /** @type {PracticeView} */ (/** @type {CustomEvent} */ (event).detail);
    if (wasTapping && !tapping && delay.known)
      keepDelay(device, { seconds: delay.seconds, giveOrTake: delay.giveOrTake });
    wasTapping = tapping;
  });
  navigator.mediaDevices?.addEventListener?.("devicechange", async () => {
    const now = await pairInUse(session);
    if (now === device) return;
    device = now;
    take();
  });
  // Also where the same pair was measured.
  session.addEventListener("hearing", async () => {
    device = await pairInUse(session);
    take();
  });
}
