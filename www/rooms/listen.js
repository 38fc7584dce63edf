// The room of the microphone: its switch, its light, what can be said of the sound, and takes.
import { mountListen } from "../views/listen.js";
import { mountTakes } from "../views/takes.js";

/** @param {import("../session.js").Session} session */
export function mount(session) {
  mountTakes(session, mountListen(session));
  return [];
}
