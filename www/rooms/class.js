// The room of the class: lessons, the way through one, and the board of answers.
import { mountClass } from "../views/class.js";

/** @param {import("../session.js").Session} session */
export function mount(session) {
  mountClass(session);
  return [];
}
