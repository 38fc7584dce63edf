// What the panel "Pass it on" shows: a link that holds the riff or the chorus, also as a picture, a field for a link, and
// files.
import { riffCloth } from "./cloth.js";
import { button, byId, element } from "./dom.js";
import { addressOf, below, linkOut, waysOut } from "./link-out.js";
import { mountMusicFile } from "./music-file.js";
import { openLink } from "./share.js";
import { hasChorus, mountTrack } from "./track.js";

/** A window in which link and picture stand beside the files without scrolling. */
const ROOMY = "(min-width: 1000px) and (min-height: 741px)";

/** @param {import("../session.js").Session} session */
export function mountPass(session) {
  const panel = byId("pass-panel");
  panel.classList.add("passing");
  const track = mountTrack(session);
  const music = mountMusicFile(session);
  session.addEventListener("pass", fill);

  function fill() {
    const isChorus = hasChorus(session);
    const link = isChorus ? session.chorusLink() : session.link();
    const tune =
      "key, form, feel, tempo, who plays and how, and the tempo to reach where you set one. Everyone keeps their own sounds and volume. Nothing else is sent.";
    const holds = `The link holds ${isChorus ? "the whole chorus with its riffs" : "the whole riff"} and its tune: ${tune}`;
    const told = element(
      "p",
      { class: "hint", role: "status" },
      link ? holds : "This chorus is too long for a link: pass on its riffs one by one, or fewer times through.",
    );
    const address = link ? addressOf(link) : "";
    const names = {
      label: isChorus ? "Link to this chorus" : "Link to this riff",
      title: isChorus ? "A chorus" : "A riff",
      copied: "Copied. Paste it into a message.",
    };
    const { field, buttons } = waysOut(address, names, told);
    const pasted = element("input", { type: "text", id: "pasted", autocomplete: "off" });
    const take = () => openLink(session, pasted.value);
    pasted.addEventListener("keydown", (event) => event.key === "Enter" && take());
    const out = element(
      "div",
      { class: "pass-link" },
      what(session, isChorus),
      field,
      element("div", { class: "row" }, ...buttons),
      told,
      ...(link ? below(address) : []),
      tuneAlone(),
      element("label", { for: "pasted" }, "Got a link? Paste it here"),
      element("div", { class: "row" }, pasted, button("Open", take, { class: "quiet" })),
    );
    // Where the panel has room, the picture for a camera lies open.
    const scan = out.querySelector("details");
    if (scan && matchMedia(ROOMY).matches) scan.open = true;
    const files = element("div", { class: "pass-files" }, track.whole, music.whole);
    const to = (/** @type {string} */ text, /** @type {HTMLElement} */ part) =>
      button(text, () => (part.scrollIntoView({ block: "nearest" }), first(part)?.focus()), { class: "door near" });
    const ask = (/** @type {string} */ text, /** @type {string} */ detail, /** @type {string} */ title) =>
      button(text, () => session.dispatchEvent(new CustomEvent("ask", { detail })), { class: "door", title });
    panel.replaceChildren(
      element("h2", {}, `Pass on ${isChorus ? "this chorus" : "this riff"}`),
      element(
        "div",
        { class: "pass-doors", role: "group", "aria-label": "Ways to pass it on" },
        to("A link", out),
        ask("Print a sheet…", "staff", "On paper, with notes, tablature or shapes"),
        to("A sound file", files),
        ask("For a class…", "class", "Lessons and answers"),
      ),
      out,
      files,
      button("Close", () => byId("pass").click(), { class: "quiet shut pass-close" }),
    );
    music.refresh();
    track.refresh();
  }

  /** A link to the tune alone, where it is asked for. */
  function tuneAlone() {
    const out = element("div", { class: "tune-alone" });
    const ask = async () => {
      if (!(await session.opened("files", "chorus", "class"))) return;
      const made = session.inClass({ do: "tune-link" })?.made;
      if (made)
        out.replaceChildren(element("b", {}, "The tune alone, without notes"), ...linkOut(made, "The tune alone"));
    };
    out.append(button("A link to the tune alone, without notes", () => void ask(), { class: "link" }));
    return out;
  }
}

/** @param {HTMLElement} part */
const first = (part) => /** @type {HTMLElement | null} */ (part.querySelector("input, select, button"));

/**
 * What is passed on: its name, and of a riff its cloth.
 * @param {import("../session.js").Session} session
 * @param {boolean} isChorus
 */
function what(session, isChorus) {
  const { grid, strip, chorus } = session.screen;
  const name = isChorus ? chorus?.title : strip?.name;
  const tokens = isChorus ? [] : (strip?.tokens ?? []);
  return element(
    "figure",
    { class: "pass-what" },
    element("figcaption", {}, element("b", {}, name || "Your riff")),
    ...(tokens.length > 0 && grid ? [riffCloth(tokens, grid.beats.length)] : []),
  );
}
