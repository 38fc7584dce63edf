// What is said once, and how keeping goes.
import { isTrouble } from "../keeper.js";
import { button, byId, element, say as announce } from "./dom.js";

/** How long a message stays, in milliseconds; long enough to read twice. */
const STAY = 8000;
/** How long one with an offer stays: long enough to listen before one decides. */
const STAY_OFFERED = 12_000;
/** From so many letters on it needs more room than the head of the page has. */
const LONG = 60;
/** The widest window of a phone, as in message.css. */
const PHONE = 700;
/** @type {Record<import("../keeper.js").Saved, string>} */
const KEPT = {
  saving: "Keeping it…",
  saved: "Kept on this device",
  memory: "Only until you close this page",
  waiting: "Not kept yet",
  full: "Not kept: no room",
  failed: "Not kept yet",
};

/** @param {import("../session.js").Session} session */
export function mountMessage(session) {
  const [root, kept] = [byId("message"), byId("kept")];
  /** @type {ReturnType<typeof setTimeout>} */
  let timer;
  /**
   * What is shown is about the last step, and goes with the next one and with the part of the page; or it offers
   * something about that step; or it is about how things stand, whatever is done.
   * @type {"step" | "offer" | "state"}
   */
  let kind = "state";
  /** What it offers to do; nothing, where it only says something. */
  let offered = "";
  /** Whether it was said just now: what takes a person elsewhere says so before it goes there. */
  let justSaid = false;
  session.addEventListener("gone", () => {
    if (kind !== "state" && !justSaid) root.hidden = true;
  });
  const tell = () => {
    const { saved } = session.keeper;
    kept.textContent = KEPT[saved];
    const trouble = isTrouble(saved);
    // That all goes well need not be said with every note.
    if (trouble && !kept.classList.contains("trouble")) announce(KEPT[saved]);
    kept.classList.toggle("trouble", trouble);
  };
  tell();
  session.addEventListener("saved", tell);
  const tellState = (/** @type {string} */ text) => {
    say(text);
    kind = "state";
  };
  session.addEventListener("trouble", (event) => tellState(/** @type {CustomEvent} */ (event).detail));
  session.addEventListener("sound", (event) => {
    if (/** @type {CustomEvent} */ (event).detail === "asleep" && session.playing)
      tellState("The sound is asleep. Tap anywhere to wake it.");
  });
  // On a phone it may lie over a bar: whoever goes on has read it.
  addEventListener(
    "pointerdown",
    ({ target }) => {
      const at = /** @type {Element} */ (target);
      // An offer waits, but gives way to the sentence that is opened, which has it too.
      const opens = at.closest?.("#brief[aria-expanded='false']");
      const over = kind === "step" || (kind === "offer" && opens);
      if (over && innerWidth <= PHONE && !root.contains(at)) root.hidden = true;
    },
    true,
  );

  // It is said beside what it is about.
  session.addEventListener("beside", () => (root.hidden = true));

  const reload = () => button("Reload", () => location.reload(), { class: "quiet" });
  session.addEventListener("missing", () =>
    tellState("This part of the page did not come. Look at your connection, then try again."),
  );
  session.addEventListener("elsewhere", () => {
    clearTimeout(timer);
    show(element("p", {}, "The notebook was changed in another tab."), reload());
  });
  session.addEventListener("broken", () => {
    clearTimeout(timer);
    show(
      element("p", {}, "Something keeps going wrong. What you wrote is kept. Load the page again to go on."),
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
    kind = offer ? "offer" : "step";
    offered = offer?.does ?? "";
    justSaid = true;
    setTimeout(() => (justSaid = false));
    clearTimeout(timer);
    if (offered !== "move-to-key") timer = setTimeout(() => (root.hidden = true), offer ? STAY_OFFERED : STAY);
  }
  /** @param {...HTMLElement} parts */
  function show(...parts) {
    kind = "state";
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
    /**
     * Takes away what is said about the step before: another one was done now.
     * @param {boolean} ofTune whether only the tune was set, and no riff changed
     */
    withdraw(ofTune) {
      // To move a riff to the key that was chosen stays an offer, whatever else is set.
      if (kind !== "state" && !(ofTune && offered === "move-to-key")) root.hidden = true;
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
