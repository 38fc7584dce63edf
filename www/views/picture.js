// The staff and the weave as pictures for a worksheet: on white from any theme, with all in the file itself that the page
// says of its lines in sheets.
import { cloth } from "./cloth.js";
import { element, svg } from "./dom.js";
import { engrave } from "./engrave.js";
import { saveAs } from "./files.js";
import { chosenPart } from "./sheet.js";
import { kept } from "./under.js";

/** @typedef {import("../session.js").Session} Session */
/** @typedef {import("../pkg/riffloom.js").StaffView} StaffView */
/** @typedef {import("../pkg/riffloom.js").SheetView} SheetView */
/** @typedef {"staff" | "weave"} Sight */

/** How wide a picture is laid out, its margin and a woven row, in CSS pixels; how many dots of a PNG make one of them. */
const [WIDTH, MARGIN, ROW, DOTS] = [1000, 16, 10, 2];
/** How high the line below a weave is, in CSS pixels. */
const CAPTION = 34;
/** How high a weave is on the page, for which its sheet says how thick threads are (`cloth.css`). */
const ON_PAGE = 57.6;
/** What sheets say of a drawing, and goes into the file. */
const LOOKS = ["fill", "stroke", "stroke-width", "font-family", "font-size", "font-weight", "font-style"];

/**
 * What a picture is called, with its ending; empty where there is no note.
 * @param {Session} session @param {Sight} sight @param {boolean} isChorus @param {string} ending
 */
export function pictureName(session, sight, isChorus, ending) {
  const { staff, sheet } = views(session, isChorus);
  if (!staff?.measures.some(({ symbols }) => symbols.some(({ head }) => head))) return "";
  return `${sight === "staff" ? staff.file : sheet.file}.${ending}`;
}

/**
 * Has the browser save a picture.
 * @param {Session} session @param {Sight} sight @param {boolean} isChorus @param {string} ending
 */
export async function savePicture(session, sight, isChorus, ending) {
  const { staff, sheet } = views(session, isChorus);
  const frame = element("div", { class: "saved-picture", "aria-hidden": "true" });
  const drawing = sight === "staff" ? engrave(staff, { width: WIDTH, under: kept() }) : cloth(sheet.cloth);
  frame.append(drawing);
  document.body.append(frame);
  const { width, height } = sight === "staff" ? cropped(drawing) : spread(drawing, sheet.cloth.rows);
  for (const made of drawing.querySelectorAll("*")) keepLook(/** @type {SVGElement} */ (made), sight, sheet.cloth.rows);
  frame.remove();
  for (const name of ["class", "aria-hidden", "style", "preserveAspectRatio"]) drawing.removeAttribute(name);
  drawing.setAttribute("width", String(width));
  drawing.setAttribute("height", String(height));
  const text = new XMLSerializer().serializeToString(drawing);
  const name = pictureName(session, sight, isChorus, ending);
  if (ending === "svg") saveAs(name, text, "image/svg+xml");
  else saveAs(name, await dots(text, width, height), "image/png");
}

/** @param {Session} session @param {boolean} isChorus @returns {{ staff: StaffView, sheet: SheetView }} */
const views = ({ app }, isChorus) => ({
  staff: app.staff(isChorus, chosenPart(), kept()),
  sheet: app.sheet(isChorus, chosenPart()),
});

/** Cuts a staff to what is drawn, with a margin, on white. @param {SVGSVGElement} drawing */
function cropped(drawing) {
  const drawn = drawing.getBBox();
  const [x, y] = [Math.floor(drawn.x) - MARGIN, Math.floor(drawn.y) - MARGIN];
  const [width, height] = [Math.ceil(drawn.width) + 2 * MARGIN, Math.ceil(drawn.height) + 2 * MARGIN];
  drawing.setAttribute("viewBox", `${x} ${y} ${width} ${height}`);
  drawing.prepend(svg("rect", { class: "ground", x, y, width, height }));
  return { width, height };
}

/** A weave in its own proportions, on its cloth, and below it what it shows. @param {SVGSVGElement} drawing @param {number} rows */
function spread(drawing, rows) {
  const height = rows * ROW;
  drawing.prepend(svg("rect", { class: "ground", x: 0, y: 0, width: WIDTH, height: height + CAPTION }));
  const caption = svg("text", { class: "caption", x: WIDTH / 2, y: height + CAPTION * 0.65, "text-anchor": "middle" });
  caption.textContent =
    "Time runs to the right, higher notes lie higher. Red: in the chord. Blue: a blue note. Gold: of the next chord.";
  drawing.append(caption);
  drawing.setAttribute("viewBox", `0 0 ${WIDTH} ${height + CAPTION}`);
  return { width: WIDTH, height: height + CAPTION };
}

/** Writes into an element how the page's sheets have it look. @param {SVGElement} made @param {Sight} sight @param {number} rows */
function keepLook(made, sight, rows) {
  const looks = getComputedStyle(made);
  for (const look of LOOKS) {
    if (look.startsWith("font") && !(made instanceof SVGTextElement)) continue;
    made.setAttribute(look, looks.getPropertyValue(look));
  }
  // There it keeps its thickness however far the drawing is stretched.
  if (sight === "weave")
    made.setAttribute("stroke-width", String((parseFloat(looks.strokeWidth) * rows * ROW) / ON_PAGE));
  for (const name of ["class", "id", "style"]) made.removeAttribute(name);
}

/** A drawing as dots. @param {string} text @param {number} width @param {number} height @returns {Promise<Blob>} */
async function dots(text, width, height) {
  const image = new Image();
  image.src = `data:image/svg+xml,${encodeURIComponent(text)}`;
  await image.decode();
  const canvas = element("canvas", { width: width * DOTS, height: height * DOTS });
  canvas.getContext("2d")?.drawImage(image, 0, 0, canvas.width, canvas.height);
  return new Promise((done, fail) =>
    canvas.toBlob((made) => (made ? done(made) : fail(new Error("no picture was made"))), "image/png"),
  );
}
