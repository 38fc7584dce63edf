// The take beside the riff: what is hummed or played in by the microphone is recorded, too, for who has asked for it.
import { button, byId, element, write } from "./dom.js";

/** Whether what is played in is recorded, too. */
const PLAYING_IN = "riffloom record what is played in";

/**
 * What is hummed or played in by the microphone can be recorded, too, for who has asked for it: the take is heard beside the
 * written riff.
 * @param {import("../session.js").Session} session
 * @param {import("../microphone.js").Microphone} microphone
 * @param {import("../takes/takes.js").Takes} takes
 */
export function recordPlayingIn(session, microphone, takes) {
  const asks = element("input", { type: "checkbox", onchange: () => keepWish(asks.checked) });
  asks.checked = wished();
  byId("listen-panel").append(
    element("label", { class: "check" }, asks, " Record a take while I hum or play a riff in"),
  );
  let id = "";
  const hear = button(
    "Hear the take",
    () => (takes.player.playing ? takes.player.stop() : void takes.hear(id, "alone", takes.gainOf(id))),
    { class: "tool", hidden: true },
  );
  byId("taking").append(hear);
  let wasListening = false;
  session.addEventListener("taking", () => {
    const { listening, taken } = session.taking;
    if (listening && !wasListening && asks.checked && microphone.hears) {
      id = "";
      void takes.begin(false, "riff").then(() => (id = takes.recording?.take.id ?? ""));
    }
    if (!listening && takes.recording?.take.over === "riff") takes.end();
    wasListening = listening;
    if (!taken && !listening) id = "";
    show();
  });
  takes.addEventListener("changed", show);
  function show() {
    hear.hidden = !id || !session.taking.taken || takes.recording !== null;
    write(hear, takes.player.playing && takes.player.playing === id ? "Stop" : "Hear the take");
  }
}

function wished() {
  try {
    return localStorage.getItem(PLAYING_IN) === "yes";
  } catch {
    return false;
  }
}

/** @param {boolean} yes */
function keepWish(yes) {
  try {
    localStorage.setItem(PLAYING_IN, yes ? "yes" : "no");
  } catch {
    // Then it holds until the page is closed.
  }
}
