// The room of free playing: what was found in it.
import { mountFree } from "../views/free.js";

/** @param {import("../session.js").Session} session */
export const mount = (session) => [mountFree(session)];
