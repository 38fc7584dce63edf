// What is said once, and how keeping goes.
import { button, byId, element, say as announce } from "./dom.js";

/** How long a message stays, in milliseconds; long enough to read twice. */
const STAY = 8000;
/** How long one with an offer stays: long enough to listen before one decides. */
const STAY_OFFERED = 12_000;
/** From so many letters on it needs more room than the head of the page has. */
const LONG = 60;
/** @type {Record<import("../session.js").Saved, string>} */
const KEPT = {
  saving: "Saving…",
  saved: "Kept on this device",
  memory: "Only until you close this page",
  waiting: "Not saved yet",
  full: "Not saved: no room",
  failed: "Not saved yet",
};

/** @param {import("../session.js").Session} session */
export function mountMessage(session) {
  const [root, kept] = [byId("message"), byId("kept")];
  /** @type {ReturnType<typeof setTimeout>} */
  let timer;
  /** Whether what is shown offers to do something about what was done. */
  let offers = false;
  /** Whether what is shown says why something was not done. */
  let refuses = false;
  /** Whether what is shown belongs to the part of the page on which it was said. */
  let stays = false;
  /** Whether it was said just now: what takes a person elsewhere says so before it goes there. */
  let justSaid = false;
  session.addEventListener("gone", () => {
    if (!stays && !justSaid) root.hidden = true;
  });
  const tell = () => {
    kept.textContent = KEPT[session.saved];
    const trouble = session.saved !== "saving" && session.saved !== "saved";
    // That all goes well need not be said with every note.
    if (trouble && !kept.classList.contains("trouble")) announce(KEPT[session.saved]);
    kept.classList.toggle("trouble", trouble);
  };
  tell();
  session.addEventListener("saved", tell);
  // The next note does not take it away, nor another part of the page: it is no answer to what was done.
  session.addEventListener("trouble", (event) => {
    say(/** @type {CustomEvent} */ (event).detail);
    refuses = false;
    stays = true;
  });
  session.addEventListener("sound", (event) => {
    if (/** @type {CustomEvent} */ (event).detail === "asleep" && session.playing)
      say("The sound is asleep. Tap anywhere to wake it.");
  });

  // It is said beside what it is about.
  session.addEventListener("beside", () => (root.hidden = true));

  const reload = () => button("Reload", () => location.reload(), { class: "quiet" });
  session.addEventListener("missing", () =>
    say("This part of the page did not come. Look at your connection, then try again."),
  );
  session.addEventListener("elsewhere", () => {
    clearTimeout(timer);
    show(element("p", {}, "The notebook was changed in another tab."), reload());
  });
  session.addEventListener("broken", () => {
    clearTimeout(timer);
    show(
      element("p", {}, "Something keeps going wrong. What you wrote is saved. Load the page again to go on."),
      reload(),
    );
  });

  /**
   * @param {string} text
   * @param {import("../pkg/riffloom.js").OfferView} [offer]
   */
  function say(text, offer) {
    const act = () => offer && session.do(/** @type {any} */ ({ do: offer.does }));
    show(element("p", {}, text), ...(offer ? [button(offer.text, act, { class: "quiet" })] : []));
    offers = offer !== undefined;
    refuses = !offer;
    stays = false;
    justSaid = true;
    setTimeout(() => (justSaid = false));
    clearTimeout(timer);
    timer = setTimeout(() => (root.hidden = true), offer ? STAY_OFFERED : STAY);
  }
  /** @param {...HTMLElement} parts */
  function show(...parts) {
    offers = refuses = false;
    stays = true;
    root.classList.toggle("many", parts.length > 2);
    root.classList.toggle("long", (parts[0]?.textContent ?? "").length > LONG || parts.length > 2);
    root.replaceChildren(
      ...parts,
      button("×", () => (root.hidden = true), { class: "quiet", "aria-label": "Close" }),
    );
    root.hidden = false;
  }
  return {
    say,
    /** Takes away what is said about the step before: another one was done now. */
    withdraw() {
      if (offers || refuses) root.hidden = true;
    },
    /**
     * Asks, until it is answered or closed.
     * @param {string} text
     * @param {[string, () => void][]} answers
     */
    ask(text, answers) {
      clearTimeout(timer);
      show(
        element("p", {}, text),
        ...answers.map(([answer, act]) =>
          button(
            answer,
            () => {
              root.hidden = true;
              act();
            },
            { class: "quiet" },
          ),
        ),
      );
    },
    /** @param {() => void} change */
    offerNewVersion(change) {
      clearTimeout(timer);
      show(element("p", {}, "A new version is ready."), button("Reload", change, { class: "quiet" }));
    },
  };
}
