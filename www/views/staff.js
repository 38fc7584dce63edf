// The riff, or the chorus, on a staff: folded until it is wanted, and open again the next time.
import { isOn, setWish } from "../wishes.js";
import { button, byId, element } from "./dom.js";
import { engrave } from "./engrave.js";
import { chosenPart, mountSheet, setPart } from "./sheet.js";
import { keep, kept, UNDER } from "./under.js";
import { mountVerse } from "./verse.js";

/** @typedef {import("../session.js").Session} Session */
/** @typedef {import("../pkg/riffloom.js").StaffView} StaffView */

/** @param {Session} session */
export function mountStaff(session) {
  const print = mountSheet(session);
  const chorus = element("details", { class: "staff card", id: "chorus-staff" }, element("summary", {}, "Staff"));
  const place = () => (chorus.hidden = session.place !== "chorus");
  place();
  session.addEventListener("gone", place);
  byId("chorus").append(chorus);
  const verse = mountVerse(session);
  const folds = [
    fold(session, /** @type {HTMLDetailsElement} */ (byId("staff")), false, print),
    fold(session, chorus, true, print),
  ];
  const draw = () => folds.forEach((each) => each());
  let wide = 0;
  new ResizeObserver(() => {
    const { innerWidth } = window;
    if (innerWidth !== wide) draw();
    wide = innerWidth;
  }).observe(document.body);
  session.addEventListener("gone", () => requestAnimationFrame(draw));
  session.addEventListener("part", draw);
  return () => {
    draw();
    verse();
  };
}

/**
 * @param {Session} session
 * @param {HTMLDetailsElement} root
 * @param {boolean} isChorus
 * @param {(isChorus: boolean) => void} print
 */
function fold(session, root, isChorus, print) {
  const wish = isChorus ? "chorus-staff" : "staff";
  const music = element("div", { class: "staff-music" });
  const spoken = element("ol", { class: "unseen", "aria-label": "The staff in words, bar by bar" });
  const told = element("small", { class: "staff-about" });
  const below = element("small", { class: "staff-about" });
  const part = element("select", { "aria-label": "Written for" });
  part.addEventListener("change", () => setPart(session, part.value));
  const under = element(
    "select",
    { "aria-label": "Under the notes" },
    ...Object.entries(UNDER).map(([value, text]) => element("option", { value }, `Under the notes: ${text}`)),
  );
  under.value = kept();
  under.addEventListener("change", () => {
    keep(under.value);
    session.dispatchEvent(new CustomEvent("part"));
  });
  const row = element(
    "div",
    { class: "staff-ways" },
    part,
    under,
    button("Print…", () => print(isChorus), { class: "quiet" }),
    told,
  );
  root.append(music, spoken, below, row);
  root.open = isOn(wish);
  root.addEventListener("toggle", () => {
    setWish(wish, root.open);
    draw();
    if (root.open && isChorus) root.scrollIntoView({ block: "nearest" });
  });
  let drawn = "";

  function draw() {
    if (!root.open || root.clientWidth === 0) return;
    const view = /** @type {StaffView | undefined} */ (session.app.staff(isChorus, chosenPart(), under.value));
    if (!view) return;
    const width = music.clientWidth;
    // Smaller on a narrow window, and on a low one, where the keys must stay in sight; more so with something below it.
    root.classList.toggle("tall", under.value !== "");
    const low = under.value ? 800 : 700;
    const scale = width < 500 || innerHeight < low ? 0.8 : 1;
    const text = JSON.stringify([view, width, scale, under.value]);
    if (text === drawn) return;
    drawn = text;
    music.replaceChildren(engrave(view, { width, scale, under: under.value }));
    spoken.replaceChildren(...view.measures.map(({ spoken }) => element("li", {}, spoken)));
    // What the choice says is not said again.
    const own = view.parts[0]?.chosen;
    told.textContent = [own ? "" : view.writtenFor, view.note].filter(Boolean).join(" ");
    below.textContent = view.underNote;
    part.replaceChildren(
      ...view.parts.map(({ name, text, chosen }) =>
        element("option", { value: name, selected: chosen }, `Written ${text}`),
      ),
    );
  }
  return draw;
}
