// Forty minutes with a class: in the help, and at hand on the class page.
import { element } from "./dom.js";

/** Forty minutes with a class: when, and what. The order is common practice, no source. */
const FORTY = [
  [
    "Before",
    "Write a riff of two bars, or take one to start from. “Pass it on”, “For a class”, “Make a lesson”: tick the steps, say what you ask, make the link. Put its picture on the board or print it.",
  ],
  [
    "0 to 5",
    "Tell whose music this is (see below). Listen to the model twice: first for the rhythm, then for the last note.",
  ],
  ["5 to 12", "Everyone claps it. “Call and echo” in the large view: two bars are played, two are the class’s."],
  ["12 to 20", "The link opens on each device. Hear it, clap it, copy it. Those who are done change one note."],
  ["20 to 28", "Make your own. Remind them once of what you ask: how many beats, and how much room."],
  [
    "28 to 32",
    "Hand in, with a seat number or a made-up name: show the picture, or send the link the way your school does. You paste the links.",
  ],
  ["32 to 38", "Play them in turn, names hidden. After three, ask: where was room? Which one would you answer?"],
  ["38 to 40", "Each learner ticks or says one “I can”. Save the table, and keep the chorus for next time."],
];

/** @param {string} name the list's class */
export const fortyMinutes = (name) =>
  element(
    "dl",
    { class: name },
    ...FORTY.flatMap(([when, text]) => [element("dt", {}, when ?? ""), element("dd", {}, text ?? "")]),
  );
