// In "Pass it on": the riff or the chorus as a file of music for another program, or as a picture.
import { Heard } from "../session.js";
import { button, element, write } from "./dom.js";
import { saveAs } from "./files.js";
import { hasChorus } from "./track.js";

/** @typedef {import("./picture.js").Sight} Sight */

/** How the name of a file of music ends, what it is for, and its type. @type {Record<string, { text: string, type: string, saved: string }>} */
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
    saved: "It is written as it sounds (in concert pitch), with chords and tempo.",
  },
};

/** Pictures: of what, and how the name of the file ends. @type {Record<string, { text: string, sight: Sight, ending: string }>} */
const PICTURES = {
  "staff.png": { text: "the staff (PNG)", sight: "staff", ending: "png" },
  "staff.svg": { text: "the staff, sharp at any size (SVG)", sight: "staff", ending: "svg" },
  "weave.png": { text: "the weave (PNG)", sight: "weave", ending: "png" },
  "weave.svg": { text: "the weave, sharp at any size (SVG)", sight: "weave", ending: "svg" },
};

/** How pictures are to be read. @type {Record<Sight, string>} */
const READS = {
  staff: "It is written as the staff on this page is, black on white.",
  weave:
    "Time runs to the right, and higher notes lie higher. The dye is what a note is to its chord. " +
    "The key in its name is the one that sounds (concert pitch).",
};

/** What the tick for swing does. */
const SWUNG = "Ticked: long and short, as you hear it. Not ticked: even, for a program that swings by itself.";

const NO_NOTE = "There is no note in it yet: write one first.";

/**
 * The part of the panel in which a file of music is saved; `refresh` says anew what it would be.
 * @param {import("../session.js").Session} session
 */
export function mountMusicFile(session) {
  const kind = element(
    "select",
    { id: "music-kind", onchange: () => refresh() },
    group("Music", KINDS),
    group("A picture", PICTURES),
  );
  const band = element("input", { type: "checkbox", onchange: () => refresh() });
  const swung = element("input", { type: "checkbox" });
  const played = element(
    "div",
    { class: "row" },
    element("label", { class: "check" }, band, " With the band"),
    element("label", { class: "check" }, swung, " Swing as played"),
  );
  const swings = element("p", { class: "hint" }, SWUNG);
  const told = element("p", { class: "hint", role: "status" });
  const save = button("", () => void make(), { class: "quiet" });
  const whole = element(
    "section",
    { class: "track", "aria-labelledby": "music-title" },
    element("h3", { id: "music-title" }, "For another program"),
    element("div", { class: "row" }, element("label", { for: "music-kind" }, "A file"), kind),
    played,
    swings,
    element("div", { class: "row" }, save),
    told,
  );

  function heard() {
    const withBand = band.checked && kind.value === "mid";
    if (hasChorus(session)) return withBand ? Heard.Chorus : Heard.ChorusAlone;
    return withBand ? Heard.FormWithRiff : Heard.Riff;
  }

  function refresh() {
    const chosen = kind.value;
    const picture = PICTURES[chosen];
    played.hidden = swings.hidden = chosen !== "mid";
    // Before it is saved, so that nobody is surprised by the key.
    write(told, KINDS[chosen]?.saved ?? (picture ? READS[picture.sight] : ""));
    if (!picture) return void write(save, `Save “${session.app.musicName(heard(), chosen)}”`);
    write(save, "Save the picture");
    void pictures().then((room) => {
      const name = room?.pictureName(session, picture.sight, hasChorus(session), picture.ending);
      if (name && kind.value === chosen) write(save, `Save “${name}”`);
    });
  }

  /** The engraver and its room, which come when a picture is wanted; nothing where they do not. */
  async function pictures() {
    if (!(await session.opened("staff"))) return null;
    return import("./picture.js").catch((error) => {
      console.info("A part of the page did not come:", error);
      session.dispatchEvent(new CustomEvent("missing"));
      return null;
    });
  }

  async function make() {
    const picture = PICTURES[kind.value];
    if (picture) {
      const room = await pictures();
      if (!room) return;
      const isChorus = hasChorus(session);
      if (!room.pictureName(session, picture.sight, isChorus, picture.ending)) return void write(told, NO_NOTE);
      await room.savePicture(session, picture.sight, isChorus, picture.ending);
      return void write(told, `Saved. ${READS[picture.sight]}`);
    }
    const bytes = session.app.musicFile(heard(), kind.value, !swung.checked);
    if (bytes.length === 0) return void write(told, NO_NOTE);
    const { type, saved } = KINDS[kind.value] ?? { type: "", saved: "" };
    saveAs(session.app.musicName(heard(), kind.value), /** @type {Uint8Array<ArrayBuffer>} */ (bytes), type);
    write(told, ["Saved.", saved, session.app.unsung(heard(), kind.value)].filter(Boolean).join(" "));
  }

  return { whole, refresh };
}

/** @param {string} label @param {Record<string, { text: string }>} kinds */
function group(label, kinds) {
  const options = Object.entries(kinds).map(([value, { text }]) => element("option", { value }, text));
  return element("optgroup", { label }, ...options);
}
