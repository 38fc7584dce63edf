// Passing a riff on: a link that holds it, and opening one.
import { freshId } from "../ids.js";
import { button, byId, element } from "./dom.js";
import { attachPanel } from "./panel.js";
import { go } from "./tabs.js";
import { hasChorus, mountTrack } from "./track.js";

/** @param {import("../session.js").Session} session */
export function mountShare(session) {
  const panel = byId("pass-panel");
  const track = mountTrack(session);
  attachPanel(byId("help"), byId("help-panel"));
  attachPanel(byId("pass"), panel, () => {
    // Ready before the tap that copies it: browsers allow copying only within the tap.
    const isChorus = hasChorus(session);
    const link = isChorus ? session.chorusLink() : session.link();
    const address = `${location.origin}${location.pathname}#${link}`;
    const field = element("input", { type: "text", readonly: true, value: link ? address : "", "aria-label": isChorus ? "Link to this chorus" : "Link to this riff" });
    const ground = "key, form, feel, tempo, who plays and how. The sounds, and how loud they are, stay everybody’s own. Nothing else is sent.";
    const holds = `The link holds ${isChorus ? "the whole chorus with its riffs" : "the whole riff"} and its ground: ${ground}`;
    const told = element("p", { class: "hint", role: "status" }, link ? holds : "This chorus is too long for a link: pass on its riffs one by one, or fewer times through.");
    const copy = button("Copy the link", () => {
      const copied = () => (told.textContent = "Copied. Paste it into a message.");
      const byHand = () => {
        field.select();
        told.textContent = "Copy the marked text.";
      };
      if (navigator.clipboard) navigator.clipboard.writeText(address).then(copied, byHand);
      else byHand();
    }, { class: "quiet strong" });
    copy.disabled = !link;
    const row = element("div", { class: "row" }, copy);
    const data = { title: isChorus ? "A chorus" : "A riff", url: address };
    if (navigator.canShare?.(data)) {
      row.append(button("Share…", () => void navigator.share(data).catch(() => {}), { class: "quiet" }));
    }
    const pasted = element("input", { type: "text", id: "pasted", autocomplete: "off" });
    const take = () => openLink(session, pasted.value);
    pasted.addEventListener("keydown", (event) => event.key === "Enter" && take());
    panel.replaceChildren(element("h2", {}, "Pass it on"), field, row, told,
      element("label", { for: "pasted" }, "Got a link? Paste it here"), element("div", { class: "row" }, pasted, button("Open", take, { class: "quiet" })),
      track.whole);
    track.refresh();
  });
  addEventListener("hashchange", () => openFromAddress(session));
}

/**
 * Opens the riff that the page's own address holds, if it holds one, and takes it out of the address.
 * @param {import("../session.js").Session} session
 */
export function openFromAddress(session) {
  const { hash } = location;
  // A place on the page, as the link to the keyboard has, is no riff.
  if (hash.length < 8 || document.getElementById(hash.slice(1))) return;
  history.replaceState(null, "", location.pathname + location.search);
  openLink(session, hash);
}

/**
 * @param {import("../session.js").Session} session
 * @param {string} text
 */
function openLink(session, text) {
  const part = text.includes("#") ? text.slice(text.indexOf("#")) : text.includes("%23") ? text.slice(text.indexOf("%23")) : text;
  const changed = session.do({ do: "open-link", text: part, id: freshId(), takeTune: true });
  if (changed.show) go(session, changed.show);
}
