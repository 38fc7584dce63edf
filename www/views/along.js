// The page follows what sounds: keys, neck, strip and words show the chord and the bar that are heard, and every note is
// lit while it sounds. All of it by the audio clock and the core's own plan. What is shown over a chord or in a bar is asked
// for when the plan first has it and kept: a frame calls nothing in the core.
import { isOn } from "../wishes.js";
import { byId, element, place, say, write } from "./dom.js";

/** @typedef {import("../session.js").Session} Session */
/** @typedef {import("../pkg/riffloom.js").OnFormView} OnFormView */
/** @typedef {import("../pkg/riffloom.js").OverChordView} OverChordView */
/** @typedef {import("../pkg/riffloom.js").InBarView} InBarView */
/** @typedef {import("../pkg/riffloom.js").LightView} LightView */
/** @typedef {{ along: (view: OverChordView | null, tones: number[]) => void, light: (midi: Set<number>) => void }} Keys */
/** @typedef {{ along: (view: InBarView | null) => void }} Words */

/** Commands by which a person looks at one place: it stays until it is let go. */
const HOLDS = new Set(["choose-bar", "select-note", "move-cursor", "place-cursor"]);
/** Parts of the page that show bars of the form, and keys. */
const FOLLOWS = new Set(["riff", "practice", "play", "chorus"]);
/** Where notes of the riff are drawn: on the strip, where it is to be read, and in the bars. */
const [TOKENS, MARKS] = ["#strip .token, #to-play .token, .coming .token", "#form .mark, #chorus-lines .mark"];

const calm = matchMedia("(prefers-reduced-motion: reduce)");

/**
 * @param {Session} session
 * @param {{ keys: Keys, strip: Words, words: Words }} views
 */
export function mountAlong(session, { keys, strip, words }) {
  /** Over each chord, and in each bar, as far as they were needed. @type {Map<string, OverChordView | null>} */
  const chords = new Map();
  /** @type {Map<string, InBarView | null>} */
  const bars = new Map();
  const holder = byId("held");
  let running = false;
  /** The place that a person looks at, in a word; nothing where the page follows. */
  let held = "";
  /** What is shown, as text. */
  let [chordShown, barShown, lit, keysLit, spoken] = ["", "", "", "", ""];

  holder.addEventListener("click", () => {
    hold("");
    byId("play").focus({ preventScroll: true });
  });
  session.addEventListener("did", (event) => {
    const { do: what, ...more } = /** @type {CustomEvent} */ (event).detail;
    if (!session.playing || !HOLDS.has(what) || (what === "select-note" && more.index === undefined)) return;
    const { form, strip } = session.screen;
    const selected = what === "choose-bar" ? undefined : strip?.tokens.find((token) => token.selected);
    const bar = form?.lines.flatMap((line) => line.bars).find((each) => each.chosen)?.number ?? 0;
    // The form is drawn a frame later.
    hold(selected ? selected.name : `bar ${what === "choose-bar" ? more.bar + 1 : bar}`);
  });
  session.addEventListener("playing", () => {
    spoken = "";
    hold("");
    if (session.playing && !running) requestAnimationFrame(draw);
    running = session.playing;
    if (!session.playing) show(null, null, null);
  });
  session.addEventListener("planned", prepare);
  // What is edited is another riff, and perhaps another form.
  session.addEventListener("changed", () => {
    bars.clear();
    [barShown, lit] = ["", ""];
    if (session.playing) follow();
  });
  session.addEventListener("drawn", () => {
    chords.clear();
    bars.clear();
    [chordShown, barShown, lit, keysLit] = ["", "", "", ""];
    if (session.playing) follow();
  });

  /** @param {string} place */
  function hold(place) {
    held = place;
    holder.hidden = place === "";
    byId("form").classList.toggle("along", session.playing && held === "");
    write(holder, place && `Held: ${place} ×`);
    holder.setAttribute("aria-label", `Held: ${place}. Follow the music again.`);
    if (session.playing) follow();
  }

  /** Asks the core for what the plan comes to. */
  function prepare() {
    const { scenes, riff } = session.plan;
    if (!followsHere(session)) return;
    for (const { here, coming } of scenes) {
      overChord(here);
      if (coming) overChord(coming);
      for (const { begun } of riff) if (begun <= here.bar) inBar(here.bar, begun);
    }
  }
  /** @param {OnFormView} at */
  function overChord(at) {
    const name = nameOf(at);
    if (!chords.has(name)) chords.set(name, session.app.overChord(at.bar, at.chord, at.closes) ?? null);
    return chords.get(name) ?? null;
  }
  /**
   * @param {number} bar
   * @param {number} begun
   */
  function inBar(bar, begun) {
    if (session.place === "play" || session.place === "chorus") return null;
    const name = `${bar} ${begun}`;
    if (!bars.has(name)) bars.set(name, session.app.inBar(bar, begun) ?? null);
    return bars.get(name) ?? null;
  }

  function draw() {
    running = session.playing;
    if (!running) return;
    follow();
    requestAnimationFrame(draw);
  }

  /** Shows what is heard now. */
  function follow() {
    if (!followsHere(session)) return show(null, null, null);
    const heard = session.heardNow();
    const { scenes, riff, notes } = session.plan;
    const scene = scenes.findLast(({ time }) => time <= heard) ?? scenes[0];
    const time = riff.findLast(({ time }) => time <= heard);
    show(
      scene ?? null,
      time ?? null,
      notesAreShown(session) ? notes.filter(({ time, keyUntil }) => time <= heard && heard < keyUntil) : [],
      heard,
    );
  }

  /**
   * @param {import("../pkg/riffloom.js").SceneView | null} scene
   * @param {import("../pkg/riffloom.js").TimeOfRiffView | null} time of the riff
   * @param {LightView[] | null} notes whose keys are lit
   * @param {number} [heard]
   */
  function show(scene, time, notes, heard = 0) {
    thread(time, heard);
    light(notes ?? [], heard);
    const follows = scene && !held && !isByHeart(session);
    const chord = follows ? `${nameOf(scene.here)} > ${scene.coming ? nameOf(scene.coming) : ""}` : "";
    if (chord !== chordShown) {
      chordShown = chord;
      keys.along(
        follows ? overChord(scene.here) : null,
        follows && scene.coming ? (overChord(scene.coming)?.tones ?? []) : [],
      );
      [lit, keysLit] = ["", ""];
      light(notes ?? [], heard);
    }
    const bar = follows && time ? `${scene.here.bar} ${time.begun}` : "";
    if (bar !== barShown) {
      barShown = bar;
      const view = follows && time ? inBar(scene.here.bar, time.begun) : null;
      strip.along(view);
      words.along(view);
      lit = "";
      light(notes ?? [], heard);
    }
    if (!scene || !isOn("say-chords") || isByHeart(session)) return;
    const name = overChord(scene.here)?.spoken ?? "";
    if (name !== spoken) say(name);
    spoken = name;
  }

  /**
   * Runs along the foot of the strip as along the foot of the bar.
   * @param {import("../pkg/riffloom.js").TimeOfRiffView | null} time
   * @param {number} heard
   */
  function thread(time, heard) {
    const { strip } = session.screen;
    // One bar after the other is practised: the riff is not gone through.
    const at =
      time && strip && (session.practice?.bar ?? -1) < 0 ? strip.lineAt + quarters(time, heard) * strip.quarter : -1;
    const isThere = 0 <= at && at <= 1 && strip !== undefined && strip.tokens.length > 0;
    for (const each of document.querySelectorAll(".strip > .thread")) {
      if (!(each instanceof HTMLElement)) continue;
      each.style.transform = `scaleX(${isThere ? at : 0})`;
    }
  }

  /**
   * @param {LightView[]} notes whose keys are lit
   * @param {number} heard
   */
  function light(notes, heard) {
    const sounding = notes.filter(({ until }) => heard < until);
    const now = sounding.map(({ note, begun }) => `${begun}:${note}`).join(" ");
    if (now !== lit) {
      lit = now;
      for (const old of document.querySelectorAll(".token.sounds, .mark.sounds")) old.classList.remove("sounds");
      const [tokens, marks] = [new Set(sounding.map(({ note }) => String(note))), new Set(now.split(" "))];
      for (const each of document.querySelectorAll(TOKENS))
        if (each instanceof HTMLElement && isMeant(each, sounding, tokens)) each.classList.add("sounds");
      for (const each of document.querySelectorAll(MARKS))
        if (each instanceof HTMLElement && marks.has(each.dataset.of ?? "")) each.classList.add("sounds");
    }
    const pressed = notes.map(({ midi }) => midi).join(" ");
    if (pressed === keysLit) return;
    keysLit = pressed;
    keys.light(new Set(notes.map(({ midi }) => midi)));
  }

  mountOwn(session);
}

/**
 * The notes that a person plays while something sounds: where they fall, in the bar and on the strip, for as long as the
 * key is held.
 * @param {Session} session
 */
function mountOwn(session) {
  /** @type {Map<number, HTMLElement[]>} */
  const marks = new Map();
  const clear = (/** @type {number} */ midi) => {
    for (const mark of marks.get(midi) ?? []) mark.remove();
    marks.delete(midi);
  };
  session.addEventListener("playing", () => [...marks.keys()].forEach(clear));
  session.addEventListener("key", (event) => {
    const { midi, down } = /** @type {CustomEvent<import("../midi.js").KeyMove>} */ (event).detail;
    clear(midi);
    const position = session.position();
    const { strip } = session.screen;
    if (!down || !position || !strip || !session.playing) return;
    const height = Math.min(Math.max((midi - strip.lowest) / Math.max(strip.highest - strip.lowest, 1), 0), 1);
    const made = [];
    const bar = position.counting ? null : document.querySelector(".bar.now");
    if (bar) made.push(mark(bar, position.fraction, height));
    const time = session.plan.riff.findLast(({ time }) => time <= session.heardNow());
    const at = time ? strip.lineAt + quarters(time, session.heardNow()) * strip.quarter : -1;
    if (0 <= at && at <= 1)
      for (const root of document.querySelectorAll(".strip > .own-notes")) made.push(mark(root, at, height));
    marks.set(midi, made);
  });

  /**
   * @param {Element} root
   * @param {number} at
   * @param {number} height
   */
  function mark(root, at, height) {
    const made = element("i", { class: "own-note", "aria-hidden": "true" });
    place(made, { at, height });
    root.append(made);
    return made;
  }
}

/** @param {OnFormView} at */
const nameOf = ({ bar, chord, closes }) => `${bar} ${chord} ${closes}`;

/**
 * How far a time of the riff is behind its bar line; in whole beats for a person who wants no motion.
 * @param {import("../pkg/riffloom.js").TimeOfRiffView} of
 * @param {number} heard
 */
function quarters(of, heard) {
  const here = of.quarters + (heard - of.time) * of.speed;
  return calm.matches ? Math.floor(here) : here;
}

/**
 * Whether a note on a strip is one of those that sound: the strip has one riff, or says which one of a chorus it has.
 * @param {HTMLElement} token
 * @param {LightView[]} sounding
 * @param {Set<string>} notes
 */
function isMeant(token, sounding, notes) {
  const { note = "" } = token.dataset;
  const of = token.closest("[data-spot]");
  if (!(of instanceof HTMLElement)) return notes.has(note);
  return sounding.some(({ note: sounds, begun }) => String(sounds) === note && String(begun) === of.dataset.spot);
}

/** @typedef {{ place: string }} Placed */
const isPractice = (/** @type {Placed} */ { place }) => place === "practice";
const followsHere = (/** @type {Placed} */ { place }) => FOLLOWS.has(place);
/** Nothing is in sight: the keys do not give the place away. */
const isByHeart = (/** @type {Placed} */ session) => isPractice(session) && document.body.dataset.sight === "nothing";
/** Notes that are not in sight are to be found by ear. */
const notesAreShown = (/** @type {Placed} */ session) => !isPractice(session) || document.body.dataset.sight === "all";
