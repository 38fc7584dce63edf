// A strip of cloth: music as a woven band.
import { svg } from "./dom.js";

/** @typedef {import("../pkg/riffloom.js").ClothView} ClothView */

/** The drawing's width, and the height of a row, in its own units; the page stretches it. */
const [WIDTH, ROW] = [1000, 10];

/** @param {ClothView} view */
export function cloth(view) {
  const height = view.rows * ROW;
  const drawing = svg("svg", { class: "woven-band", viewBox: `0 0 ${WIDTH} ${height}`, preserveAspectRatio: "none", "aria-hidden": "true" });
  const beat = WIDTH / Math.max(view.beats, 1);
  let wefts = "";
  for (let at = 0; at <= view.beats; at++) wefts += `M${at * beat} 0V${height}`;
  drawing.append(svg("path", { class: "weft", d: wefts }));
  /** One path for each dye and thickness, however many threads there are. @type {Map<string, string>} */
  const paths = new Map();
  for (const thread of view.threads) {
    if (!thread.over) continue;
    const name = `yarn ${thread.role}${thread.thick ? " thick" : ""}`;
    const y = (thread.row + 0.5) * ROW;
    paths.set(name, `${paths.get(name) ?? ""}M${(thread.from * WIDTH).toFixed(1)} ${y}H${(thread.to * WIDTH).toFixed(1)}`);
  }
  for (const [name, d] of paths) drawing.append(svg("path", { class: name, d }));
  return drawing;
}
