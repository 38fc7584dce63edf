// The room of the staff: a riff or a chorus as notes on lines, and a sheet of paper.
import { mountStaff } from "../views/staff.js";

/** @param {import("../session.js").Session} session */
export const mount = (session) => [mountStaff(session)];
