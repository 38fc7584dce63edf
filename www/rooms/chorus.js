// The room in which a chorus is built.
import { mountChorus } from "../views/chorus.js";

/** @param {import("../session.js").Session} session */
export const mount = (session) => [mountChorus(session)];
