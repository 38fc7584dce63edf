// Making a sound file of the riff, of the built chorus, or of a track to practise with.
import { Heard } from "../session.js";
import { startWorker } from "../where.js";
import { button, element } from "./dom.js";

/** Frames a second in a file, which must not depend on the device that made it. */
const RATE = 48_000;
/** Pieces of a file are handed to the browser in lumps of this many bytes: it may keep those on the disk. */
const LUMP = 8 << 20;

const OF_RIFF = {
  riff: "The riff, once",
  form: "Once through the form, with the band",
  track: "A track to practise with",
};
const OF_CHORUS = {
  chorus: "The chorus, with the band",
  alone: "The chorus by itself",
  band: "Only the band, to play over",
};

/**
 * The part of a panel in which files are made. `refresh` says anew what the file would be.
 * @param {import("../session.js").Session} session
 */
export function mountTrack(session) {
  /** @type {{ stop: () => void } | null} */
  let work = null;
  let made = "";

  let isChorus = false;

  const kind = element("select", { id: "track-kind", onchange: () => refresh() });
  const offer = (/** @type {Record<string, string>} */ kinds) =>
    kind.replaceChildren(
      ...Object.entries(kinds).map(([value, text]) => element("option", { value, selected: value === "form" }, text)),
    );
  offer(OF_RIFF);
  const choruses = element("input", {
    id: "track-choruses",
    type: "number",
    min: 1,
    value: 4,
    onchange: () => refresh(),
  });
  const howMany = element("label", { class: "choruses" }, "Choruses ", choruses);
  const times = element("input", { id: "track-times", type: "number", min: 1, value: 1, onchange: () => refresh() });
  const howOften = element("label", { class: "choruses" }, "How many times ", times);
  const solo = element("input", { type: "checkbox", checked: true, onchange: () => refresh() });
  const withRiff = element("label", { class: "check" }, solo, " With my riff");
  const counted = element("input", { type: "checkbox", onchange: () => refresh() });
  const withCount = element("label", { class: "check" }, counted, " Count in a bar");
  const about = element("p", { class: "hint" });
  const told = element("p", { class: "hint", role: "status" });
  const bar = element("progress", { max: 1, value: 0, "aria-label": "How much of the file is made" });
  const make = button("Make the file", start, { class: "quiet strong" });
  const stop = button("Stop", () => end("Stopped. No file was made."), { class: "quiet" });
  const outcome = element("div", { class: "row" });
  const whole = element(
    "section",
    { class: "track", "aria-labelledby": "track-title" },
    element("h3", { id: "track-title" }, "Make a sound file"),
    element(
      "div",
      { class: "row" },
      element("label", { for: "track-kind" }, "What is in it"),
      kind,
      howMany,
      howOften,
      withRiff,
      withCount,
    ),
    about,
    element("div", { class: "row" }, make, bar, stop),
    told,
    outcome,
  );
  show(false);

  /** What the core is asked for: what, choruses, bars counted in. @returns {[Heard, number, number]} */
  function wanted() {
    const often = (/** @type {HTMLInputElement} */ field) => Math.max(1, Math.round(field.valueAsNumber) || 1);
    if (isChorus) {
      const what = kind.value === "alone" ? Heard.ChorusAlone : kind.value === "band" ? Heard.ChorusBand : Heard.Chorus;
      return [what, often(times), counted.checked ? 1 : 0];
    }
    const what = kind.value === "riff" ? Heard.Riff : solo.checked ? Heard.FormWithRiff : Heard.Band;
    const isTrack = kind.value === "track";
    return [what, isTrack ? often(choruses) : 1, isTrack ? 1 : 0];
  }

  function refresh() {
    const wasChorus = isChorus;
    isChorus = hasChorus(session);
    if (isChorus !== wasChorus) offer(isChorus ? OF_CHORUS : OF_RIFF);
    howMany.hidden = isChorus || kind.value !== "track";
    withRiff.hidden = isChorus || kind.value === "riff";
    howOften.hidden = withCount.hidden = !isChorus;
    const view = session.app.trackAbout(...wanted());
    for (const field of [choruses, times]) {
      field.max = String(view.most);
      if (field.valueAsNumber > view.most) field.value = String(view.most);
    }
    about.textContent = view.about;
    return view;
  }

  function start() {
    const { file } = refresh();
    const [what, often, countIn] = wanted();
    forget();
    told.textContent = "";
    show(true);
    bar.value = 0;
    stop.focus();
    const worker = startWorker("workers/mixer.js");
    work = { stop: () => worker.terminate() };
    /** @type {(Blob | Uint8Array<ArrayBuffer>)[]} */
    let pieces = [];
    let loose = 0;
    worker.addEventListener("message", ({ data }) => {
      if (data.over) return keep(new Blob(pieces, { type: "audio/wav" }), file);
      bar.value = data.progress;
      pieces.push(data.bytes);
      loose += data.bytes.length;
      if (loose < LUMP) return;
      pieces = [new Blob(pieces)];
      loose = 0;
    });
    worker.addEventListener("error", () => end("The file could not be made. Try a shorter one."));
    const job = session.speaker.mixingJob({ wants: "file", what, choruses: often, countIn, rate: RATE });
    job.then(
      (ready) => worker.postMessage(ready),
      () => end("The file could not be made: a part of the page did not come. Try again."),
    );
  }

  /**
   * @param {Blob} blob
   * @param {string} file
   */
  function keep(blob, file) {
    end("The file is ready.");
    made = URL.createObjectURL(blob);
    const link = element("a", { href: made, download: file }, `Save “${file}”`);
    outcome.replaceChildren(link);
    make.classList.remove("strong");
    link.focus();
  }

  function end(/** @type {string} */ words) {
    const hadFocus = document.activeElement === stop;
    work?.stop();
    work = null;
    show(false);
    told.textContent = words;
    if (hadFocus) make.focus();
  }

  function forget() {
    if (made) URL.revokeObjectURL(made);
    made = "";
    make.classList.add("strong");
    outcome.replaceChildren();
  }

  function show(/** @type {boolean} */ busy) {
    make.hidden = busy;
    bar.hidden = !busy;
    stop.hidden = !busy;
  }

  return { whole, refresh };
}

/**
 * Whether a chorus is on the screen that something stands in.
 * @param {import("../session.js").Session} session
 */
export function hasChorus(session) {
  return session.place === "chorus" && session.screen.chorus?.summary !== "";
}
