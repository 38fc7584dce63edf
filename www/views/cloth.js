// A strip of cloth: music as a woven band.
import { svg } from "./dom.js";

/** @typedef {import("../pkg/riffloom.js").ClothView} ClothView */

/** The drawing's width, and the height of a row, in its own units; the page stretches it. */
const [WIDTH, ROW] = [1000, 10];

/** How a riff's cloth is woven: rows of threads, threads a note, picks a beat, and how much of a pick lies on top. */
const [ROWS, PER_NOTE, PICKS, OVER] = [13, 3, 4, 0.72];

/**
 * The cloth of a riff: each note a band of threads as high as its pitch and as long as it sounds, in the dye of its role.
 * @param {Pick<import("../pkg/riffloom.js").MarkView, "at" | "length" | "height" | "role">[]} marks
 * @param {number} beats
 */
export function riffCloth(marks, beats) {
  const pick = 1 / (Math.max(beats, 1) * PICKS);
  const threads = marks.flatMap(({ at, length, height, role }) =>
    Array.from({ length: PER_NOTE }, (_, index) => {
      const row = Math.round((1 - height) * (ROWS - PER_NOTE)) + index;
      // Each second row is set off by half a pick, as in plain weave.
      const from = at + (row % 2) * (pick / 2);
      const count = Math.max(Math.round(length / pick), 1);
      return Array.from({ length: count }, (_, each) => ({
        row,
        from: from + each * pick,
        to: from + (each + OVER) * pick,
        over: true,
        role,
        thick: false,
      }));
    }).flat(),
  );
  return cloth(/** @type {any} */ ({ rows: ROWS, beats, threads }));
}

/** @param {ClothView} view */
export function cloth(view) {
  const height = view.rows * ROW;
  const drawing = svg("svg", {
    class: "woven-band",
    viewBox: `0 0 ${WIDTH} ${height}`,
    preserveAspectRatio: "none",
    "aria-hidden": "true",
  });
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
    paths.set(
      name,
      `${paths.get(name) ?? ""}M${(thread.from * WIDTH).toFixed(1)} ${y}H${(thread.to * WIDTH).toFixed(1)}`,
    );
  }
  for (const [name, d] of paths) drawing.append(svg("path", { class: name, d }));
  return drawing;
}
