// The room for passing on: links and files of sound.
import { mountPass } from "../views/pass.js";

/** @param {import("../session.js").Session} session */
export function mount(session) {
  mountPass(session);
  return [];
}
