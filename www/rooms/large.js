// The room of the large view, for a class in front of a projector.
import { mountLarge } from "../views/large.js";

/** @param {import("../session.js").Session} session */
export function mount(session) {
  mountLarge(session);
  return [];
}
