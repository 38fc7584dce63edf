// The keyboard, or a neck: sounds, and writes into the strip while writing is on.
import { button, byId, element } from "./dom.js";
import { mountLetters } from "./letters.js";
import { shape } from "./shapes.js";

/** @typedef {import("../session.js").Session} Session */
/** @typedef {import("../pkg/riffloom.js").KeyView} KeyView */
/** @typedef {import("../pkg/riffloom.js").OverChordView} OverChordView */

/** @param {Session} session */
export function mountKeys(session) {
  const root = byId("keyboard");
  const keys = element("div", {
    class: "keys",
    role: "group",
    "aria-label": "Keys. The letters of a computer keyboard play them, wherever you are on the page.",
  });
  const neck = element("div", { class: "neck", role: "group", "aria-label": "Neck", hidden: true });
  const swap = button("Show the neck", () => show(!neckShown), { class: "quiet swap", hidden: true });
  const octave = (/** @type {number} */ by) => shiftOctave(by);
  const down = button("‹ lower", () => octave(-1), { class: "quiet shift" });
  const up = button("higher ›", () => octave(1), { class: "quiet shift" });
  root.append(element("div", { class: "key-tools" }, down, swap, up), keys, neck);
  let neckShown = false;
  let shown = 0;

  /** @type {Map<number | string, { midi: number, element: Element }>} */
  const fingers = new Map();
  root.addEventListener("pointerdown", (event) => {
    const key = keyAt(event.target);
    if (!key || event.button !== 0) return;
    key.releasePointerCapture?.(event.pointerId);
    press(event.pointerId, Number(key.dataset.midi), key, true, event.timeStamp);
  });
  addEventListener("pointermove", (event) => {
    const held = fingers.get(event.pointerId);
    if (!held) return;
    const key = keyAt(document.elementFromPoint(event.clientX, event.clientY));
    if (key === held.element) return;
    release(event.pointerId, event.timeStamp);
    if (key) press(event.pointerId, Number(key.dataset.midi), key, false, event.timeStamp);
    else fingers.set(event.pointerId, { midi: -1, element: root });
  });
  for (const type of /** @type {const} */ (["pointerup", "pointercancel"])) {
    addEventListener(type, (event) => release(event.pointerId, event.timeStamp));
  }
  // A screen reader's click comes without a pointer.
  root.addEventListener("click", (event) => {
    const key = keyAt(event.target);
    if (key && event.detail === 0) tap(Number(key.dataset.midi), event.timeStamp);
  });
  root.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const step = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1 }[event.key];
    const here = keyAt(event.target);
    if (step !== undefined && here) {
      event.preventDefault();
      const all = [...root.querySelectorAll(".key:not([hidden])")].filter((each) => !each.closest("[hidden]"));
      const next = all[all.indexOf(here) + step];
      if (next instanceof HTMLElement) next.focus();
      return;
    }
    const writes = session.place === "riff";
    if (event.key === "Backspace" || event.key === "Delete") return void (writes && session.do({ do: "delete-note" }));
  });
  const printed = mountLetters(session, {
    letters: () => (followed?.keys ?? session.screen.keys)?.letters ?? [],
    press: (code, midi, timeStamp) => press(code, midi, root, true, timeStamp),
    release,
  });
  root.addEventListener("printed", () => {
    for (const key of root.querySelectorAll(".key")) if (key instanceof HTMLElement) inscribe(key);
  });
  const letGo = () => {
    for (const id of [...fingers.keys()]) release(id);
    session.allKeysUp();
  };
  addEventListener("blur", letGo);
  document.addEventListener("visibilitychange", () => document.hidden && letGo());

  // Whatever moves a key, it is shown where it lies on the screen.
  session.addEventListener("key", (event) => {
    const { midi, down } = /** @type {CustomEvent<import("../midi.js").KeyMove>} */ (event).detail;
    for (const key of root.querySelectorAll(`.key[data-midi="${midi}"]`)) key.classList.toggle("down", down);
  });

  /** @param {any} target */
  function keyAt(target) {
    const key = target instanceof Element ? target.closest(".key") : null;
    return key instanceof HTMLElement && root.contains(key) ? key : null;
  }
  /**
   * @param {number | string} finger a pointer's id or a computer key's code
   * @param {number} midi
   * @param {HTMLElement} key that the finger lies on
   * @param {boolean} writes
   * @param {number} timeStamp of the event
   */
  function press(finger, midi, key, writes, timeStamp) {
    release(finger, timeStamp);
    fingers.set(finger, { midi, element: key });
    session.keyDown(midi);
    session.heard(midi, timeStamp);
    if (writes) session.enter(midi);
    tell(midi, true, timeStamp);
  }
  /**
   * @param {number | string} finger
   * @param {number} [timeStamp] of the event; now, where there is none
   */
  function release(finger, timeStamp = performance.now()) {
    const held = fingers.get(finger);
    if (!held) return;
    fingers.delete(finger);
    session.keyUp(held.midi, timeStamp);
    tell(held.midi, false, timeStamp);
  }
  /**
   * @param {number} midi
   * @param {boolean} down
   * @param {number} time
   */
  function tell(midi, down, time) {
    session.dispatchEvent(new CustomEvent("key", { detail: { midi, down, velocity: 0, accent: false, time } }));
  }
  /**
   * @param {number} midi
   * @param {number} timeStamp of the event
   */
  function tap(midi, timeStamp) {
    session.sound(midi);
    session.heard(midi, timeStamp);
    session.enter(midi);
  }
  /** @param {number} by */
  function shiftOctave(by) {
    shown = Math.min(Math.max(shown + by, 0), 1);
    keys.dataset.octave = String(shown);
    down.disabled = shown === 0;
    up.disabled = shown === 1;
  }
  /** @param {boolean} neckWanted */
  function show(neckWanted) {
    neckShown = neckWanted;
    neck.hidden = !neckWanted;
    keys.hidden = neckWanted;
    swap.textContent = neckWanted ? "Show the keys" : "Show the neck";
    document.body.classList.toggle("with-neck", neckWanted);
  }
  shiftOctave(0);

  /** Writes on a key which letter plays it. @param {HTMLElement} key */
  function inscribe(key) {
    const { code } = key.dataset;
    if (code) key.dataset.letter = printed(code);
    else delete key.dataset.letter;
  }

  /** Over the chord that sounds, while that is followed. @type {OverChordView | null} */
  let followed = null;
  /** Each sound's keys and places. @type {Map<number, HTMLElement[]>} */
  const places = new Map();
  /** @type {Set<number>} */
  let sounding = new Set();

  const update = (/** @type {import("../session.js").Changed} */ changed) => {
    if (changed.keys)
      fill(
        keys,
        changed.keys.keys.map((key, index) => keyElement(key, index, changed.keys?.keys ?? [])),
      );
    if (changed.neck) {
      const strings = changed.neck.strings;
      const drawn = [...strings]
        .reverse()
        .map((string) =>
          element(
            "div",
            { class: "string", role: "group", "aria-label": string.name },
            ...string.places.map((key) => placeElement(key)),
          ),
        );
      const frets = changed.neck.frets.map(({ number, dots }) => element("span", {}, `${number} ${"•".repeat(dots)}`));
      fill(neck, [...drawn, element("div", { class: "frets", "aria-hidden": "true" }, ...frets)]);
      const has = strings.length > 0;
      if (swap.hidden === has) show(has);
      swap.hidden = !has;
      root.classList.toggle("fretted", has);
    }
    if (!changed.keys && !changed.neck) return;
    followed = null;
    places.clear();
    for (const key of root.querySelectorAll(".key")) {
      if (!(key instanceof HTMLElement)) continue;
      inscribe(key);
      const midi = Number(key.dataset.midi);
      places.set(midi, [...(places.get(midi) ?? []), key]);
    }
    sounding = new Set();
  };

  /**
   * Shows what the keys are over the chord that sounds, and which of them are tones of the chord to come.
   * @param {OverChordView | null} view nothing where the bar that is looked at is shown
   * @param {number[]} tones MIDI notes
   */
  function along(view, tones) {
    followed = view;
    const { keys: base, neck: frets } = session.screen;
    const shown = view ?? { keys: base, neck: frets };
    [...keys.children].forEach((key, index) => dress(key, shown.keys?.keys[index]));
    const drawn = [...(shown.neck?.strings ?? [])].reverse().flatMap((string) => string.places);
    if (drawn.length > 0) neck.querySelectorAll(".key").forEach((key, index) => dress(key, drawn[index]));
    for (const key of keys.children) if (key instanceof HTMLElement) inscribe(key);
    const coming = new Set(tones);
    for (const [midi, same] of places) for (const key of same) key.classList.toggle("coming", coming.has(midi));
  }

  /** The riff's own notes that sound. @param {Set<number>} midi */
  function light(midi) {
    for (const [set, on] of /** @type {const} */ ([
      [sounding, false],
      [midi, true],
    ])) {
      for (const each of set) for (const key of places.get(each) ?? []) key.classList.toggle("sounds", on);
    }
    sounding = midi;
  }

  return { update, along, light };
}

/**
 * Fills a group of keys; the one that had the focus keeps it.
 * @param {HTMLElement} group
 * @param {HTMLElement[]} made
 */
function fill(group, made) {
  const focused =
    document.activeElement instanceof HTMLElement && group.contains(document.activeElement)
      ? document.activeElement.dataset.midi
      : undefined;
  const down = new Set(
    [...group.querySelectorAll(".key.down")].map((key) => key instanceof HTMLElement && key.dataset.midi),
  );
  group.replaceChildren(...made);
  for (const key of group.querySelectorAll(".key"))
    if (key instanceof HTMLElement && down.has(key.dataset.midi)) key.classList.add("down");
  const keep =
    group.querySelector(focused ? `.key[data-midi="${focused}"]` : ".key.home") ?? group.querySelector(".key");
  if (!(keep instanceof HTMLElement)) return;
  keep.tabIndex = 0;
  if (focused) keep.focus();
}

/**
 * @param {KeyView} key
 * @param {number} index
 * @param {KeyView[]} all
 */
function keyElement(key, index, all) {
  const white = all.slice(0, index).filter((each) => !each.black).length;
  const made = placeElement(key);
  made.classList.add(key.black ? "black" : "white");
  made.dataset.octave = String(Math.floor(index / 12));
  // The C on top of the first octave is shown with both.
  if (index === 12) made.dataset.octaveEdge = "";
  made.style.setProperty("--white", String(white));
  return made;
}

/** @param {KeyView} key */
function placeElement(key) {
  const made = element("button", { type: "button", class: "key", tabindex: -1, "data-midi": key.midi });
  dress(made, key);
  return made;
}

/** What each key was last dressed from. @type {WeakMap<Element, string>} */
const dressedIn = new WeakMap();

/**
 * Marks a key with what its note is now.
 * @param {Element} made
 * @param {KeyView | undefined} key
 */
function dress(made, key) {
  const text = JSON.stringify(key);
  if (!key || !(made instanceof HTMLElement) || dressedIn.get(made) === text) return;
  dressedIn.set(made, text);
  made.classList.toggle("used", key.used);
  made.classList.toggle("home", key.home);
  made.dataset.code = key.code;
  // A screen reader would say the name again each time that it changes under the focus.
  if (made !== document.activeElement || !made.hasAttribute("aria-label")) made.setAttribute("aria-label", key.label);
  made.replaceChildren(...(key.used ? [shape(key)] : []), element("b", {}, key.name));
}
