// The riff as a strip of beats: tokens as high as their pitch, room drawn as room, and a cursor.
import { byId, element, mark, place, say, svg, sync, write } from "./dom.js";
import { attachDrag } from "./drag.js";
import { shape } from "./shapes.js";

/** @typedef {import("../pkg/riffloom.js").StripView} StripView */
/** @typedef {import("../pkg/riffloom.js").TokenView} TokenView */
/** @typedef {import("../pkg/riffloom.js").InBarView} InBarView */

/** @param {import("../session.js").Session} session */
export function mountStrip(session) {
  const root = byId("strip");
  const beats = element("div", { class: "beats-row", "aria-hidden": "true" });
  const notes = element("div", {
    class: "notes",
    tabindex: 0,
    "aria-label": "Notes of the riff. Arrows move, Shift and arrows change a note.",
  });
  const joins = joining();
  const cursor = element("div", { class: "cursor", "aria-hidden": "true" });
  const fray = element("div", {
    class: "fray-end",
    "aria-hidden": "true",
    title: "Drag to make the riff longer or shorter",
  });
  const hint = element("p", { class: "strip-hint", role: "status" });
  const own = element("div", { class: "own-notes", "aria-hidden": "true" });
  root.append(beats, joins.picture, cursor, fray, notes, own, element("span", { class: "thread" }), hint);
  attachDrag(session, root, notes, fray);
  // Not by a selector that looks inside: each note that is drawn would have it tried again.
  notes.addEventListener("focus", () => root.classList.toggle("reached", notes.matches(":focus-visible")));
  notes.addEventListener("blur", () => root.classList.remove("reached"));
  notes.addEventListener("keydown", (event) => {
    const command = keyCommand(event, session.screen.strip);
    if (!command) return;
    event.preventDefault();
    session.do(command);
    const { strip } = session.screen;
    const selected = strip?.tokens.find((token) => token.selected);
    say(selected?.label ?? strip?.cursorLabel ?? "");
  });

  /** An empty riff says how to begin, and so what keys do while they do not write. */
  function sayHint() {
    const { strip } = session.screen;
    const empty =
      strip?.hint && !session.writingOn ? "The keys only play. Press “Write with keys” to write here." : strip?.hint;
    write(hint, strip?.rangeWarning || empty || "");
  }
  // Where no key writes, no place is shown for the next note.
  const idle = () => cursor.classList.toggle("idle", !session.writingOn);
  idle();
  session.addEventListener("writing", idle);
  session.addEventListener("writing", sayHint);
  // A frame later than the notes: the line is an ornament.
  session.addEventListener("drawn", () => joins.draw(session.screen.strip?.tokens ?? []));

  /** @param {InBarView | null} view */
  const along = (view) => {
    session.followed = view?.tokens ?? null;
    const tokens = session.followed ?? session.screen.strip?.tokens ?? [];
    giveRoom(root, tokens);
    sync(notes, tokens, tokenElement);
    session.dispatchEvent(new CustomEvent("followed"));
  };

  const update = (/** @type {import("../session.js").Changed} */ { grid, strip }) => {
    if (grid) {
      sync(beats, grid.beats, beatElement);
      place(root, { beats: grid.beats.length });
    }
    if (!strip) return;
    // Those of an edited riff are asked for anew.
    session.followed = null;
    giveRoom(root, strip.tokens);
    sync(notes, strip.tokens, tokenElement);
    const listed = strip.tokens.length > 0;
    mark(notes, "role", listed ? "listbox" : "group");
    const selected = strip.tokens.find((token) => token.selected);
    if (selected && listed) mark(notes, "aria-activedescendant", `note-${selected.index}`);
    else notes.removeAttribute("aria-activedescendant");
    place(cursor, { at: strip.cursorAt, width: Math.max(strip.cursorWidth, 0.01) });
    cursor.classList.toggle("on-note", selected !== undefined);
    place(fray, { at: strip.endsAt });
    sayHint();
    hint.classList.toggle("warning", strip.rangeWarning !== "");
    root.classList.toggle("warned", strip.rangeWarning !== "");
  };
  return { update, along };
}

/** @param {import("../pkg/riffloom.js").BeatView} beat */
export function beatElement(beat) {
  const made = element("div", { class: `beat${beat.inside ? "" : " outside"}${beat.first ? " first" : ""}` });
  place(made, { at: beat.at, width: beat.width });
  for (const [index, step] of beat.steps.entries()) {
    const syllable = element(
      "span",
      { class: `count${index === 0 ? "" : " off"}${step.syllable.length > 1 ? " word" : ""}` },
      step.syllable,
    );
    place(syllable, { at: (step.at - beat.at) / beat.width });
    made.append(syllable);
  }
  return made;
}

/** @param {TokenView} token */
export function tokenElement(token) {
  const made = element(
    "div",
    {
      class: `token ${token.role}${token.selected ? " selected" : ""}${token.name.length > 1 ? " signed" : ""}${token.height > 0.5 ? " high" : ""}`,
      id: `note-${token.index}`,
      role: "option",
      "aria-selected": String(token.selected),
      "aria-label": token.label,
      "data-note": token.index,
    },
    element("i", { class: "tail" }),
    shape(token),
    element("b", {}, token.name),
  );
  if (token.accent) made.append(element("span", { class: "accent" }, ">"));
  place(made, { at: token.at, length: token.length, height: token.height });
  return made;
}

/** Notes that lie further apart than this, as a fraction of the strip's height, never cover one another. */
const CLEAR = 0.4;

/**
 * Tells the style sheet how wide a note's head may be, as a fraction of the strip, so that none covers the next.
 * @param {HTMLElement} root the strip
 * @param {TokenView[]} tokens
 */
export function giveRoom(root, tokens) {
  let room = 1;
  for (const [index, { at, height, role }] of tokens.entries()) {
    const next = tokens.find(
      (other, place) => place > index && other.at > at && Math.abs(other.height - height) < CLEAR,
    );
    // What leads to the next chord has a tip.
    if (next) room = Math.min(room, (next.at - at) / (role === "next-chord" ? 1.38 : 1.2));
  }
  place(root, { room });
  root.classList.toggle("narrow", room < 0.062);
}

/** The thin line from note to note, and the picture that it is drawn in. */
export function joining() {
  const line = svg("polyline");
  const drawing = svg("svg", { class: "join", viewBox: "0 0 100 100", preserveAspectRatio: "none" }, line);
  /** @param {TokenView[]} tokens */
  const draw = (tokens) =>
    mark(line, "points", tokens.map((token) => `${token.at * 100},${(1 - token.height) * 100}`).join(" "));
  return { picture: element("div", { class: "joins", "aria-hidden": "true" }, drawing), draw };
}

/**
 * What a key does in the strip.
 * @param {KeyboardEvent} event
 * @param {StripView | undefined} strip
 * @returns {import("../session.js").Command | undefined}
 */
function keyCommand(event, strip) {
  if (event.ctrlKey || event.metaKey) {
    if (event.key.toLowerCase() !== "z") return undefined;
    return { do: event.shiftKey ? "redo" : "undo" };
  }
  const index = strip?.tokens.find((token) => token.selected)?.index;
  const move = (/** @type {number} */ steps, /** @type {number} */ pitch, inScale = true) =>
    index === undefined ? undefined : { do: /** @type {const} */ ("move-note"), index, steps, pitch, inScale };
  switch (event.key) {
    case "ArrowLeft":
      return event.shiftKey ? move(-1, 0) : { do: "move-cursor", steps: -1 };
    case "ArrowRight":
      return event.shiftKey ? move(1, 0) : { do: "move-cursor", steps: 1 };
    case "ArrowUp":
      return move(0, 1, !event.shiftKey);
    case "ArrowDown":
      return move(0, -1, !event.shiftKey);
    case "Home":
      return { do: "place-cursor", tick: 0 };
    case "End":
      return { do: "place-cursor", tick: 1e9 };
    case " ":
      return { do: "enter-rest" };
    case "Delete":
    case "Backspace":
      return { do: "delete-note" };
    case "+":
      return { do: "longer-note" };
    case "-":
      return { do: "shorter-note" };
    case ">":
      return { do: "toggle-accent" };
    case "2":
    case "3":
    case "4":
      return { do: "set-division-here", parts: Number(event.key) };
    default:
      return undefined;
  }
}
