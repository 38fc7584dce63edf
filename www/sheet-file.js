// A sheet of paper as a file by itself: `riffloom sheet` puts into it what is to be laid out, a browser shows and prints it.
import { paper } from "./views/paper.js";
import { CLAPS, layOut } from "./views/sheet-pages.js";

/** @typedef {import("./pkg/riffloom.js").SheetView} SheetView */
/** @typedef {import("./pkg/riffloom.js").StaffView} StaffView */
/** What the command line writes. @typedef {{ kind: string, isChorus: boolean, under: string, words: string, sheet: SheetView, staff: StaffView, parts: Record<string, StaffView> }} Data */

const data = /** @type {Data} */ (JSON.parse(document.getElementById("sheet-data")?.textContent ?? "null"));
const { kind, sheet, staff, parts, ...how } = data;
document.title = sheet.title;
document.body.classList.add("printing");
// All who read it get a page: which are printed the browser asks.
const wanted = [...staff.parts.map(({ name }) => name), CLAPS];
layOut(kind, { sheet, staff, parts: (name) => parts[name] ?? staff }, { ...how, wanted });
paper().removeAttribute("aria-hidden");
