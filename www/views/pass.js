// What the panel "Pass it on" shows: a link that holds the riff or the chorus, also as a picture, a field for a link, and
// files.
import { button, byId, element } from "./dom.js";
import { addressOf, below, waysOut } from "./link-out.js";
import { mountMusicFile } from "./music-file.js";
import { openLink } from "./share.js";
import { hasChorus, mountTrack } from "./track.js";

/** @param {import("../session.js").Session} session */
export function mountPass(session) {
  const panel = byId("pass-panel");
  const track = mountTrack(session);
  const music = mountMusicFile(session);
  session.addEventListener("pass", fill);

  function fill() {
    const isChorus = hasChorus(session);
    const link = isChorus ? session.chorusLink() : session.link();
    const ground =
      "key, form, feel, tempo, who plays and how. Everyone keeps their own sounds and volume. Nothing else is sent.";
    const holds = `The link holds ${isChorus ? "the whole chorus with its riffs" : "the whole riff"} and its ground: ${ground}`;
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
    panel.replaceChildren(
      element("h2", {}, "Pass it on"),
      field,
      element("div", { class: "row" }, ...buttons),
      told,
      ...(link ? below(address) : []),
      element("label", { for: "pasted" }, "Got a link? Paste it here"),
      element("div", { class: "row" }, pasted, button("Open", take, { class: "quiet" })),
      element(
        "div",
        { class: "row" },
        button(
          "For a class: lessons and answers…",
          () => session.dispatchEvent(new CustomEvent("ask", { detail: "class" })),
          {
            class: "quiet",
          },
        ),
      ),
      element("div", { class: "pass-files" }, track.whole, music.whole),
      element(
        "div",
        { class: "row" },
        button("Print a sheet…", () => session.dispatchEvent(new CustomEvent("ask", { detail: "staff" })), {
          class: "quiet",
        }),
      ),
    );
    music.refresh();
    track.refresh();
  }
}
