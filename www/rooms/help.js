// The room of help: a picture of the page with its parts named, keys, what is kept where, and a page for teachers.
import { mountHelpPages } from "../views/help-pages.js";

/** @param {import("../session.js").Session} session */
export function mount(session) {
  mountHelpPages(session);
  return [];
}
