// What is to be played, to be read and not changed: the riff, or the riff of the chorus that comes now and the one after.
import { Heard } from "../session.js";
import { riffCloth } from "./cloth.js";
import { button, byId, element, place } from "./dom.js";
import { still } from "./still.js";

/** @typedef {import("../session.js").Session} Session */
/** @typedef {import("../pkg/riffloom.js").PhraseView} PhraseView */
/** @typedef {import("./still.js").Drawn} Drawn */
/** @typedef {import("../pkg/riffloom.js").StickView} StickView */

/** How a note fared the last time through, in its sign on the strip and in words. */
const FARED = { every: "came every time", some: "came some of the time", none: "not yet" };

/** @param {Session} session */
export function mountToPlay(session) {
  const root = byId("to-play");
  /** The riffs of the chorus; none where a riff is practised. @type {PhraseView[] | undefined} */
  let phrases;
  let drawn = "";
  let bar = -2;
  const isOpen = () => session.place === "practice";
  const woven = element("figure", { class: "card own-cloth", hidden: true });
  byId("after").prepend(woven);

  const look = () => {
    if (!isOpen()) return;
    phrases = session.app.toPlay()?.phrases;
    draw();
  };
  // What is asked for stands on the tune, the riff and the chorus: it is looked at when all of these are drawn.
  for (const type of ["gone", "drawn"]) session.addEventListener(type, look);
  session.addEventListener("followed", () => isOpen() && !phrases && draw());
  // How notes fared stays in sight with the words about it, also while one hears oneself: until the next run.
  for (const type of ["practice", "playing"]) session.addEventListener(type, () => isOpen() && draw());
  session.addEventListener("bar", (event) => {
    bar = /** @type {CustomEvent<number>} */ (event).detail;
    if (isOpen() && phrases) draw();
  });

  function draw() {
    const { grid, strip } = session.screen;
    const phrase = phrases && comingNow(phrases, bar >= 0 ? bar : chosenBar(session));
    const shown = phrases
      ? phrase
      : grid && strip && { beats: grid.beats, tokens: session.followed ?? strip.tokens, endsAt: strip.endsAt };
    const fared =
      phrases || session.practice?.running || !shown
        ? []
        : howTheyFared(shown.tokens, session.practice?.after?.timing?.strip ?? []);
    const text = JSON.stringify([
      Boolean(phrases),
      shown && [shown.beats, shown.tokens],
      phrase?.title,
      phrase?.then,
      strip?.name,
      fared,
    ]);
    if (text === drawn) return;
    drawn = text;
    root.classList.toggle("of-chorus", Boolean(phrases));
    const hear = () => session.play(phrases ? Heard.Chorus : Heard.Riff);
    const head = phrase
      ? [
          element(
            "p",
            { class: "phrase-title" },
            element("b", {}, phrase.title),
            " ",
            element("small", {}, phrase.then),
          ),
        ]
      : [];
    const title = phrases ? phrase?.title : strip?.name;
    const picture = shown ? [still(shown, title || "The riff")] : [];
    root.replaceChildren(...head, ...picture, button("Hear it", hear, { class: "quiet hear" }));
    if (fared.length > 0 && picture[0]) picture[0].classList.add("told");
    if (fared.length > 0 && picture[0] && shown)
      picture[0].append(...shown.tokens.map((token, index) => sign(token, fared[index] ?? "none")));
    if (fared.length > 0) root.append(key());
    weave(shown, title, fared);
  }

  /**
   * Beside it the riff as cloth. Where it was played, only what came has its dye.
   * @param {Drawn | undefined} shown
   * @param {string | undefined} title
   * @param {(keyof typeof FARED)[]} fared
   */
  function weave(shown, title, fared) {
    woven.hidden = !shown || shown.tokens.length === 0;
    if (!shown || woven.hidden) return;
    const marks = shown.tokens.map((token, index) => ({ ...token, role: dyed(token.role, fared[index]) }));
    const said = fared.length > 0 ? "Coloured: notes you played" : "";
    woven.replaceChildren(
      element("figcaption", {}, element("b", {}, title || "Your riff"), " ", element("small", {}, said)),
      riffCloth(/** @type {any} */ (marks), shown.beats.length),
    );
  }
}

/**
 * The dye of a note's threads, once it is known how it fared.
 * @param {string} role
 * @param {keyof typeof FARED} [fared]
 */
function dyed(role, fared) {
  if (fared === "none") return "undyed";
  return fared === "some" ? `${role} pale` : role;
}

/**
 * For each note whether it came, over all the times that the riff came round; nothing where that cannot be told.
 * @param {import("../pkg/riffloom.js").TokenView[]} tokens
 * @param {StickView[]} sticks a stick for each note that was asked for, in the order of time
 * @returns {(keyof typeof FARED)[]}
 */
function howTheyFared(tokens, sticks) {
  // The riff comes whole, again and again, so that every so many sticks it is the same note.
  const told = sticks.length > 0 && sticks.every((stick, index) => stick.name === tokens[index % tokens.length]?.name);
  if (!told) return [];
  return tokens.map((_, place) => {
    const own = sticks.filter((_, index) => index % tokens.length === place);
    const came = own.filter((stick) => stick.kind === "right").length;
    return came === 0 ? "none" : came < own.length ? "some" : "every";
  });
}

/**
 * Under a note, whether it came.
 * @param {import("../pkg/riffloom.js").TokenView} token
 * @param {keyof typeof FARED} fared
 */
function sign(token, fared) {
  const made = element("i", { class: `fared ${fared}`, title: FARED[fared] });
  place(made, { at: token.at });
  return made;
}

/** What the signs mean. */
function key() {
  const entries = /** @type {[keyof typeof FARED, string][]} */ (Object.entries(FARED));
  return element(
    "p",
    { class: "fared-key hint" },
    ...entries.map(([name, text]) => element("span", {}, element("i", { class: `fared ${name}` }), text)),
  );
}

/**
 * The riff that sounds in a bar, or the next one.
 * @param {PhraseView[]} phrases in the order of time
 * @param {number} bar
 */
export function comingNow(phrases, bar) {
  return (
    phrases.findLast((phrase) => phrase.bar <= bar && bar < phrase.until) ??
    phrases.find((phrase) => phrase.bar > bar) ??
    phrases[0]
  );
}

/** @param {Session} session */
function chosenBar(session) {
  if (session.practice && session.practice.bar >= 0) return session.practice.bar;
  return session.screen.form?.lines.flatMap((line) => line.bars).findIndex((bar) => bar.chosen) ?? 0;
}
