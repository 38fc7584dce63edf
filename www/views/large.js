// The large view: the form and one riff, or a chorus with the riff that sounds and the one that comes, to be read from the
// back of a room. One key or one button opens and leaves it.
import { isOn as wished } from "../wishes.js";
import { button, byId, element, say, write } from "./dom.js";
import { shape } from "./shapes.js";
import { go } from "./tabs.js";
import { still } from "./still.js";
import { comingNow } from "./to-play.js";
import { KEY as SHAPES } from "./words.js";

/** Opens and leaves the view. */
const KEY = "0";
/** Hides and shows the names of notes. */
const NAMES = "9";
/** Shows and hides the chords as each kind of instrument reads them. */
const ALL = "8";
/** Begins and ends call and echo. */
const ECHO = "7";

/** @param {import("../session.js").Session} session */
export function mountLarge(session) {
  const opener = byId("large");
  const names = button("Hide names", () => hideNames(), {
    class: "quiet",
    "aria-pressed": "false",
    title: `Takes the letters off the notes, to name them by ear. Key ${NAMES}`,
  });
  const every = button("Chords for C, B♭, E♭, F", () => showAll(!document.body.classList.contains("all-read")), {
    class: "quiet",
    "aria-pressed": "false",
    "aria-label": "Chords for C, B♭, E♭, F: for all these instruments at once",
    title: `Writes each chord as players of these instruments read it. Key ${ALL}`,
  });
  const echo = button("Call and echo", () => void callAndEcho(), {
    class: "quiet",
    "aria-pressed": "false",
    title: `Key ${ECHO}: two bars are played, two bars are the class’s`,
  });
  const leave = button("Back", () => turn(false), { class: "quiet", title: `Key ${KEY}` });
  const bar = element(
    "span",
    { class: "large-bar", role: "group", "aria-label": "The large view", hidden: true },
    echo,
    every,
    names,
    leave,
  );
  byId("hold").before(bar);
  const head = titled(session);
  const coming = comingRiffs(session);
  const isOn = () => document.body.classList.contains("large");

  /** @param {boolean} on */
  function turn(on) {
    // A narrow window has no room for it, and no button.
    if (on && opener.offsetParent === null) return;
    const { place } = session;
    const shows =
      ["riff", "practice", "play"].includes(place) || (place === "chorus" && session.screen.chorus?.summary);
    if (on && !shows) go(session, "riff");
    document.body.classList.toggle("large", on);
    document.body.classList.remove("nameless");
    coming();
    head();
    showAll(false);
    names.setAttribute("aria-pressed", "false");
    opener.setAttribute("aria-pressed", String(on));
    bar.hidden = !on;
    (on ? byId("play") : opener).focus({ preventScroll: true });
    say(on ? "Large view. Key 0 leaves it." : "");
    scrollTo(0, 0);
  }

  /** @param {boolean} on */
  function showAll(on) {
    const bars = on ? session.app.readings() : undefined;
    document.body.classList.toggle("all-read", bars !== undefined);
    every.setAttribute("aria-pressed", String(bars !== undefined));
    for (const old of document.querySelectorAll(".bar > .read-as")) old.remove();
    for (const bar of document.querySelectorAll(":is(#form, #chorus-lines) .bar")) {
      // A chorus goes through the form several times.
      const read = bars?.[Number(bar instanceof HTMLElement && bar.dataset.bar) % bars.length];
      if (!read) continue;
      bar.append(
        element(
          "span",
          { class: "read-as" },
          ...read.map((/** @type {import("../pkg/riffloom.js").ReadView} */ { pitch, chords }) =>
            element(
              "span",
              chords.includes(" ") ? { class: "long" } : {},
              element("small", {}, pitch),
              element("b", {}, chords),
            ),
          ),
        ),
      );
    }
  }
  // Bars that are drawn anew have them again.
  session.addEventListener("drawn", () => document.body.classList.contains("all-read") && showAll(true));

  /** Where call and echo was asked for: its end leads back there. */
  let cameFrom = "";

  const isEchoing = () => session.playing && session.place === "practice" && Boolean(session.practice?.drill);

  /** The drill in which the page calls and the room answers. */
  async function callAndEcho() {
    const echoes = isEchoing();
    // The band makes way for the call.
    if (session.playing) session.stop();
    if (echoes || !(await session.opened("practice"))) return;
    cameFrom = session.place;
    go(session, "practice");
    session.do({ do: "set-practice", what: "drill", value: "echo" });
    await session.practise();
  }

  session.addEventListener("playing", () => {
    echo.setAttribute("aria-pressed", String(isEchoing()));
    if (session.playing || !cameFrom) return;
    const back = cameFrom;
    cameFrom = "";
    // How it went has no place here.
    if (isOn() && back !== session.place) go(session, back);
  });

  function hideNames() {
    names.setAttribute("aria-pressed", String(document.body.classList.toggle("nameless")));
    head();
  }

  opener.addEventListener("click", () => turn(!isOn()));
  // On the window, so that what plays is stopped first.
  addEventListener("keydown", (event) => {
    if (event.key !== "Escape" || event.defaultPrevented || !isOn()) return;
    event.preventDefault();
    turn(false);
  });
  document.addEventListener("keydown", (event) => {
    // The switch that turns letters off turns these off, too.
    if (!wished("letters") || event.repeat || event.ctrlKey || event.metaKey || event.altKey) return;
    if (event.target instanceof Element && event.target.closest("input, select, textarea")) return;
    if (event.key === KEY) turn(!isOn());
    else if (event.key === NAMES && isOn()) hideNames();
    else if (event.key === ALL && isOn()) showAll(!document.body.classList.contains("all-read"));
    else if (event.key === ECHO && isOn()) void callAndEcho();
    else return;
    event.preventDefault();
  });
}

/**
 * Above the form: what is played, and the key to the shapes. Gives what draws it.
 * @param {import("../session.js").Session} session
 */
function titled(session) {
  const what = element("h2", {});
  const shapes = SHAPES.map(([look, name]) => element("li", {}, shape(look), name));
  const root = element("div", { class: "titled", hidden: true }, what, element("ul", {}, ...shapes));
  byId("desk").before(root);
  const draw = () => {
    const { tune, strip, chorus } = session.screen;
    root.hidden = !document.body.classList.contains("large") || !tune;
    if (root.hidden || !tune) return;
    const name = session.place === "chorus" ? chorus?.title : session.place === "play" ? "" : strip?.name;
    const key = document.body.classList.contains("nameless") ? "" : `${tune.keyText} `;
    // Beside a name the form is left out: it is drawn below, and the name is seen whole.
    write(what, [name, `${key}at ${tune.bpm}`, name ? "" : tune.formText].filter(Boolean).join(" · "));
  };
  for (const type of ["drawn", "gone"]) session.addEventListener(type, draw);
  return draw;
}

/**
 * Below the lines of a chorus: the riff that sounds, and the one that comes after it. Gives what draws them.
 * @param {import("../session.js").Session} session
 */
function comingRiffs(session) {
  const root = element("section", { class: "coming", "aria-label": "The riff now, and the next one", hidden: true });
  byId("chorus-lines").after(root);
  let [bar, drawn] = [-1, ""];

  function draw() {
    const { chorus } = session.screen;
    root.hidden = !document.body.classList.contains("large") || session.place !== "chorus" || !chorus;
    if (root.hidden || !chorus) return;
    /** @type {import("../pkg/riffloom.js").PhraseView[]} */
    const phrases = session.app.toPlay()?.phrases ?? [];
    const at = session.playing && bar >= 0 ? bar : chorus.bar;
    const now = comingNow(phrases, at);
    const then = now && phrases[(phrases.indexOf(now) + 1) % phrases.length];
    const shown = [now, ...(then !== now ? [then] : [])].filter((each) => each !== undefined);
    const words = shown.map((each, place) =>
      place === 0 && session.playing && each.bar <= at && at < each.until ? "now" : place === 0 ? "first" : "then",
    );
    const text = JSON.stringify([words, shown]);
    if (text === drawn) return;
    drawn = text;
    root.replaceChildren(
      ...shown.map((each, place) =>
        element(
          "figure",
          { class: words[place] ?? "" },
          element("figcaption", {}, element("small", {}, words[place] ?? ""), " ", each.title),
          still(each, each.title),
        ),
      ),
    );
  }

  session.addEventListener("chorus-bar", (event) => {
    bar = /** @type {CustomEvent<number>} */ (event).detail;
    draw();
  });
  for (const type of ["drawn", "gone", "playing"]) session.addEventListener(type, draw);
  return draw;
}
