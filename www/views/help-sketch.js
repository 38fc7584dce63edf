// Help's pictures of the pages beside Riff: each drawn from its parts alone, a box and a number for each.

/**
 * A part of a page: its name, what one does there, how its box looks, where it is on a wide page (of 640 by 300), and on a
 * phone (of 200 by 360).
 * @typedef {[string, string, string, number[], number[]]} Part
 */

/** @type {Part} */
const TUNE = [
  "The tune",
  "Key, form, feel, tempo, the band: the same on every page.",
  "cloth",
  [0, 27, 440, 26],
  [8, 28, 76, 20],
];

/** By the page's name in data. @type {Record<string, { title: string, parts: Part[] }>} */
export const SKETCHES = {
  practice: {
    title: "Practice",
    parts: [
      TUNE,
      [
        "Start practising",
        "One bar is counted in. Then you play, and the page listens to your keys, taps or microphone.",
        "ink",
        [540, 31, 92, 18],
        [92, 28, 100, 20],
      ],
      [
        "How you practise",
        "A sentence: what you do, with which riff or chorus, how fast. Tap a word to change it; “more” has the rest, and the drills.",
        "pane",
        [8, 58, 300, 18],
        [8, 76, 150, 20],
      ],
      [
        "The form",
        "The bar that sounds is lifted. Tap a bar to begin there.",
        "cloth",
        [8, 82, 458, 82],
        [8, 102, 184, 36],
      ],
      [
        "What to play",
        "The riff, or the riff of the chorus that comes now. Afterwards a circle under each note says how often it came.",
        "pane",
        [8, 170, 458, 62],
        [8, 144, 184, 56],
      ],
      ["Hear it", "The riff once more, before you play it.", "rim", [410, 174, 52, 16], [140, 148, 48, 16]],
      [
        "Keys",
        "Play here, on a computer’s letters, a MIDI keyboard, or your own instrument with “Mic”.",
        "key",
        [8, 238, 458, 56],
        [8, 208, 184, 60],
      ],
      [
        "How it went",
        "After you stop: what came, one thing to try, and one button that goes on. No marks.",
        "pane",
        [476, 82, 156, 90],
        [8, 276, 184, 24],
      ],
      [
        "Show the numbers",
        "Early or late, note by note, for whoever wants them.",
        "pane",
        [476, 178, 156, 24],
        [8, 304, 184, 14],
      ],
      [
        "Tap along",
        "Once on each device: it finds this device’s own delay, so that early and late are right.",
        "rim",
        [476, 212, 70, 18],
        [8, 322, 60, 14],
      ],
    ],
  },
  chorus: {
    title: "Chorus",
    parts: [
      TUNE,
      ["Play", "The whole chorus with the band.", "ink", [540, 31, 92, 18], [92, 28, 100, 20]],
      [
        "Which chorus",
        "Its name; tap it to rename it or to take up another.",
        "rim",
        [8, 58, 130, 18],
        [8, 58, 110, 18],
      ],
      [
        "Once through, or more",
        "− and + say how often the form is gone through.",
        "rim",
        [160, 58, 90, 18],
        [8, 80, 90, 18],
      ],
      [
        "Suggest a chorus",
        "Ideas woven from your riffs, each with its reasons. Yours is safe until you take one.",
        "ink",
        [540, 58, 92, 18],
        [104, 80, 88, 18],
      ],
      ["The lines", "Tap a bar to say where the next riff goes.", "cloth", [8, 82, 624, 42], [8, 104, 184, 40]],
      [
        "A woven riff",
        "Filled where it sounds, loose where it rests. Tap it to change it here only; drag it to move it.",
        "indigo",
        [8, 128, 220, 16],
        [8, 148, 80, 16],
      ],
      [
        "Between riffs",
        "How far the next one begins from where the last one ended.",
        "cloth",
        [236, 128, 90, 16],
        [94, 148, 98, 16],
      ],
      ["Staff", "All of it as written music, to read or to print.", "rim", [330, 58, 60, 18], [126, 58, 66, 18]],
      [
        "Your riffs",
        "“Put it here” puts a riff into the bar that is chosen; or drag it there.",
        "pane",
        [8, 196, 306, 70],
        [8, 196, 184, 50],
      ],
      [
        "How it hangs together",
        "What opens, comes again and answers, where there is room, and where the chords are met.",
        "pane",
        [324, 196, 308, 70],
        [8, 252, 184, 50],
      ],
      [
        "Words",
        "A verse over the lines, syllable by syllable. A sung line can become a riff.",
        "pane",
        [8, 272, 624, 22],
        [8, 308, 184, 22],
      ],
    ],
  },
  notebook: {
    title: "Notebook",
    parts: [
      TUNE,
      [
        "Ten minutes for today",
        "What to practise, in order: what is due first. Skip what you like.",
        "pane",
        [8, 86, 624, 28],
        [8, 84, 184, 44],
      ],
      ["New riff", "An empty riff, on the Riff page.", "ink", [120, 60, 70, 18], [110, 58, 76, 18]],
      [
        "Riffs to start from",
        "A shelf of ready riffs and choruses: hear them, take the ones you like, change them.",
        "pane",
        [8, 122, 306, 22],
        [8, 134, 184, 22],
      ],
      [
        "A riff’s card",
        "Its cloth: time runs to the right, higher notes lie higher, the dye is what a note is to its chord. Tap it to go on writing it.",
        "pane",
        [8, 152, 150, 92],
        [8, 162, 184, 60],
      ],
      ["Hear it, Practise it", "Straight from the card.", "rim", [16, 200, 134, 16], [16, 196, 168, 16]],
      [
        "Rename, Duplicate, Delete",
        "Undo brings back what was deleted.",
        "rim",
        [16, 222, 134, 14],
        [16, 228, 168, 14],
      ],
      [
        "Save it all to a file",
        "The notebook is on this device only. A file is a copy for another device, or for later.",
        "rim",
        [370, 252, 110, 18],
        [8, 250, 184, 18],
      ],
      ["Choruses", "Kept choruses, with the same buttons.", "pane", [8, 274, 306, 22], [8, 276, 184, 40]],
    ],
  },
  play: {
    title: "Just play",
    parts: [
      TUNE,
      [
        "Play with the band",
        "The band goes round and round. Nothing is asked of you.",
        "ink",
        [540, 31, 92, 18],
        [92, 28, 100, 20],
      ],
      ["Mic", "Play your own instrument, or sing, instead of the keys.", "rim", [496, 31, 36, 18], [60, 52, 40, 18]],
      [
        "The form",
        "The chord that sounds is lifted; above it stands which chord comes next, and when.",
        "cloth",
        [8, 60, 624, 84],
        [8, 76, 184, 84],
      ],
      [
        "Keys",
        "The marks are notes that suit the chord that sounds: they change with it.",
        "key",
        [8, 150, 624, 60],
        [8, 168, 184, 60],
      ],
      [
        "What you played",
        "Stands here when you stop, line by line. The last few times are kept.",
        "pane",
        [8, 218, 624, 30],
        [8, 236, 184, 34],
      ],
      [
        "Riffs to keep",
        "Ideas of yours, each with a reason. “Keep it” puts one into the notebook.",
        "pane",
        [8, 256, 306, 38],
        [8, 276, 184, 24],
      ],
      [
        "Your riffs in it",
        "Riffs from your notebook that came up by themselves, and how you met the changes.",
        "pane",
        [324, 256, 308, 38],
        [8, 304, 184, 20],
      ],
    ],
  },
};
