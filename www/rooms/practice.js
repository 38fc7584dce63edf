// The room for practising.
import { mountDrill } from "../views/drill.js";
import { mountPractice } from "../views/practice.js";

/** @param {import("../session.js").Session} session */
export function mount(session) {
  mountPractice(session);
  mountDrill(session);
  return [];
}
