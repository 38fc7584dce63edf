// Takes: recording oneself, and the takes that are kept on this device, to be heard, compared, saved and thrown away.
import { freshId } from "../ids.js";
import { LONGEST, Takes } from "../takes/takes.js";
import { button, byId, element, say, svg, sync, write } from "./dom.js";
import { saveAs } from "./files.js";
import { recordPlayingIn } from "./take-in.js";
import { go } from "./tabs.js";

/** @typedef {import("../pkg/riffloom.js").TakeRowView} TakeRowView */
/** @typedef {import("../pkg/riffloom.js").PairView} PairView */

/** The parts of the page where takes are recorded, and where they are shown. */
const [RECORDS, SHOWS] = [new Set(["practice", "play"]), new Set(["practice", "play", "notebook"])];
/** So many stand in the list; older ones are folded. */
const IN_SIGHT = 4;
/** The size of the picture of a take. */
const [WIDE, HIGH] = [192, 40];

/** @param {number} seconds */
const clock = (seconds) => `${Math.floor(seconds / 60)}:${String(Math.floor(seconds % 60)).padStart(2, "0")}`;

/**
 * @param {import("../session.js").Session} session
 * @param {import("../microphone.js").Microphone} microphone
 */
export function mountTakes(session, microphone) {
  const takes = new Takes(session, microphone);
  const record = (/** @type {string} */ text, /** @type {boolean} */ withBand) =>
    button(
      text,
      () => {
        write(trouble, "");
        void takes.begin(withBand);
      },
      { class: "tool record" },
    );
  const begins = [record("Record with the band", true), record("Record without it", false)];
  const time = element("span", { class: "takes-time" });
  const stop = button("Stop and keep it", () => takes.end(), { class: "tool keep" });
  const light = element("i", { class: "light", "aria-hidden": "true" });
  const now = element("p", { class: "takes-now", hidden: true }, light, element("b", {}, "Recording"), time, stop);
  const about = element(
    "p",
    { class: "hint" },
    `Record yourself, and hear it over the form. A take is kept on this device only, until you delete it; ${LONGEST / 60} minutes at most. Use headphones with the band, or the microphone hears it, too.`,
  );
  const head = element("div", { class: "row takes-head" }, element("h2", {}, "Takes"), about, ...begins, now);
  const trouble = element("p", { class: "takes-trouble", role: "status" });
  const pairs = element("ul", { class: "takes-pairs" });
  const [list, rest] = [element("ul", { class: "takes-list" }), element("ul", { class: "takes-list" })];
  const summary = element("summary", {});
  const older = element("details", { class: "takes-older", hidden: true }, summary, rest);
  const foot = element("p", { class: "hint" });
  const mayGo = element("p", { class: "hint", hidden: true });
  const root = element(
    "section",
    { class: "takes", id: "takes", "aria-label": "Takes", tabindex: -1, hidden: true },
    head,
    trouble,
    pairs,
    list,
    older,
    foot,
    mayGo,
  );
  byId("choruses").after(root);
  byId("listen-panel").querySelector(".ear-text")?.before(panelPart());
  recordPlayingIn(session, microphone, takes);

  /** What is heard one after the other, and which of it sounds. @type {{ pair: PairView, word: string } | null} */
  let comparing = null;

  takes.addEventListener("changed", draw);
  takes.addEventListener("grew", tellTime);
  takes.addEventListener("trouble", (event) => {
    const text = /** @type {CustomEvent<string>} */ (event).detail;
    write(trouble, text);
    // Where the list is not in sight it is said at the head of the page.
    const { top, bottom } = trouble.getBoundingClientRect();
    if (root.hidden || bottom > innerHeight || top < 0)
      session.dispatchEvent(new CustomEvent("trouble", { detail: text }));
  });
  for (const type of ["record", "recorded"]) microphone.addEventListener(type, draw);
  // What lies on the form depends on the tune.
  session.addEventListener("drawn", () => root.hidden || session.link() === over || draw());
  session.addEventListener("gone", draw);
  session.addEventListener("anew", draw);

  let said = false;
  /** The riff and the tune for which it was drawn. */
  let over = "";
  function draw() {
    over = session.link();
    const tab = session.place;
    const { recording } = takes;
    const view = SHOWS.has(tab) ? takes.view() : undefined;
    const records = RECORDS.has(tab);
    root.hidden = !view || (!records && view.takes.length === 0);
    if (Boolean(recording) !== said) say(recording ? "Recording." : "Recording has stopped. The take is kept.");
    said = Boolean(recording);
    if (root.hidden || !view) return;
    for (const each of begins) {
      each.hidden = !records || Boolean(recording);
    }
    now.hidden = !recording;
    about.hidden = !records || view.takes.length > 0;
    tellTime();
    sync(
      pairs,
      view.pairs.map((pair) => ({ pair, word: comparing?.pair.then === pair.then ? comparing.word : "" })),
      pairRow,
    );
    const rows = view.takes.map((row) => ({ row, plays: takes.player.playing === row.id, waits: Boolean(recording) }));
    sync(list, rows.slice(0, IN_SIGHT), takeRow);
    sync(rest, rows.slice(IN_SIGHT), takeRow);
    older.hidden = rows.length <= IN_SIGHT;
    write(summary, `Older takes: ${rows.length - IN_SIGHT}`);
    write(foot, view.summary);
    mayGo.hidden = view.mayGo.length === 0;
    mayGo.replaceChildren(
      view.mayGoText,
      " ",
      button("Throw them away", () => void takes.setGone(view.mayGo, true), { class: "quiet" }),
    );
  }

  function tellTime() {
    const take = takes.recording?.take;
    if (!take) return;
    const seconds = take.rate > 0 ? take.frames / take.rate : 0;
    write(
      time,
      `${clock(seconds)} of ${clock(LONGEST)}${take.bytes < 1e5 ? "" : `, ${(take.bytes / 1e6).toFixed(1)} MB`}`,
    );
  }

  /** @param {{ row: TakeRowView, plays: boolean, waits: boolean }} shown */
  function takeRow({ row, plays, waits }) {
    const called = `${row.title}, ${row.when}`;
    if (row.gone)
      return element(
        "li",
        { class: "take gone" },
        element("span", {}, `Deleted: ${called}. It is gone for good when you leave the page.`),
        button("Undo", () => void takes.setGone([row.id], false), { class: "tool", "aria-label": `Undo: ${called}` }),
      );
    const act = (/** @type {string} */ text, /** @type {() => void} */ does, kind = "tool") =>
      button(text, does, { class: kind, "aria-label": `${text}: ${called}` });
    const hear = (/** @type {import("../takes/player.js").Way} */ way) => () => void takes.hear(row.id, way, row.gain);
    const ways = plays
      ? [act("Stop", () => takes.player.stop())]
      : [act("Hear it", hear(row.lies ? "form" : "alone")), ...(row.lies ? [act("With the band", hear("band"))] : [])];
    const link = takes.all.find(({ id }) => id === row.id)?.link ?? "";
    const bring = () => session.do({ do: "open-link", text: link, id: freshId(), takeTune: true });
    return element(
      "li",
      { class: plays ? "take plays" : "take" },
      wave(row),
      element(
        "div",
        { class: "take-words" },
        element("b", {}, row.title, ...(row.mark ? [" ", element("span", { class: "take-mark" }, row.mark)] : [])),
        element("small", {}, `${row.when} · ${row.line}`),
        ...(row.note ? [element("small", {}, row.note)] : []),
      ),
      // While one is recorded nothing else sounds.
      element(
        "div",
        { class: "take-does", hidden: waits },
        ...ways,
        ...(row.wantsTune ? [act("Bring its tune back", bring)] : []),
        act("Save as WAV", () => void save(row), "tool"),
        act("Delete", () => void takes.setGone([row.id], true), "tool"),
      ),
    );
  }

  /** @param {TakeRowView} row */
  async function save(row) {
    const file = await takes.file(row.id);
    if (file) saveAs(row.file, file, "audio/wav");
  }

  /** @param {{ pair: PairView, word: string }} shown */
  function pairRow({ pair, word }) {
    const act = word ? () => stopComparing() : () => void compare(pair);
    return element(
      "li",
      {},
      element("span", {}, pair.text),
      button(word ? "Stop" : "Hear both", act, {
        class: "tool",
        "aria-label": `${word ? "Stop" : "Hear both"}: ${pair.text}`,
      }),
      element("b", { role: "status" }, word),
    );
  }

  /** Two takes one after the other. @param {PairView} pair */
  async function compare(pair) {
    for (const [id, word] of [
      [pair.then, "Then"],
      [pair.now, "Now"],
    ]) {
      const mine = (comparing = { pair, word: word ?? "" });
      draw();
      await takes.hear(id ?? "", "alone", takes.gainOf(id ?? ""));
      if (comparing !== mine) return;
    }
    stopComparing();
  }

  function stopComparing() {
    comparing = null;
    takes.player.stop();
    draw();
  }

  /** In the microphone's panel: the way to recording, and how it is stopped. */
  function panelPart() {
    const act = button("Record yourself", () => (takes.recording ? takes.end() : lead()), { class: "quiet" });
    const name = () => write(act, takes.recording ? "Stop recording and keep it" : "Record yourself");
    for (const type of ["record", "recorded"]) microphone.addEventListener(type, name);
    takes.addEventListener("changed", name);
    return act;
  }

  function lead() {
    byId("listen").click();
    if (!RECORDS.has(session.place)) go(session, "play");
    draw();
    root.scrollIntoView({ block: "nearest" });
    begins[0]?.focus();
  }
  draw();
}

/** A take as threads of a cloth: as long as it is loud. @param {TakeRowView} row */
function wave({ wave: heights, label }) {
  const step = WIDE / heights.length;
  const threads = heights.map((height, index) => {
    const half = Math.max((height * HIGH) / 2 - 2, 0.5);
    return `M${(index + 0.5) * step} ${HIGH / 2 - half}v${2 * half}`;
  });
  return svg(
    "svg",
    {
      class: "take-wave",
      viewBox: `0 0 ${WIDE} ${HIGH}`,
      preserveAspectRatio: "none",
      role: "img",
      "aria-label": label,
    },
    svg("path", { class: "weft", d: `M0 ${HIGH / 2}h${WIDE}` }),
    svg("path", { class: "threads", d: threads.join("") }),
  );
}
