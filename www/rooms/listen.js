// The room of the microphone: its switch, its light, and what can be said of the sound.
import { mountListen } from "../views/listen.js";

/** @param {import("../session.js").Session} session */
export function mount(session) {
  mountListen(session);
  return [];
}
