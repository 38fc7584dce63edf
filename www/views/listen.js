// The microphone: a switch, a light that shows that it is on, how loud it is, and what to do where something is wrong.
import { Microphone } from "../microphone.js";
import { isOn, setWish } from "../wishes.js";
import { button, byId, element, place, say, sync, write } from "./dom.js";
import { tunerPart } from "./tuner.js";

/** @typedef {import("../session.js").Session} Session */

/** The parts of the page that hear. */
const HEARS = new Set(["riff", "practice", "play"]);
/** Said where the switch is; it is true: samples go to the worker (www/workers/listener.js), and from there to storage only while a take is recorded. */
const PRIVATE =
  "What you play stays on this device: only its notes are kept, never the sound. Sound is kept only where you record a take.";
/** The same, while it is recorded. */
const RECORDED = "A take is recorded. It is kept on this device only, until you delete it.";

/** @param {Session} session */
export function mountListen(session) {
  const microphone = new Microphone(session);
  const [opens, panel] = [byId("listen"), byId("listen-panel")];
  const turn = button("", () => (microphone.isOn ? microphone.turnOff() : void microphone.turnOn()), {
    class: "choice switch",
    role: "switch",
    "aria-checked": "false",
  });
  turn.append(
    element("b", {}, "Listen with the microphone"),
    element("small", {}, "hum, sing or play: one note at a time. A tuner opens, too."),
  );
  const text = element("p", { class: "ear-text", role: "status" }, PRIVATE);
  const meter = element("div", { class: "ear-meter", "aria-hidden": "true" }, element("i", {}));
  const room = element("ul", { class: "ear-room" });
  const tuner = tunerPart(session, microphone);
  const privacy = element("p", { class: "hint" }, PRIVATE);
  const on = element(
    "div",
    { class: "ear-on", hidden: true },
    meter,
    room,
    tuner.root,
    delayPart(session, microphone),
    privacy,
  );
  panel.replaceChildren(
    element("h2", {}, "Microphone"),
    turn,
    text,
    on,
    headphones(session),
    element(
      "p",
      { class: "hint" },
      "In a class every microphone hears everybody. Use keys and headphones, tap, or play to one microphone in turn.",
    ),
  );

  const name = () => {
    const { view, recording } = microphone;
    write(opens, recording ? "Recording" : (view?.word ?? "Mic"));
    opens.classList.toggle("recording", recording);
    opens.setAttribute("aria-label", `Microphone: ${recording ? "recording" : microphone.isOn ? "on" : "off"}`);
    write(privacy, recording ? RECORDED : PRIVATE);
  };
  for (const type of ["record", "recorded"]) microphone.addEventListener(type, name);
  let shown = "";
  microphone.addEventListener("state", () => {
    const { view } = microphone;
    if (!view) return;
    const isOn = view.state === "on";
    turn.setAttribute("aria-checked", String(microphone.isOn));
    write(text, view.text);
    text.classList.toggle("pressing", view.pressing || view.state === "trouble");
    sync(room, view.room, (line) => element("li", {}, line));
    on.hidden = !isOn;
    opens.classList.toggle("on", isOn);
    opens.classList.toggle("pressing", view.pressing || view.state === "trouble");
    name();
    document.querySelector(".play-in")?.setAttribute("title", isOn ? "Hum, sing or play it" : "");
    // What happens while the panel is shut is said all the same.
    if (panel.hidden && view.text !== shown && (view.state === "trouble" || view.pressing))
      session.dispatchEvent(new CustomEvent("trouble", { detail: view.text }));
    if (isOn !== document.body.classList.contains("listening"))
      say(isOn ? "The microphone is on." : "The microphone is off.");
    document.body.classList.toggle("listening", isOn);
    if (isOn) tuner.look();
    shown = view.text;
  });
  microphone.addEventListener("level", (event) => {
    const level = /** @type {CustomEvent<number>} */ (event).detail;
    place(opens, { level });
    if (!panel.hidden) place(meter, { level });
  });
  session.addEventListener("gone", () => HEARS.has(session.place) || microphone.turnOff());
  return microphone;
}

/**
 * Whether what the page plays can come back through the microphone.
 * @param {Session} session
 */
function headphones(session) {
  const wears = button("", () => turn(), { class: "choice switch", role: "switch" });
  const draw = () => wears.setAttribute("aria-checked", String(isOn("headphones")));
  function turn() {
    setWish("headphones", !isOn("headphones"));
    draw();
    session.dispatchEvent(new CustomEvent("wish", { detail: "headphones" }));
  }
  wears.append(
    element("b", {}, "I wear headphones"),
    element("small", {}, "best with the band; off: what the page plays is taken out of what is heard"),
  );
  draw();
  return wears;
}

/**
 * How late this pair of devices hears, measured by their own sound.
 * @param {Session} session
 * @param {Microphone} microphone
 */
function delayPart(session, microphone) {
  const told = element(
    "p",
    { class: "hint", role: "status" },
    "To be told early and late: without headphones, this is learnt while the band plays, or measure it here. With headphones, press “Tap along” on Practice and play a note on every click.",
  );
  const measure = button(
    "Measure the delay",
    () => {
      session.stop();
      measure.disabled = true;
      write(told, "Six short chirps. Please be quiet until they are over.");
      microphone.measure();
    },
    { class: "quiet" },
  );
  microphone.addEventListener("measured", (event) => {
    measure.disabled = false;
    write(told, /** @type {CustomEvent<import("../microphone.js").LoopView>} */ (event).detail.text);
  });
  microphone.addEventListener("state", () => (measure.disabled &&= microphone.isOn));
  return element("section", { class: "ear-delay", "aria-label": "Delay" }, measure, told);
}
