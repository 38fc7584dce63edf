// Words beside the riff: what is heard, the riff's shape, and the key to the shapes.
import { byId, element, sync, write } from "./dom.js";
import { firstMinute } from "./first-minute.js";
import { shape } from "./shapes.js";

/** @typedef {import("../pkg/riffloom.js").SentenceView} SentenceView */

/** Shape, name, what it means. */
export const KEY = /** @type {const} */ ([
  [{ role: "in-chord", blue: false }, "in the chord", "at rest"],
  [{ role: "blue", blue: false }, "blue note", "bent, bluesy"],
  [{ role: "next-chord", blue: false }, "coming next", "not in this chord, but in the next one"],
  [{ role: "other", blue: false }, "outside note", "in neither this chord nor the next"],
  [{ role: "in-chord", blue: true }, "both", "in the chord, and blue"],
  [{ role: "other", blue: false, rubs: true }, "frayed", "clashes with the chord"],
]);

/** From this width of the window on the words stand beside the riff. */
const BESIDE = "(min-width: 1100px)";

/** @param {import("../session.js").Session} session */
export function mountWords(session) {
  const root = byId("words");
  const title = element("summary", {}, "What you hear");
  const [here, others, overForm] = [element("div"), element("div"), element("div")];
  // One useful thing first; who wants more opens it.
  const more = element("details", { class: "fold" }, element("summary", {}, "More about these notes"), others);
  const sentences = element(
    "div",
    { class: "sentences", role: "group", "aria-label": "Sentences", tabindex: 0 },
    here,
    more,
    overForm,
  );
  const hear = element("details", { class: "card" }, title, sentences);
  const shapeLines = element("div", {});
  const numbers = element("dl", { class: "numbers" });
  const numbersNote = element("p", { class: "hint" });
  const about = element(
    "details",
    { class: "card" },
    element("summary", {}, "Shape of the riff"),
    shapeLines,
    element("details", { class: "fold" }, element("summary", {}, "Show the numbers"), numbersNote, numbers),
  );
  const legend = element(
    "ul",
    { class: "legend" },
    ...KEY.map(([look, name, text]) =>
      element("li", {}, shape(look), element("span", {}, element("b", {}, name), " ", element("small", {}, text))),
    ),
  );
  const key = element("details", { class: "card" }, element("summary", {}, "Key to the shapes"), legend);
  const first = firstMinute(session);
  root.append(first, hear, key, about);
  // Beside the riff the words lie open, as far as there is room.
  const unfold = () => {
    if (!matchMedia(BESIDE).matches) return;
    for (const each of [hear, key, about]) {
      each.open = true;
      if (each !== hear && root.scrollHeight > root.clientHeight) each.open = false;
    }
  };
  // The first minute needs the room, and leaves it.
  session.addEventListener(first.hidden ? "drawn" : "first-minute-over", unfold, { once: true });
  // A tapped note is a question: its sentence opens.
  byId("strip").addEventListener(
    "pointerdown",
    (event) => {
      // The note is drawn anew while it is held, so no click reaches it.
      if (!(/** @type {Element} */ (event.target).closest(".token"))) return;
      addEventListener("pointerup", () => (hear.open = true), { once: true });
    },
    { capture: true },
  );

  /** The words about the bar that sounds, while they are followed. @type {import("../pkg/riffloom.js").WordsView | null} */
  let followed = null;
  const draw = () => {
    const words = followed ?? session.screen.words;
    if (!words) return;
    write(title, words.title);
    sync(here, words.sentences.slice(0, words.first), sentence);
    sync(others, words.sentences.slice(words.first), sentence);
    more.hidden = words.sentences.length <= words.first;
  };
  /** @param {import("../pkg/riffloom.js").InBarView | null} view */
  const along = (view) => {
    followed = view?.words ?? null;
    draw();
  };

  const update = (/** @type {import("../session.js").Changed} */ { words, whole }) => {
    if (words) draw();
    if (!whole) return;
    sync(overForm, whole.overForm, sentence);
    sync(shapeLines, whole.shape, (line) => element("p", {}, line));
    write(numbersNote, whole.numbersNote);
    sync(numbers, whole.numbers, ({ name, value, text }) =>
      element(
        "div",
        {},
        element("dt", {}, name),
        element("dd", {}, element("b", {}, value), element("small", {}, text)),
      ),
    );
  };
  return { update, along };
}

/** @param {SentenceView} line */
function sentence(line) {
  return element("p", line.toTry ? { class: "to-try" } : {}, element("b", {}, line.head), line.text);
}
