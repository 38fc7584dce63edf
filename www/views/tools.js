// The tools of the strip: name, length, division, rest, accent, longer, shorter, delete, undo, redo.
import { freshId } from "../ids.js";
import { Heard } from "../session.js";
import { button, byId, element, mark, place, svg } from "./dom.js";
import { lengthControl } from "./length.js";
import { ways } from "./vary.js";

/** Into how many parts a beat may fall. */
const DIVISIONS = [2, 3, 4];

/** What is done to a note, drawn in a field of 20 by 20: the head of a note is a full dot. */
const ICONS = {
  accent: ["M5 5 L15 10 L5 15", ""],
  longer: ["M8 10 H17 M14 7 l3 3 -3 3", "M7.5 10 a2.8 2.8 0 1 1 -5.6 0 a2.8 2.8 0 1 1 5.6 0"],
  shorter: ["M18 10 H11 M14 7 l-3 3 3 3", "M7.5 10 a2.8 2.8 0 1 1 -5.6 0 a2.8 2.8 0 1 1 5.6 0"],
  delete: ["M6 6 l8 8 M14 6 l-8 8", ""],
};

/** @param {keyof typeof ICONS} name */
function icon(name) {
  const [line, full] = ICONS[name];
  return svg(
    "svg",
    { class: "icon", viewBox: "0 0 20 20", "aria-hidden": "true" },
    svg("path", { d: line ?? "" }),
    svg("path", { d: full ?? "", class: "full" }),
  );
}

/** Words of a button that a narrow screen leaves out. @param {string} text */
const long = (text) => element("span", { class: "long" }, text);

/**
 * Begins a riff; the hands go to the keys.
 * @param {import("../session.js").Session} session
 */
export function newRiff(session) {
  const { strip } = session.screen;
  // One that nobody has written or named yet is new enough.
  if (!strip || strip.tokens.length > 0 || strip.name !== "" || session.screen.vary?.on)
    session.do({ do: "new-riff", id: freshId() });
  session.setWriting(true);
  const home = document.querySelector('#keyboard .key[tabindex="0"]');
  if (home instanceof HTMLElement) home.focus({ preventScroll: true });
}

/** @param {import("../session.js").Session} session */
export function mountTools(session) {
  const root = byId("tools");
  const name = element("input", {
    class: "riff-name",
    type: "text",
    maxlength: 60,
    placeholder: "Name it",
    "aria-label": "Name of the riff",
    autocomplete: "off",
  });
  name.addEventListener("change", () => {
    const id = session.screen.strip?.id;
    if (id) session.do({ do: "rename-riff", id, name: name.value });
  });
  const beats = (/** @type {number} */ by) =>
    session.do({ do: "set-riff-beats", beats: (session.screen.strip?.beatsCount ?? 8) + by });
  const length = lengthControl(session);
  const fewer = button("−", () => beats(-1), { class: "small", "aria-label": "One beat shorter" });
  const more = button("+", () => beats(1), { class: "small", "aria-label": "One beat longer" });
  const write = button("Write", () => session.setWriting(!session.writingOn), {
    class: "tool write",
    "aria-pressed": "false",
    "aria-label": "Write with keys",
  });
  write.append(long(" with keys"));
  const divisions = DIVISIONS.map((parts) => {
    const made = button(String(parts), () => session.do({ do: "set-division-here", parts }), {
      class: "tool",
      "aria-pressed": "false",
      "aria-label": `${parts} to a beat`,
      title: `${parts} to a beat`,
    });
    if (parts === 2) made.append(long(" to a beat"));
    return made;
  });
  const tool = (/** @type {string} */ text, /** @type {any} */ command, label = text) =>
    button(text, () => session.do(command), { class: "tool", "aria-label": label });
  const drawn = (/** @type {keyof typeof ICONS} */ name, /** @type {any} */ command, /** @type {string} */ label) => {
    const made = button("", () => session.do(command), { class: "tool", "aria-label": label, title: label });
    made.append(icon(name));
    return made;
  };
  const accent = drawn("accent", { do: "toggle-accent" }, "Accent");
  accent.setAttribute("aria-pressed", "false");
  const onNote = [
    accent,
    drawn("longer", { do: "longer-note" }, "Longer"),
    drawn("shorter", { do: "shorter-note" }, "Shorter"),
    drawn("delete", { do: "delete-note" }, "Delete"),
  ];
  const undo = tool("↶", { do: "undo" }, "Undo");
  const redo = tool("↷", { do: "redo" }, "Redo");
  const hear = button("Hear it", () => session.play(Heard.Riff), { class: "tool hear" });
  const vary = ways(session, "Vary");
  const fresh = button("New riff", () => newRiff(session), { class: "tool" });
  const group = (/** @type {string} */ label, /** @type {HTMLElement[]} */ ...inside) =>
    element("span", { class: "group", role: "group", "aria-label": label }, ...inside);
  const rows = element(
    "span",
    { class: "tool-rows" },
    group("The riff", fresh, hear, vary.root),
    group("How it is written", write),
    group("Parts of a beat", ...divisions),
    group("The note", tool("Rest", { do: "enter-rest" }), ...onNote),
  );
  root.append(
    element("span", { class: "riff-head" }, name, element("span", { class: "beats" }, fewer, length.root, more)),
    rows,
  );
  // Where they are one row that is pushed along, this says that there are more, and pushes.
  const onward = button("›", () => pushed().scrollBy({ left: pushed().clientWidth * 0.7 }), {
    class: "tool onward",
    "aria-label": "More tools",
  });
  root.append(onward);
  // The name stands above them, or goes along.
  const pushed = () => (rows.clientWidth > 0 ? rows : root);
  const reach = () => {
    const { scrollLeft, clientWidth, scrollWidth } = pushed();
    onward.classList.toggle("end", scrollLeft + clientWidth > scrollWidth - 8);
  };
  for (const each of [root, rows]) each.addEventListener("scroll", reach, { passive: true });
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
