// The tools of the strip: name, length, division, rest, accent, longer, shorter, delete, undo, redo.
import { freshId } from "../ids.js";
import { Heard } from "../session.js";
import { button, byId, element, mark, place } from "./dom.js";
import { lengthControl } from "./length.js";
import { ways } from "./vary.js";

/** Into how many parts a beat may fall. */
const DIVISIONS = [2, 3, 4];

/**
 * Begins a riff; the hands go to the keys.
 * @param {import("../session.js").Session} session
 */
export function newRiff(session) {
  session.do({ do: "new-riff", id: freshId() });
  session.setWriting(true);
  const home = document.querySelector('#keyboard .key[tabindex="0"]');
  if (home instanceof HTMLElement) home.focus({ preventScroll: true });
}

/** @param {import("../session.js").Session} session */
export function mountTools(session) {
  const root = byId("tools");
  const name = element("input", { class: "riff-name", type: "text", maxlength: 60, placeholder: "Name it", "aria-label": "Name of the riff", autocomplete: "off" });
  name.addEventListener("change", () => {
    const id = session.screen.strip?.id;
    if (id) session.do({ do: "rename-riff", id, name: name.value });
  });
  const beats = (/** @type {number} */ by) => session.do({ do: "set-riff-beats", beats: (session.screen.strip?.beatsCount ?? 8) + by });
  const length = lengthControl(session);
  const fewer = button("−", () => beats(-1), { class: "small", "aria-label": "One beat shorter" });
  const more = button("+", () => beats(1), { class: "small", "aria-label": "One beat longer" });
  const write = button("Write with keys", () => session.setWriting(!session.writingOn), { class: "tool write", "aria-pressed": "false" });
  const divisions = DIVISIONS.map((parts) =>
    button(parts === 2 ? "2 to a beat" : String(parts), () => session.do({ do: "set-division-here", parts }), {
      class: "tool", "aria-pressed": "false", "aria-label": `${parts} to a beat`,
    }));
  const tool = (/** @type {string} */ text, /** @type {any} */ command, label = text) =>
    button(text, () => session.do(command), { class: "tool", "aria-label": label });
  const accent = tool("> Accent", { do: "toggle-accent" }, "Accent");
  accent.setAttribute("aria-pressed", "false");
  const onNote = [accent, tool("Longer", { do: "longer-note" }), tool("Shorter", { do: "shorter-note" }), tool("Delete", { do: "delete-note" })];
  const undo = tool("↶", { do: "undo" }, "Undo");
  const redo = tool("↷", { do: "redo" }, "Redo");
  const hear = button("Hear it", () => session.play(Heard.Riff), { class: "tool hear" });
  const vary = ways(session, "Vary");
  const fresh = button("New riff", () => newRiff(session), { class: "tool" });
  root.append(
    element("span", { class: "riff-head" }, name, element("span", { class: "beats" }, fewer, length.root, more)),
    element("span", { class: "group" }, fresh, hear, vary.root, write),
    element("span", { class: "group", role: "group", "aria-label": "Parts of a beat" }, ...divisions),
    element("span", { class: "group" }, tool("Rest", { do: "enter-rest" }), ...onNote),
  );
  byId("steps-back").append(undo, redo);
  session.addEventListener("writing", () => write.setAttribute("aria-pressed", String(session.writingOn)));
  write.setAttribute("aria-pressed", String(session.writingOn));

  return (/** @type {import("../session.js").Changed} */ { strip, tune, vary: varied }) => {
    if (varied) root.hidden = varied.on || session.taking.listening || session.taking.taken;
    if (tune) {
      undo.disabled = !tune.canUndo;
      redo.disabled = !tune.canRedo;
    }
    if (!strip) return;
    if (document.activeElement !== name && name.value !== strip.name) name.value = strip.name;
    place(name, { letters: name.value.length });
    length.update(strip);
    fewer.disabled = strip.beatsCount <= 1;
    more.disabled = strip.beatsCount >= 16;
    for (const [index, each] of divisions.entries()) mark(each, "aria-pressed", DIVISIONS[index] === strip.division);
    for (const each of onNote) each.disabled = !strip.hasTarget;
    mark(accent, "aria-pressed", strip.targetAccent);
    hear.disabled = vary.opener.disabled = strip.tokens.length === 0;
  };
}
