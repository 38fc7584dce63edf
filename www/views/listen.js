// The microphone: a switch, a light that shows that it is on, how loud it is, and what to do where something is wrong.
import { Microphone } from "../microphone.js";
import { button, byId, element, place, say, sync, write } from "./dom.js";

/** @typedef {import("../session.js").Session} Session */

/** The parts of the page that hear. */
const HEARS = new Set(["riff", "practice", "play"]);

/** @param {Session} session */
export function mountListen(session) {
  const microphone = new Microphone(session);
  const [opens, panel] = [byId("listen"), byId("listen-panel")];
  const turn = button("", () => (microphone.isOn ? microphone.turnOff() : void microphone.turnOn()), { class: "choice switch", role: "switch", "aria-checked": "false" });
  turn.append(element("b", {}, "Listen with the microphone"), element("small", {}, "hum, sing or play: one note at a time"));
  const text = element("p", { class: "ear-text", role: "status" }, PRIVATE);
  const meter = element("div", { class: "ear-meter", "aria-hidden": "true" }, element("i", {}));
  const room = element("ul", { class: "ear-room" });
  const on = element("div", { class: "ear-on", hidden: true }, meter, room, element("p", { class: "hint" }, PRIVATE));
  panel.replaceChildren(element("h2", {}, "Microphone"), turn, text, on,
    element("p", { class: "hint" }, "To be told early and late, open Practice, press “Tap along”, and play a note on every click."),
    element("p", { class: "hint" }, "Use headphones when the band plays. Without them the microphone hears the band, too."),
    element("p", { class: "hint" }, "In a class every microphone hears everybody. Use keys and headphones, tap, or play to one microphone in turn."));

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
    write(opens, view.word);
    opens.setAttribute("aria-label", `Microphone: ${microphone.isOn ? "on" : "off"}`);
    document.querySelector(".play-in")?.setAttribute("title", isOn ? "Hum, sing or play it" : "");
    // What happens while the panel is shut is said all the same.
    if (panel.hidden && view.text !== shown && (view.state === "trouble" || view.pressing)) session.dispatchEvent(new CustomEvent("trouble", { detail: view.text }));
    if (isOn !== document.body.classList.contains("listening")) say(isOn ? "The microphone is on." : "The microphone is off.");
    document.body.classList.toggle("listening", isOn);
    shown = view.text;
  });
  microphone.addEventListener("level", (event) => {
    const level = /** @type {CustomEvent<number>} */ (event).detail;
    place(opens, { level });
    if (!panel.hidden) place(meter, { level });
  });
  session.addEventListener("gone", () => HEARS.has(document.body.dataset.tab ?? "") || microphone.turnOff());
}

/** Said where the switch is; it is true: no sample leaves the worker (www/workers/listener.js). */
const PRIVATE = "What you play stays on this device: nothing is recorded or sent.";
