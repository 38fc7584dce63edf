// A strip of cloth: music as a woven band.

/** @typedef {import("../pkg/riffloom.js").ClothView} ClothView */

const SVG = "http://www.w3.org/2000/svg";
/** The drawing's width, and the height of a row, in its own units; the page stretches it. */
const [WIDTH, ROW] = [1000, 10];

/** @param {ClothView} view */
export function cloth(view) {
  const height = view.rows * ROW;
  const svg = made("svg", { class: "woven-band", viewBox: `0 0 ${WIDTH} ${height}`, preserveAspectRatio: "none", "aria-hidden": "true" });
  const beat = WIDTH / Math.max(view.beats, 1);
  let wefts = "";
  for (let at = 0; at <= view.beats; at++) wefts += `M${at * beat} 0V${height}`;
  svg.append(made("path", { class: "weft", d: wefts }));
  /** One path for each dye and thickness, however many threads there are. @type {Map<string, string>} */
  const paths = new Map();
  for (const thread of view.threads) {
    if (!thread.over) continue;
    const name = `yarn ${thread.role}${thread.thick ? " thick" : ""}`;
    const y = (thread.row + 0.5) * ROW;
    paths.set(name, `${paths.get(name) ?? ""}M${(thread.from * WIDTH).toFixed(1)} ${y}H${(thread.to * WIDTH).toFixed(1)}`);
  }
  for (const [name, d] of paths) svg.append(made("path", { class: name, d }));
  return svg;
}

/**
 * @param {string} tag
 * @param {Record<string, string | number>} attributes
 */
function made(tag, attributes) {
  const element = document.createElementNS(SVG, tag);
  for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, String(value));
  return element;
}
