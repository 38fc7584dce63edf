// The room of the notebook: riffs, choruses, the plan for today, the look back, earlier versions, labels, and all of it as a file.
import { mountChoruses } from "../views/choruses.js";
import { mountEarlier } from "../views/earlier.js";
import { mountKeeping } from "../views/keeping.js";
import { mountNotebook } from "../views/notebook.js";
import { mountPast } from "../views/past.js";
import { mountStarters } from "../views/starters.js";

/** @param {import("../session.js").Session} session */
export function mount(session) {
  const views = [mountNotebook(session), mountChoruses(session), mountStarters(session)];
  mountPast(session);
  mountEarlier(session);
  mountKeeping(session);
  return views;
}
