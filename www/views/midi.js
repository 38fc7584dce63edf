// The button for a MIDI keyboard, and a sentence that says how it goes; beside it the way to the microphone.
import { Midi } from "../midi.js";
import { button, byId, element } from "./dom.js";

/** One for the page: the button may stand on more than one screen. @type {WeakMap<EventTarget, Midi>} */
const opened = new WeakMap();

/**
 * Makes a button and its sentence.
 * @param {import("../session.js").Session} session
 */
export function midiControl(session) {
  const midi = opened.get(session) ?? new Midi(session);
  opened.set(session, midi);
  const turn = button("Use a MIDI keyboard", () => (midi.state === "on" ? midi.turnOff() : midi.turnOn()), {
    class: "quiet",
    "aria-pressed": "false",
  });
  const told = element("p", { class: "hint", role: "status" });
  const listen = button("Use the microphone", () => byId("listen").click(), { class: "quiet" });
  const update = () => {
    turn.hidden = midi.state === "missing";
    turn.setAttribute("aria-pressed", String(midi.state === "on"));
    turn.disabled = midi.state === "asking";
    told.textContent = sentence(midi);
  };
  midi.addEventListener("state", update);
  update();
  return element("div", { class: "midi" }, turn, told, listen);
}

/** @param {Midi} midi */
function sentence({ state, names, gone }) {
  if (state === "missing")
    return "A MIDI keyboard can't be used in this browser. Chrome, Edge and Firefox on a computer can.";
  if (state === "asking") return "The browser may ask you whether it is all right.";
  if (state === "refused")
    return "The browser did not allow it. Allow MIDI for this page in the browser's settings, then press the button again.";
  if (state === "off") return "Plug one in, and its keys write and play here.";
  if (names.length > 0) return `Listening to ${names.join(" and ")}. Hard strokes become accents.`;
  return gone
    ? `${gone} was unplugged. Plug it in again; it is found by itself.`
    : "No keyboard is plugged in yet. Plug one in; it is found by itself.";
}
