// In "Pass it on": the riff or the chorus as a file of music, for another program.
import { Heard } from "../session.js";
import { button, element, write } from "./dom.js";
import { saveAs } from "./files.js";
import { hasChorus } from "./track.js";

/** How the name of a file ends, what it is for, and its type. @type {Record<string, { text: string, type: string, saved: string }>} */
const KINDS = {
  mid: { text: "to play and arrange (MIDI)", type: "audio/midi", saved: "Notes, tempo, key and names are in it." },
  musicxml: {
    text: "to print and edit (MusicXML)",
    type: "application/vnd.recordare.musicxml+xml",
    saved: "It is written as your instrument reads it, with chords and tempo.",
  },
  mxl: {
    text: "to print and edit, packed (MXL)",
    type: "application/vnd.recordare.musicxml",
    saved: "It is the same as MusicXML, and smaller.",
  },
  abc: {
    text: "to read as text (ABC)",
    type: "text/vnd.abc",
    saved: "It is written as it sounds, with chords and tempo.",
  },
};

/**
 * The part of the panel in which a file of music is saved; `refresh` says anew what it would be.
 * @param {import("../session.js").Session} session
 */
export function mountMusicFile(session) {
  const kind = element(
    "select",
    { id: "music-kind", onchange: () => refresh() },
    ...Object.entries(KINDS).map(([value, { text }]) => element("option", { value }, text)),
  );
  const band = element("input", { type: "checkbox", onchange: () => refresh() });
  const swung = element("input", { type: "checkbox" });
  const played = element(
    "div",
    { class: "row" },
    element("label", { class: "check" }, band, " With the band"),
    element("label", { class: "check" }, swung, " Swing as played"),
  );
  const told = element("p", { class: "hint", role: "status" });
  const save = button("", make, { class: "quiet" });
  const whole = element(
    "section",
    { class: "track", "aria-labelledby": "music-title" },
    element("h3", { id: "music-title" }, "For another music program"),
    element("div", { class: "row" }, element("label", { for: "music-kind" }, "A file"), kind),
    played,
    element("div", { class: "row" }, save),
    told,
  );

  function heard() {
    const withBand = band.checked && kind.value === "mid";
    if (hasChorus(session)) return withBand ? Heard.Chorus : Heard.ChorusAlone;
    return withBand ? Heard.FormWithRiff : Heard.Riff;
  }

  function refresh() {
    played.hidden = kind.value !== "mid";
    write(save, `Save “${session.app.musicName(heard(), kind.value)}”`);
    write(told, "");
  }

  function make() {
    const bytes = session.app.musicFile(heard(), kind.value, !swung.checked);
    if (bytes.length === 0) return void write(told, "There is no note in it yet: write one first.");
    const { type, saved } = KINDS[kind.value] ?? { type: "", saved: "" };
    saveAs(session.app.musicName(heard(), kind.value), /** @type {Uint8Array<ArrayBuffer>} */ (bytes), type);
    write(told, `Saved. ${saved}`);
  }

  return { whole, refresh };
}
