// In "Pass it on": the riff or the chorus as a MIDI file, for another program.
import { Heard } from "../session.js";
import { button, element, write } from "./dom.js";
import { saveAs } from "./files.js";
import { hasChorus } from "./track.js";

/**
 * The part of the panel in which a MIDI file is saved; `refresh` says anew what it would be.
 * @param {import("../session.js").Session} session
 */
export function mountMidiFile(session) {
  const band = element("input", { type: "checkbox", onchange: () => refresh() });
  const swung = element("input", { type: "checkbox" });
  const told = element("p", { class: "hint", role: "status" });
  const save = button("", make, { class: "quiet" });
  const whole = element("section", { class: "track", "aria-labelledby": "midi-title" },
    element("h3", { id: "midi-title" }, "For another music program (MIDI)"),
    element("div", { class: "row" }, element("label", { class: "check" }, band, " With the band"), element("label", { class: "check" }, swung, " Swing as played")),
    element("div", { class: "row" }, save), told);

  function heard() {
    if (hasChorus(session)) return band.checked ? Heard.Chorus : Heard.ChorusAlone;
    return band.checked ? Heard.FormWithRiff : Heard.Riff;
  }

  function refresh() {
    write(save, `Save “${session.app.midiName(heard())}”`);
    write(told, "");
  }

  function make() {
    const bytes = session.app.midiFile(heard(), !swung.checked);
    if (bytes.length === 0) return void write(told, "There is no note in it yet: write one first.");
    saveAs(session.app.midiName(heard()), /** @type {Uint8Array<ArrayBuffer>} */ (bytes), "audio/midi");
    write(told, "Saved. Notes, tempo, key and names are in it.");
  }

  return { whole, refresh };
}
