// Opening a link, and the panels of passing on and of the microphone, whose rooms come when they are opened.
import { freshId } from "../ids.js";
import { byId, element } from "./dom.js";
import { attachPanel } from "./panel.js";
import { go } from "./tabs.js";

/**
 * @param {import("../session.js").Session} session
 * @param {import("../places.js").Places} places
 */
export function mountShare(session, places) {
  /** A panel whose room comes when it is opened. @param {string} name @param {string} title */
  const room = (name, title) => {
    const panel = byId(`${name}-panel`);
    attachPanel(byId(name), panel, () => {
      const fill = () => session.dispatchEvent(new CustomEvent(name));
      if (places.isHere(name)) return fill();
      const told = element("p", { class: "hint", role: "status" }, "One moment…");
      panel.replaceChildren(element("h2", {}, title), told);
      places
        .come(name)
        .then((here) =>
          here ? fill() : (told.textContent = "It did not come. Look at your connection, then open this again."),
        );
    });
  };
  room("pass", "Pass it on");
  room("listen", "Microphone");
  addEventListener("hashchange", () => openFromAddress(session));
  /** Lets a part of the page come, and tells it whether it was asked for. @param {string} name @param {boolean} isAsked */
  const comes = async (name, isAsked) =>
    (await places.come(name)) && session.dispatchEvent(new CustomEvent(name, { detail: isAsked }));
  // A link for a class is looked at before anything of it is added.
  session.addEventListener(
    "changed",
    (event) => /** @type {CustomEvent} */ (event).detail.show === CLASS && void comes(CLASS, false),
  );
  session.addEventListener("ask", (event) => void comes(/** @type {CustomEvent} */ (event).detail, true));
  byId("staff").addEventListener("toggle", () => void places.come("staff"), { once: true });
}

/** The part of the page for lessons and answers. */
const CLASS = "class";

/** The link in the address that this tab has opened: loaded again, the page does not open it once more. */
export const OPENED = "riffloom opened";

/**
 * Opens the riff that the page's own address holds, if it holds one; it stays in the address, to be had again.
 * @param {import("../session.js").Session} session
 */
export async function openFromAddress(session) {
  const { hash } = location;
  // A place on the page, as the link to the keyboard has, is no riff.
  if (hash.length < 8 || document.getElementById(hash.slice(1)) || !(await session.opened("files"))) return;
  try {
    if (sessionStorage.getItem(OPENED) === hash) return;
    // What is for a class is looked at each time until it is taken up.
    if ((await openLink(session, hash)) !== CLASS) sessionStorage.setItem(OPENED, hash);
  } catch {
    // Then it is opened again; what is in the notebook already is not put in twice.
  }
}

/**
 * Shows what a link holds, and opens it where that is wanted.
 * @param {import("../session.js").Session} session
 * @param {string} text
 */
export async function openLink(session, text) {
  if (!(await session.opened("files"))) return undefined;
  const part = text.includes("#")
    ? text.slice(text.indexOf("#"))
    : text.includes("%23")
      ? text.slice(text.indexOf("%23"))
      : text;
  const seen = await import("./link-seen.js").catch(() => undefined);
  if (!seen) session.dispatchEvent(new CustomEvent("missing"));
  if (!(await seen?.isWanted(session, part))) return undefined;
  const changed = session.do({ do: "open-link", text: part, id: freshId(), takeTune: true });
  if (changed.show && changed.show !== CLASS) go(session, changed.show);
  return changed.show;
}
