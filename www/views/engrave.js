// Draws what the core has written on a staff. Nothing about rhythm or pitch is decided here: the core says values, ties,
// beams, tuplets and signs (`StaffView`), the library has the shapes and the room between them.
import { Accidental } from "vexflow/accidental.js";
import { Articulation } from "vexflow/articulation.js";
import { Beam } from "vexflow/beam.js";
import { Dot } from "vexflow/dot.js";
import { Font } from "vexflow/font.js";
import { BravuraFont } from "vexflow/fonts/bravura_glyphs.js";
import { CommonMetrics } from "vexflow/fonts/common_metrics.js";
import { Formatter } from "vexflow/formatter.js";
import { Glyph } from "vexflow/glyph.js";
import { GraceNote } from "vexflow/gracenote.js";
import { GraceNoteGroup } from "vexflow/gracenotegroup.js";
import { Stave } from "vexflow/stave.js";
import { StaveNote } from "vexflow/stavenote.js";
import { BarlineType } from "vexflow/stavebarline.js";
import { StaveTie } from "vexflow/stavetie.js";
import { SVGContext } from "vexflow/svgcontext.js";
import { Tables } from "vexflow/tables.js";
import { Tuplet } from "vexflow/tuplet.js";
import { Voice } from "vexflow/voice.js";
import { svg } from "./dom.js";
import { shape } from "./shapes.js";

/** @typedef {import("../pkg/riffloom.js").StaffView} StaffView */
/** @typedef {import("../pkg/riffloom.js").MeasureView} MeasureView */
/** @typedef {import("../pkg/riffloom.js").SymbolView} SymbolView */
/** @typedef {{ measure: MeasureView, notes: StaveNote[], voice: Voice, beams: Beam[], tuplets: Tuplet[], least: number }} Set */

/** Where a rest stands: on the middle line of its clef. @type {Record<string, string>} */
const MIDDLE = { treble: "b/4", alto: "c/4", bass: "d/3", percussion: "b/4" };

/** Room in the library's units: for the feel, for chords over the top line, the staff, under it, names, words, before a note. */
const [FEEL, ABOVE, STAFF, BELOW, NAMES, WORDS, LEAD] = [25, 28, 40, 18, 20, 18, 14];
/** How far a tuplet's number reaches beyond the notes, and how far a line is pulled apart at most. */
const [TUPLET, WIDEST] = [22, 1.7];
/** What the library leaves free over the top line of a staff. */
const OWN_ROOM = 40;

const music = Font.load("Bravura", BravuraFont, CommonMetrics);
Tables.MUSIC_FONT_STACK = [music];
Glyph.MUSIC_FONT_STACK = [music];
Glyph.CURRENT_CACHE_KEY = "Bravura";

/** @typedef {{ width: number, scale?: number, under?: string }} How the width in CSS pixels; how large a staff is drawn; what stands under the notes */

/**
 * A drawing of the staff, as many bars a line as there is room for.
 * @param {StaffView} view
 * @param {How} how
 */
export function engrave(view, how) {
  const { frame, nodes, room, scale, height } = drawn(view, how);
  return drawing(frame, nodes.flat(), { room, scale, top: 0, height });
}

/**
 * The same with a drawing for each line, so that a page can end between two lines.
 * @param {StaffView} view
 * @param {How} how
 */
export function engraveLines(view, how) {
  const { frame, nodes, room, scale, first, line } = drawn(view, how);
  return nodes.map((those, index) => {
    const top = index === 0 ? 0 : first + index * line;
    return drawing(frame, those, { room, scale, top, height: first + (index + 1) * line - top });
  });
}

/**
 * All that is drawn of each line, and how large it is.
 * @param {StaffView} view
 * @param {How} how
 */
function drawn(view, { width, scale = 1, under = "" }) {
  const room = Math.max(width / scale, 180);
  const context = new SVGContext(document.createElement("div"));
  context.setFillStyle("currentColor");
  context.setStrokeStyle("currentColor");
  const sets = view.measures.map((measure) => set(measure, view.clef));
  const lines = broken(sets, room, view);
  const hasTuplets = view.measures.some(({ tuplets }) => tuplets.length > 0);
  const sung = view.measures.some(({ symbols }) => symbols.some(({ head }) => head?.word));
  const rows = underHeight(view, under) + (sung ? WORDS : 0);
  const deep = BELOW + rows + lowest(view) + (hasTuplets && rows ? TUPLET : 0);
  const high = ABOVE + highest(view) + (hasTuplets ? TUPLET : 0);
  const line = high + STAFF + deep;
  const first = view.feel ? FEEL : 0;
  /** What is drawn of each line. @type {Element[][]} */
  const nodes = lines.map(() => []);
  const on = (/** @type {number} */ index, /** @type {() => void} */ draw) => {
    const before = context.svg.children.length;
    draw();
    nodes[index]?.push(...[...context.svg.children].slice(before));
  };
  lines.forEach((bars, index) =>
    on(index, () =>
      drawLine(context, {
        bars,
        view,
        index,
        room,
        top: first + index * line + high,
        last: index === lines.length - 1,
        under,
        deep,
        high,
        sung,
      }),
    ),
  );
  ties(context, lines, on);
  return { frame: context.svg, nodes, room, scale, first, line, height: first + lines.length * line };
}

/**
 * @param {SVGSVGElement} frame says what the library draws with
 * @param {Element[]} nodes
 * @param {{ room: number, scale: number, top: number, height: number }} size in the library's units
 */
function drawing(frame, nodes, { room, scale, top, height }) {
  const made = /** @type {SVGSVGElement} */ (frame.cloneNode(false));
  made.append(...nodes);
  inInk(made);
  made.setAttribute("viewBox", `0 ${top} ${room} ${height}`);
  made.setAttribute("width", String(Math.round(room * scale)));
  made.setAttribute("height", String(Math.round(height * scale)));
  made.style.width = made.style.height = "";
  made.setAttribute("class", "engraved");
  made.setAttribute("aria-hidden", "true");
  return made;
}

/** How far the music goes over the staff, in the library's units, and how far under it: a step of the staff every five. */
const highest = (/** @type {StaffView} */ view) =>
  Math.max(0, ...heights(view).map(([step, accent]) => step - 3 + (accent ? 3 : 0))) * 5;
const lowest = (/** @type {StaffView} */ view) => Math.max(0, ...heights(view).map(([step]) => -step - 4)) * 5;

/** Steps above the middle line of every note, and whether an accent stands on it. @param {StaffView} view @returns {[number, boolean][]} */
function heights({ measures, clef }) {
  const step = (/** @type {string} */ key) => "cdefgab".indexOf(key[0] ?? "") + 7 * Number(key.split("/")[1]);
  const heads = measures.flatMap(({ symbols }) => symbols).flatMap(({ head }) => (head ? [head] : []));
  const middle = step(MIDDLE[clef] ?? "b/4");
  return heads.flatMap(({ key, accent, with: lower }) => [
    [step(key) - middle, accent],
    ...(lower ? [/** @type {[number, boolean]} */ ([step(lower[0]) - middle, false])] : []),
  ]);
}

/**
 * The notes of a bar, joined as they are written.
 * @param {MeasureView} measure
 * @param {string} clef
 * @returns {Set}
 */
function set(measure, clef) {
  const notes = measure.symbols.map((symbol) => note(symbol, clef, measure.symbols.length === 1));
  const beams = measure.beams.map(([from, to]) => new Beam(notes.slice(from, to), true));
  const tuplets = measure.tuplets.map(([from, to, actual, normal]) => {
    const inside = notes.slice(from, to);
    const isBeamed = measure.beams.some(([first, last]) => first === from && last === to);
    const up = inside
      .filter((_, index) => measure.symbols[from + index]?.head)
      .reduce((sum, each) => sum + each.getStemDirection(), 0);
    return new Tuplet(inside, {
      num_notes: actual,
      notes_occupied: normal,
      ratioed: false,
      bracketed: !isBeamed,
      location: up < 0 ? -1 : 1,
    });
  });
  const voice = new Voice({ num_beats: 4, beat_value: 4 }).setMode(Voice.Mode.SOFT).addTickables(notes);
  const least = new Formatter().joinVoices([voice]).preCalculateMinTotalWidth([voice]);
  const sung = measure.symbols.reduce((sum, { head }) => sum + (head?.word ? head.word.length * 6.5 + 8 : 0), 0);
  return {
    measure,
    notes,
    voice,
    beams,
    tuplets,
    least: Math.max(least * 1.25 + 24, 56 + 10 * notes.length, sung + 24),
  };
}

/**
 * @param {SymbolView} symbol
 * @param {string} clef
 * @param {boolean} alone whether it has its bar to itself
 */
function note({ value, dotted, head }, clef, alone) {
  const duration = value === 1 ? "w" : value === 2 ? "h" : value === 4 ? "q" : String(value);
  if (!head) {
    const rest = new StaveNote({
      keys: [MIDDLE[clef] ?? "b/4"],
      duration: `${duration}r`,
      clef,
      dots: dotted ? 1 : 0,
      align_center: alone && value === 1,
    });
    if (dotted) Dot.buildAndAttach([rest]);
    return rest;
  }
  // A clap is a cross; of two notes the lower comes first.
  const keys = clef === "percussion" ? [`${head.key}/x2`] : [...(head.with ? [head.with[0]] : []), head.key];
  const made = new StaveNote({ keys, duration, clef, dots: dotted ? 1 : 0, auto_stem: true });
  if (head.sign) made.addModifier(new Accidental(head.sign), keys.length - 1);
  if (head.with?.[1]) made.addModifier(new Accidental(head.with[1]), 0);
  if (dotted) Dot.buildAndAttach([made]);
  if (head.accent) made.addModifier(new Articulation("a>").setPosition(3), 0);
  if (head.crushed) {
    const [key, sign] = head.crushed;
    const grace = new GraceNote({ keys: [key], duration: "8", slash: true, clef });
    if (sign) grace.addModifier(new Accidental(sign), 0);
    made.addModifier(new GraceNoteGroup([grace], false), 0);
  }
  return made;
}

/**
 * Bars a line: as many as have room, and evenly many where all are alike.
 * @param {Set[]} sets
 * @param {number} room
 * @param {StaffView} view
 */
function broken(sets, room, view) {
  /** @type {Set[][]} */
  const lines = [];
  let left = 0;
  for (const one of sets) {
    // Four bars a line, as the form is drawn; a pickup stands before them.
    const isFull = lines.at(-1)?.filter(({ measure }) => measure.number > 0).length === 4;
    if (lines.length === 0 || one.least > left || isFull) {
      lines.push([]);
      left = room - frontWidth(view, lines.length === 1 ? one.measure.metre : undefined);
    }
    lines.at(-1)?.push(one);
    left -= one.least;
  }
  return lines;
}

/** How wide clef, signature and metre are. @param {StaffView} view @param {[number, number] | undefined} metre */
function frontWidth(view, metre) {
  return front(new Stave(0, 0, 500), view, metre).getNoteStartX() + LEAD;
}

/** @param {Stave} stave @param {StaffView} view @param {[number, number] | undefined} metre */
function front(stave, view, metre) {
  stave.addClef(view.clef).addKeySignature(view.signature);
  if (metre) stave.addTimeSignature(`${metre[0]}/${metre[1]}`);
  return stave;
}

/**
 * @param {SVGContext} context
 * @param {{ bars: Set[], view: StaffView, index: number, room: number, top: number, last: boolean, under: string, deep: number, high: number, sung: boolean }} line
 */
function drawLine(context, { bars, view, index, room, top, last, under, deep, high, sung }) {
  const lead = frontWidth(view, index === 0 ? bars[0]?.measure.metre : undefined);
  const all = bars.reduce((sum, { least }) => sum + least, 0);
  // A line with little in it is not pulled apart.
  const spread = Math.min((room - lead - 1) / all, bars.length < 3 ? WIDEST : Infinity);
  let x = 0;
  bars.forEach((bar, place) => {
    const isFirst = place === 0;
    const width = bar.least * spread + (isFirst ? lead : 0);
    const stave = new Stave(x, top - OWN_ROOM, width, { fill_style: "currentColor" });
    if (isFirst) front(stave, view, index === 0 ? bar.measure.metre : undefined);
    else if (bar.measure.metre) stave.addTimeSignature(bar.measure.metre.join("/"));
    if (isFirst && index > 0 && bar.measure.metre) stave.addTimeSignature(bar.measure.metre.join("/"));
    if (!isFirst) stave.setBegBarType(BarlineType.NONE);
    if (last && place === bars.length - 1) stave.setEndBarType(BarlineType.END);
    stave.setContext(context).draw();
    new Formatter().joinVoices([bar.voice]).format([bar.voice], stave.getNoteEndX() - stave.getNoteStartX() - 12);
    bar.voice.draw(context, stave);
    for (const beam of bar.beams) beam.setContext(context).draw();
    for (const tuplet of bar.tuplets) tuplet.setContext(context).draw();
    chords(context, bar, stave, top - high + ABOVE - 10);
    scoops(context, bar);
    if (isFirst && index > 0 && bar.measure.number > 0)
      words(context, String(bar.measure.number), x, top - 6, "engraved-number");
    if (index === 0 && isFirst && view.feel) swing(context, view.feel);
    const foot = top + STAFF + deep - 6 - (sung ? WORDS : 0);
    if (view.strings.length > 0) tablature(context, bar, { view, x, width, foot, isFirst });
    else if (under) below(context, bar, foot, under, columnsHeight(view.measures, under));
    if (sung) below(context, bar, top + STAFF + deep - 6, "words");
    x += width;
  });
}

/** All chords of a line stand on one height. @param {SVGContext} context @param {Set} bar @param {Stave} stave @param {number} y */
function chords(context, { measure, notes }, stave, y) {
  for (const [at, name] of measure.chords) {
    const after = measure.symbols.findIndex((symbol) => symbol.at >= at);
    const x = at === 0 ? stave.getNoteStartX() - 4 : (notes[after]?.getAbsoluteX() ?? stave.getNoteEndX() - 20);
    words(context, name, x, y, "engraved-chord");
  }
}

/** The word for the feel, and its sign: two eighths are played as the first two thirds and the last of a triplet. @param {SVGContext} context @param {string} feel */
function swing(context, feel) {
  const y = 18;
  // Drawn small and then enlarged, so that it is read from a music stand.
  const sign = svg("g", { transform: "translate(0 2) scale(1.25)" });
  const before = context.svg.childElementCount;
  words(context, feel, 0, y, "engraved-feel");
  const x = 12 + feel.length * 6.2;
  const head = (/** @type {number} */ at) =>
    svg("ellipse", {
      cx: at,
      cy: y - 1,
      rx: 2.6,
      ry: 2,
      transform: `rotate(-20 ${at} ${y - 1})`,
      fill: "currentColor",
    });
  const lines = svg("path", {
    d: `M${x + 2.4} ${y - 2}V7H${x + 12.4}V${y - 2}M${x + 20} ${y - 4}h6m-6 3h6M${x + 36.4} ${y - 2}V8M${x + 48.4} ${y - 2}V8q1 3 3.4 4M${x + 34} 5V3h4M${x + 47} 3h4v2`,
    fill: "none",
    stroke: "currentColor",
    "stroke-width": 1,
  });
  const beam = svg("path", { d: `M${x + 2} 7H${x + 12.8}`, stroke: "currentColor", "stroke-width": 2.4 });
  context.svg.append(lines, beam, ...[x, x + 10, x + 34, x + 46].map(head));
  words(context, "3", x + 40.7, 6, "engraved-three");
  sign.append(...[...context.svg.children].slice(before));
  context.svg.append(sign);
}

/** A small slide up into a note. @param {SVGContext} context @param {Set} bar */
function scoops(context, { measure, notes }) {
  measure.symbols.forEach(({ head }, index) => {
    const made = notes[index];
    if (!head?.scoop || !made) return;
    const [x, y] = [made.getNoteHeadBeginX(), made.getYs()[0] ?? 0];
    context.svg.append(
      svg("path", {
        d: `M${x - 12} ${y + 10} Q${x - 4} ${y + 9} ${x - 2} ${y + 2}`,
        fill: "none",
        stroke: "currentColor",
        "stroke-width": 1.5,
      }),
    );
  });
}

/** Names, the shapes of their roles, or what is sung, under the notes. @param {SVGContext} context @param {Set} bar @param {number} y @param {string} what @param {number} [high] how high columns are */
function below(context, { measure, notes }, y, what, high = 0) {
  measure.symbols.forEach(({ head, count }, index) => {
    const x = notes[index]?.getNoteHeadBeginX();
    if (what === "counts" && x !== undefined) return words(context, count, x, y, "engraved-name");
    if (!head || head.goesOn || x === undefined) return;
    if (what === "names") return words(context, head.name, x, y, "engraved-name");
    if (what === "trumpet") return words(context, valves(head), x, y, "engraved-name");
    if (head.fingers) return fingers(context, head.fingers, x + 5, y - high + RADIUS);
    if (what !== "shapes" && what !== "words") return;
    if (what === "words") return words(context, head.word, x, y, "engraved-word");
    const drawn = /** @type {SVGElement} */ (shape({ role: head.role, blue: false }));
    for (const [name, value] of Object.entries({ x: x - 2, y: y - 13, width: 15, height: 15 }))
      drawn.setAttribute(name, String(value));
    context.svg.append(drawn);
  });
}

/** How much room what stands under the notes takes. @param {StaffView} view @param {string} under */
function underHeight(view, under) {
  if (view.strings.length > 0) return (view.strings.length - 1) * STRING + 26;
  const columns = columnsHeight(view.measures, under);
  return columns > 0 ? columns + 12 : under ? NAMES : 0;
}

/** How high the columns of fingers are; 0 where there are none. @param {MeasureView[]} measures @param {string} under */
function columnsHeight(measures, under) {
  const heads = measures.flatMap(({ symbols }) => symbols).flatMap(({ head }) => (head ? [head] : []));
  const heights = heads.map(({ fingers }) =>
    fingers ? columnHeight(fingers.holes.length) + keysHeight(fingers.keys) : 0,
  );
  return under === "trumpet" ? 0 : Math.max(0, ...heights);
}

/** The valves of a trumpet: "1 3", or "0" for none. @param {import("../pkg/riffloom.js").HeadView} head */
function valves({ fingers }) {
  if (!fingers) return "";
  const down = fingers.holes.flatMap((hole, index) => (hole ? [index + 1] : []));
  return down.length === 0 ? "0" : down.join(" ");
}

/** How far holes stand apart, how large they are, and the room between thumb and hands. */
const [HOLE, RADIUS, HAND, KEY] = [8, 3, 4, 9];
const columnHeight = (/** @type {number} */ holes) => holes * HOLE + 2 * HAND;
const keysHeight = (/** @type {string} */ keys) => (keys ? keys.split(", ").length * KEY : 0);

/**
 * Holes or keys in a column, as they lie under the fingers: thumb or octave key, left hand, right hand; keys beside them
 * by name below.
 * @param {SVGContext} context
 * @param {import("../pkg/riffloom.js").FingersView} view
 * @param {number} x
 * @param {number} top
 */
function fingers(context, { holes, keys }, x, top) {
  const names = keys ? keys.split(", ") : [];
  holes.forEach((hole, index) => {
    const cy = top + index * HOLE + (index > 0 ? HAND : 0) + (index > 3 ? HAND : 0);
    const ring = { cx: x, cy, r: RADIUS, stroke: "currentColor", "stroke-width": 1 };
    context.svg.append(svg("circle", { ...ring, fill: hole === 2 ? "currentColor" : "none" }));
    if (hole === 1)
      context.svg.append(
        svg("path", { d: `M${x - RADIUS} ${cy}a${RADIUS} ${RADIUS} 0 0 0 ${2 * RADIUS} 0z`, fill: "currentColor" }),
      );
  });
  names.forEach((name, index) =>
    words(context, name, x - 5, top + columnHeight(holes.length) + index * KEY + 3, "engraved-key"),
  );
}

/** How far the lines of a tablature stand apart. */
const STRING = 10;

/**
 * Strings as lines, and on them the frets.
 * @param {SVGContext} context
 * @param {Set} bar
 * @param {{ view: StaffView, x: number, width: number, foot: number, isFirst: boolean }} where
 */
function tablature(context, { measure, notes }, { view, x, width, foot, isFirst }) {
  const top = foot - (view.strings.length - 1) * STRING - 4;
  const from = isFirst ? x + 12 : x;
  const bottom = top + (view.strings.length - 1) * STRING;
  const d = view.strings.map((_, line) => `M${from} ${top + line * STRING}H${x + width}`).join("");
  context.svg.append(
    svg("path", {
      d: `${d}M${from} ${top}V${bottom}M${x + width} ${top}V${bottom}`,
      fill: "none",
      stroke: "currentColor",
      "stroke-width": 0.7,
    }),
  );
  if (isFirst)
    view.strings.forEach((name, line) => words(context, name, x, top + line * STRING + 3, "engraved-string"));
  measure.symbols.forEach(({ head }, index) => {
    const at = notes[index]?.getNoteHeadBeginX();
    if (!head?.tab || at === undefined) return;
    const { line, fret, crushed } = head.tab;
    const y = top + line * STRING;
    onString(context, String(fret), at + 5, y);
    if (crushed != null) onString(context, `(${crushed})`, at - 9, y);
  });
}

/** A number on a string, which is broken behind it. @param {SVGContext} context @param {string} text @param {number} x @param {number} y */
function onString(context, text, x, y) {
  const width = text.length * 6 + 3;
  context.svg.append(
    svg("rect", { class: "engraved-gap", stroke: "none", x: x - width / 2, y: y - 5, width, height: 10 }),
  );
  const made = svg("text", {
    x,
    y: y + 4,
    class: "engraved-fret",
    fill: "currentColor",
    stroke: "none",
    "text-anchor": "middle",
  });
  made.textContent = text;
  context.svg.append(made);
}

/** @param {SVGContext} context @param {string} text @param {number} x @param {number} y @param {string} look */
function words(context, text, x, y, look) {
  const made = svg("text", { x, y, class: look, fill: "currentColor", stroke: "none" });
  made.textContent = text;
  context.svg.append(made);
}

/**
 * Ties, also from one line to the next.
 * @param {SVGContext} context
 * @param {Set[][]} lines
 * @param {(index: number, draw: () => void) => void} on draws on a line
 */
function ties(context, lines, on) {
  const all = lines.flatMap((bars, line) =>
    bars.flatMap(({ measure, notes }) =>
      measure.symbols.map((symbol, index) => ({ symbol, made: /** @type {StaveNote} */ (notes[index]), line })),
    ),
  );
  all.forEach(({ symbol, made, line }, index) => {
    const next = all[index + 1];
    if (!symbol.head?.tied || !next) return;
    const both = symbol.head.with ? [0, 1] : [0];
    const tie = (/** @type {StaveNote | null} */ from, /** @type {StaveNote | null} */ to) =>
      new StaveTie(/** @type {any} */ ({ first_note: from, last_note: to, first_indices: both, last_indices: both }))
        .setContext(context)
        .draw();
    if (line === next.line) return on(line, () => tie(made, next.made));
    on(line, () => tie(made, null));
    on(next.line, () => tie(null, next.made));
  });
}

/** The library draws black; here it is the colour of the text around it. @param {SVGSVGElement} drawing */
function inInk(drawing) {
  for (const made of drawing.querySelectorAll("*")) {
    for (const name of ["fill", "stroke"]) {
      const value = made.getAttribute(name);
      if (value && value !== "none" && value !== "transparent" && !made.closest(".shape"))
        made.setAttribute(name, "currentColor");
    }
  }
}
