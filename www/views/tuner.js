// The tuner: whether what is played is with the band, and what the band is tuned to.
import { button, element, place, write } from "./dom.js";

/** @typedef {import("../session.js").Session} Session */

/** The A above middle C, as a MIDI note. */
const A4 = 69;
/** How soon the held home note is struck again, in milliseconds: before any voice has died away. */
const AGAIN = 2000;

/**
 * @param {Session} session
 * @param {import("../microphone.js").Microphone} microphone
 */
export function tunerPart(session, microphone) {
  const name = element("b", { class: "tuner-note" });
  const word = element("span", { class: "tuner-word" });
  const scale = element("div", { class: "tuner-scale", "aria-hidden": "true" }, element("i", {}));
  const advice = element("p", { class: "tuner-advice" });
  const why = element("span", {});
  let offered = 0;
  const take = button("", () => tune(offered), { class: "quiet", hidden: true });
  advice.append(why, " ", take);
  const down = button("−", () => tune(current() - 1), { class: "quiet turn", "aria-label": "Tuning: lower" });
  const up = button("+", () => tune(current() + 1), { class: "quiet turn", "aria-label": "Tuning: higher" });
  const whose = element("span", {}, "The band’s A");
  const now = element("output", {});
  const hear = button("Hear this A", () => session.sound(A4), { class: "link" });
  const hold = button("Hold the home note", () => drone(hold.getAttribute("aria-pressed") !== "true"), {
    class: "quiet",
    "aria-pressed": "false",
  });
  /** @type {ReturnType<typeof setInterval> | undefined} */
  let again;
  let held = 0;
  /** Sounds the home note again and again, to play over. @param {boolean} on */
  function drone(on) {
    clearInterval(again);
    if (held) session.app.keyUp(held);
    held = on ? (session.screen.keys?.keys.find((key) => key.home)?.midi ?? 0) : 0;
    hold.setAttribute("aria-pressed", String(on));
    if (!held) return;
    session.keyDown(held);
    again = setInterval(() => {
      session.app.keyUp(held);
      session.keyDown(held);
    }, AGAIN);
  }
  for (const type of ["playing", "gone"]) session.addEventListener(type, () => held && drone(false));
  const root = element(
    "section",
    { class: "tuner", "aria-label": "Tuner" },
    element("h3", {}, "Tuner"),
    element("p", { class: "tuner-now" }, name, word),
    scale,
    advice,
    element(
      "div",
      { class: "row stepper", role: "group", "aria-label": "What the band is tuned to" },
      whose,
      down,
      now,
      up,
      hear,
    ),
    element("p", { class: "row" }, hold, element("span", { class: "hint" }, "to play over; with headphones")),
  );

  /** What the band is tuned to, as the core says it. */
  const choices = () =>
    session
      .band()
      .groups.flatMap((group) => group.settings)
      .find(({ what }) => what === "tuning")?.choices ?? [];
  const current = () => Number(choices().find((choice) => choice.chosen)?.value ?? 440);
  /** @param {number} hertz */
  function tune(hertz) {
    session.do({ do: "set-band", what: "tuning", value: String(hertz) });
  }
  function look() {
    const all = choices().map(({ value }) => Number(value));
    const hertz = current();
    write(now, String(hertz));
    // Who reads other names is told which of them this is.
    const own = session.screen.keys?.keys.find((key) => (key.midi - A4) % 12 === 0)?.name ?? "A";
    write(hear, own === "A" ? "Hear this A" : `Hear it: your ${own}`);
    write(whose, own === "A" ? "The band’s A" : `The band’s A (your ${own})`);
    down.disabled = hertz <= Math.min(...all);
    up.disabled = hertz >= Math.max(...all);
    if (microphone.a4 !== hertz) microphone.tuneTo(hertz);
  }
  look();
  session.addEventListener("did", (event) => {
    const { detail } = /** @type {CustomEvent<import("../session.js").Command>} */ (event);
    if (detail.do !== "go") setTimeout(look);
  });
  let isLooked = false;
  microphone.addEventListener("level", () => {
    const visible = root.checkVisibility?.() ?? !root.hidden;
    if (visible !== isLooked) microphone.setTuner(visible);
    isLooked = visible;
  });
  microphone.addEventListener("tuner", (event) => {
    const {
      midi,
      cents,
      word: said,
      offer,
      why: because,
    } = /** @type {CustomEvent<import("../microphone.js").TunerView>} */ (event).detail;
    const key = session.screen.keys?.keys.find((each) => midi !== undefined && (each.midi - midi) % 12 === 0);
    write(name, key?.name ?? "–");
    write(word, midi === undefined ? "play a note" : said);
    root.classList.toggle("sounding", midi !== undefined);
    place(scale, { cents });
    offered = offer;
    take.hidden = offer === 0;
    write(why, because);
    write(take, `Tune the band to A = ${offer}`);
  });
  return { root, look };
}
