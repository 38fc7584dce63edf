// What help tells: a picture of the page with its parts named, the keys, what is kept where, and a page for teachers.
import { ONE_FILE, isOneFile } from "../where.js";
import { button, byId, element, svg } from "./dom.js";
import { fortyMinutes } from "./forty.js";
import { SKETCHES } from "./help-sketch.js";

/** What each number in the picture names, and what one does there, in the order of the eye. */
const PARTS = [
  ["Where to go", "Five pages, in the order in which one learns. “Just play” asks for nothing."],
  ["Large", "Form and riff for the back of a room. The key 0 does the same, and brings you back."],
  ["Undo, and pass it on", "Every step can be taken back. A link or a sound file is a copy for someone else."],
  ["The tune", "What you play, key, form, feel, tempo, the band. Tap an underlined word to change it."],
  ["Mic", "Sing, hum or play any instrument: the page writes it down, or hears you practise. It is also a tuner."],
  ["Play", "The band begins, and your riff comes again and again. While it plays, Pause and Stop stand here."],
  ["The form", "All bars, with their chords. Tap a bar to read about it; tap it twice to play from there."],
  ["Your notes in each bar", "The shape says what a note is to the chord. The key to the shapes explains them."],
  ["Words", "What you hear in this bar. Tap a note to read about that note."],
  ["The riff’s name and length", "Tap the name to write another. − and + take a beat away or add one."],
  ["Tools", "Write, hear, vary; how a beat is cut; and what to do to one note."],
  ["A note", "As high as its pitch, as long as its tail. Drag it, or its end."],
  ["Loose threads", "Here the riff ends. Drag them to make it longer."],
  ["Keys", "Tap them to play or to write. The marks are the notes in use; home is underlined."],
];

/** Where each number stands in the picture, in its own units of 640 by 300. */
const PLACES = [
  [190, 14],
  [478, 14],
  [622, 14],
  [90, 40],
  [512, 40],
  [588, 40],
  [120, 84],
  [262, 100],
  [552, 110],
  [46, 152],
  [300, 152],
  [120, 196],
  [352, 190],
  [230, 262],
];

/** The same for a phone, whose page stands otherwise: names, what one does there, and places in units of 200 by 360. */
const PHONE = /** @type {[string, string, number, number][]} */ ([
  ["Undo, and pass it on", "Every step can be taken back. A link or a sound file is a copy for someone else.", 150, 12],
  ["The tune", "Key and tempo. Tap it for the rest: what you play, form, feel, the band, notes to use.", 32, 38],
  [
    "Mic",
    "Sing, hum or play any instrument: the page writes it down, or hears you practise. It is also a tuner.",
    76,
    38,
  ],
  ["Play", "The band begins, and your riff comes again and again. While it plays, Pause and Stop stand here.", 146, 38],
  [
    "The form",
    "One line of bars, and a small map of all of them. Tap a bar to read about it; tap it twice to play from there.",
    54,
    84,
  ],
  ["The riff’s name and length", "Tap the name to write another. − and + take a beat away or add one.", 32, 114],
  ["Tools", "Write, hear, vary, play it in; how a beat is cut; and what to do to one note.", 150, 134],
  ["A note", "As high as its pitch, as long as its tail. Drag it, or its end. Loose threads end the riff.", 64, 178],
  ["Keys", "Tap them to play or to write. “lower” and “higher” show others. Home is underlined.", 100, 268],
  ["Words", "What you hear in this bar, and the key to the shapes. Scroll down to read them.", 100, 314],
  ["Where to go", "Five pages, in the order in which one learns. “Just play” asks for nothing.", 100, 345],
]);

/** Keys: where, which, what they do. */
const KEYS = [
  ["Anywhere", "Control and Enter", "plays, or stops"],
  ["", "Escape", "stops what plays, or closes a panel"],
  ["Keys of the computer", "A", "plays home; the letters to its right go up through the notes in use"],
  ["", "the row above, the row below", "the same, an octave higher or lower"],
  ["", "all notes in use", "from A on, every half step"],
  ["The riff", "← →", "move from place to place"],
  ["", "Shift and an arrow", "moves the note, in time or by a half step"],
  ["", "↑ ↓", "move the note through the notes in use"],
  ["", "Space · Delete", "a rest · takes the note out"],
  ["", "+ − > 2 3 4", "longer, shorter, accent, parts of a beat"],
  ["The form", "arrows", "go from bar to bar"],
  ["", "Shift and an arrow", "makes a loop"],
  ["", "Control and Enter", "plays from this bar on"],
  ["The large view", "0 · 7 8 9", "in and out · call and echo, four kinds of instruments, names"],
  ["The chorus", "arrows", "go from bar to bar, or from riff to riff"],
  ["", "Shift and an arrow", "moves a riff by half a beat, or by half a step"],
  ["", "Page Up, Page Down · Delete", "moves it by a bar · takes it out"],
];

const KEPT = [
  [
    "Riffs, choruses, what you practised",
    "in this browser, on this device only. Clearing the browser’s data takes them away.",
  ],
  ["A link", "holds the whole riff or chorus, in the address itself. Nothing is stored anywhere else."],
  [
    "What the microphone hears",
    "is turned into notes on this device and then forgotten. It listens only while its light is on.",
  ],
  [
    "A take",
    "is the sound that you record with “Record” on Practice or Just play. It stays in this browser, on this device only, until you delete it.",
  ],
  ["A sound file", "is saved where your browser saves downloads."],
  ["What is sent", "nothing, unless you share a link or a file. There is no account, and nobody counts."],
];

const TEACHING = [
  "Begin without signs: let them hear two bars, tap them, and play the rhythm on one note. “Your first minute” does this; “Skip this” leaves it out.",
  "Set the ground in the sentence at the top, with “three notes” to use. Then pass the riff on: the link opens with the same key, form, feel and tempo.",
  "Each pupil chooses “I play …” once. Names are then as they read them: a trumpet’s A is the piano’s G.",
  "For a class with one projector there is “Large” at the top, or the key 0: form and riff to be read from the back of the room. Its buttons: “Call and echo” plays two bars, and the next two are the class’s; “Chords for C, B♭, E♭, F” shows each chord as these four kinds of instruments read it; “Hide names” leaves only the shapes, to name notes by ear; “Back”, or Escape, goes back. “Take turns” on the Practice page trades bars between the band and the room.",
  "A lesson is a link: “Pass it on”, then “For a class”. Answers come back as links, pictures or files; you paste them, and they play in turn. Nothing is sent anywhere by itself.",
  "Many microphones in one room hear each other. In a class use keys with headphones, taps, or one microphone in turn.",
  "Nothing is marked right or wrong, and nobody is ranked. After a time through there is one thing to try.",
];

const WHENCE = [
  "African Americans made the blues, in the south of the United States, in the last years of the 1800s and the first of the 1900s: a generation or two after slavery had ended in law, while unequal laws and hard work had not. [1, 2]",
  "Before it there were field hollers, long free calls of one person at work; work songs, in which a leader calls and a group answers in time with the work; and the spirituals of the church. Ways of singing and playing that came from West Africa are in all of them. [1, 3, 4]",
  "Much of it stayed: call and answer between voice and instrument, notes that bend between major and minor, and a singer who tells what happened. The songs speak of work, travel, love and wrong, and they laugh as well. [2, 3, 5]",
  "A verse often has three lines, A A B: a line is sung, sung again, and answered. Each has four bars, of which the voice takes about the first half and an instrument answers in the rest. That is why this page asks you to leave room. [4, 6]",
  "In the 1920s Black women were the first great stars of recorded blues. Later came rhythm and blues, rock and roll, soul and hip-hop. Who plays it today plays what these people made: say so. [5, 2]",
];

/** Books. All named from memory. */
const BOOKS = [
  "Eileen Southern, The Music of Black Americans, 3rd edition, 1997",
  "Amiri Baraka (LeRoi Jones), Blues People, 1963",
  "Lawrence W. Levine, Black Culture and Black Consciousness, 1977",
  "Gerhard Kubik, Africa and the Blues, 1999",
  "Angela Y. Davis, Blues Legacies and Black Feminism, 1998",
  "David Evans, Big Road Blues, 1982",
];

/** @param {import("../session.js").Session} session */
export function mountHelpPages(session) {
  const root = byId("help-more");
  const panel = byId("help-panel");
  // In a row of its own: it covers nothing.
  panel.prepend(
    element(
      "div",
      { class: "help-close" },
      panel.querySelector("h2") ?? "",
      button("Close", () => byId("help").click(), { class: "quiet" }),
    ),
  );
  const title = element("h3", {});
  const shown = element("div", {});
  /** The page that one comes from. */
  const draw = () => {
    const sketch = SKETCHES[session.place];
    title.textContent = `The ${sketch?.title ?? "Riff"} page`;
    const [wide, phone] = sketch
      ? [
          [sketched(sketch.parts, true), named(sketch.parts)],
          [sketched(sketch.parts, false), named(sketch.parts)],
        ]
      : [
          [picture(), named(PARTS)],
          [phonePicture(), named(PHONE)],
        ];
    shown.replaceChildren(
      element("div", { class: "help-picture help-wide" }, ...wide),
      element("div", { class: "help-picture help-phone" }, ...phone),
    );
  };
  byId("help").addEventListener("click", draw);
  draw();
  root.append(
    title,
    shown,
    fold("Keys of the computer", keys()),
    fold(
      "Practising",
      element(
        "p",
        {},
        "You play it yourself: one bar is counted in, and afterwards you read how it went and one thing to try. Tap along to some clicks once, so that early and late can be told.",
      ),
    ),
    fold(
      "What is kept where",
      element(
        "dl",
        { class: "help-kept" },
        ...KEPT.flatMap(([name, text]) => [element("dt", {}, name ?? ""), element("dd", {}, text ?? "")]),
      ),
    ),
    fold("Without a network", withoutNetwork()),
    fold("A lesson of forty minutes", fortyMinutes("help-kept")),
    fold(
      "Where the blues comes from",
      element(
        "div",
        { class: "help-whence" },
        ...WHENCE.map((text) => element("p", {}, text)),
        element("p", {}, "Books, named from memory:"),
        element("ol", {}, ...BOOKS.map((text) => element("li", {}, text))),
      ),
    ),
    fold("For teachers", element("ul", { class: "help-teaching" }, ...TEACHING.map((text) => element("li", {}, text)))),
  );
}

/** The list to the numbers of a picture. @param {unknown[][]} parts */
function named(parts) {
  return element(
    "ol",
    {},
    ...parts.map(([name, text]) => element("li", {}, element("b", {}, String(name)), ` ${String(text)}`)),
  );
}

/**
 * @param {string} title
 * @param {HTMLElement} inside
 */
function fold(title, inside) {
  return element("details", { class: "help-fold" }, element("summary", {}, title), inside);
}

function keys() {
  return element(
    "table",
    { class: "help-keys" },
    element(
      "thead",
      {},
      element("tr", {}, ...["Where", "Key", "What it does"].map((text) => element("th", { scope: "col" }, text))),
    ),
    element(
      "tbody",
      {},
      ...KEYS.map(([where, key, does]) =>
        element(
          "tr",
          {},
          element("td", {}, where ?? ""),
          element("td", {}, element("b", {}, key ?? "")),
          element("td", {}, does ?? ""),
        ),
      ),
    ),
  );
}

/** An empty picture, and what puts a box into it. @param {number} width @param {number} height */
function canvas(width, height) {
  const drawing = svg("svg", {
    viewBox: `0 0 ${width} ${height}`,
    role: "img",
    "aria-label": "The page in small, with numbers for its parts",
  });
  const box = (/** @type {string} */ kind, /** @type {number[]} */ [x = 0, y = 0, width = 0, height = 0], rx = 3) =>
    drawing.append(svg("rect", { class: kind, x, y, width, height, rx }));
  const dot = (
    /** @type {string} */ kind,
    /** @type {number} */ cx,
    /** @type {number} */ cy,
    /** @type {number} */ r,
  ) => drawing.append(svg("circle", { class: kind, cx, cy, r }));
  const numbers = (/** @type {number[][]} */ places, /** @type {number} */ r) =>
    places.forEach(([x = 0, y = 0], index) => {
      dot("spot", x, y, r);
      drawing.append(text(x, y + 5, String(index + 1)));
    });
  box("paper", [0, 0, width, height], 8);
  return { drawing, box, dot, numbers };
}

/**
 * A page in small, drawn from its parts.
 * @param {import("./help-sketch.js").Part[]} parts
 * @param {boolean} isWide
 */
function sketched(parts, isWide) {
  const { drawing, box, numbers } = isWide ? canvas(640, 300) : canvas(200, 360);
  const places = parts.map(([, , , wide, phone]) => (isWide ? wide : phone));
  box("cloth", isWide ? [0, 27, 640, 26] : [0, 24, 200, 26], 0);
  // On a phone the pages stand at the foot.
  if (!isWide) box("cloth", [0, 340, 200, 20], 0);
  parts.forEach(([, , kind], index) => box(kind, places[index] ?? [], kind === "rim" || kind === "ink" ? 8 : 3));
  numbers(
    // In a large box near its top: what lies in it has numbers of its own.
    places.map(([x = 0, y = 0, width = 0, height = 0]) => [x + width / 2, y + (height > 50 ? 14 : height / 2)]),
    isWide ? 12 : 10,
  );
  return drawing;
}

/** The page of a phone in small. */
function phonePicture() {
  const { drawing, box, dot, numbers } = canvas(200, 360);
  box("cloth", [0, 24, 200, 46], 0);
  box("rim", [8, 28, 48, 20], 10);
  box("rim", [62, 28, 28, 20], 10);
  box("ink", [96, 28, 96, 20], 10);
  for (let bar = 0; bar < 12; bar++) box(bar < 4 ? "spot" : "pane", [104 + bar * 7.2, 54, 6.4, 10], 0);
  for (let bar = 0; bar < 4; bar++) {
    box("cloth", [8 + bar * 46, 74, 44, 26], 0);
    dot("madder", 20 + bar * 46, 90, 3);
    dot("indigo", 34 + bar * 46, 86, 3);
  }
  for (const [x, y, width] of [
    [134, 106, 58],
    [8, 124, 88],
    [102, 124, 90],
    [8, 140, 60],
    [74, 140, 100],
  ])
    box("rim", [x ?? 0, y ?? 0, width ?? 0, 13], 6);
  box("pane", [8, 158, 184, 52]);
  for (const [x, y, kind] of /** @type {[number, number, string][]} */ ([
    [24, 192, "madder"],
    [64, 178, "indigo"],
    [112, 190, "madder"],
  ])) {
    box(`${kind} hold`, [x, y - 3, 26, 6]);
    dot(kind, x, y, 8);
  }
  drawing.append(
    svg("path", {
      class: "loose",
      d: "M150 162q8-2 14 1M150 172q6 2 10 0M150 182q9-2 16 1M150 192q5 2 9-1M150 202q8-1 13 1",
    }),
  );
  box("rim", [8, 214, 50, 13], 6);
  box("rim", [142, 214, 50, 13], 6);
  for (let key = 0; key < 8; key++) box("key", [8 + key * 23, 232, 22, 62]);
  for (const key of [0, 1, 3, 4, 5]) box("ink", [25 + key * 23, 232, 12, 36], 2);
  box("pane", [8, 302, 184, 24], 6);
  box("cloth", [0, 330, 200, 30], 0);
  numbers(
    PHONE.map(([, , x, y]) => [x, y]),
    10,
  );
  return drawing;
}

/** The page in small, with numbers where its parts are. */
function picture() {
  const { drawing, box, dot, numbers } = canvas(640, 300);
  box("cloth", [0, 27, 640, 26], 0);
  box("rim", [496, 31, 36, 18], 9);
  box("ink", [540, 31, 92, 18], 9);
  for (let line = 0; line < 3; line++)
    for (let bar = 0; bar < 4; bar++) {
      box("cloth", [8 + bar * 115, 60 + line * 28, 113, 25], 0);
      dot("madder", 30 + bar * 115, 76 + line * 28, 3);
      dot("indigo", 62 + bar * 115, 72 + line * 28, 3);
    }
  for (const [x, width] of [
    [8, 60],
    [130, 90],
    [226, 70],
    [302, 80],
    [388, 78],
  ])
    box("rim", [x ?? 0, 144, width ?? 0, 16], 8);
  box("pane", [8, 164, 458, 66]);
  for (const [x, y, kind] of /** @type {[number, number, string][]} */ ([
    [60, 204, "madder"],
    [120, 186, "indigo"],
    [200, 192, "madder"],
    [290, 208, "madder"],
  ])) {
    box(`${kind} hold`, [x, y - 3, 54, 6]);
    dot(kind, x, y, 9);
  }
  drawing.append(
    svg("path", {
      class: "loose",
      d: "M352 168q8-2 14 1M352 178q6 2 10 0M352 188q9-2 16 1M352 198q5 2 9-1M352 208q8-1 13 1M352 218q6 2 10 0",
    }),
  );
  for (let key = 0; key < 15; key++) box("key", [8 + key * 30.5, 236, 29.5, 58]);
  for (const key of [0, 1, 3, 4, 5, 7, 8, 10, 11, 12]) box("ink", [30 + key * 30.5, 236, 17, 34], 2);
  for (const [y, height] of [
    [60, 96],
    [162, 66],
    [234, 60],
  ])
    box("pane", [476, y ?? 0, 156, height ?? 0], 6);
  numbers(PLACES, 12);
  return drawing;
}

/**
 * @param {number} x
 * @param {number} y
 * @param {string} words
 */
function text(x, y, words) {
  const made = svg("text", { x, y, "text-anchor": "middle" });
  made.textContent = words;
  return made;
}

/** How the page is used where there is no network, or no address. */
function withoutNetwork() {
  if (isOneFile)
    return element(
      "p",
      {},
      "This page is one file. Copy it to a stick or another computer and open it there. What you write is kept by the browser that you opened it with. To take it along, use “Save it all to a file” in the notebook.",
    );
  return element(
    "div",
    {},
    element("p", {}, "Once it has been opened, this page also opens without a network."),
    element(
      "p",
      {},
      element("a", { href: ONE_FILE, download: ONE_FILE }, "Save Riffloom as one file"),
      " for computers that have no network: put it on a stick and open it with a double click. What you write there is kept there.",
    ),
  );
}
