// The lesson on which a learner works: a slim line above the desk with one step, one sentence and the way on; the rest
// behind "More" where the window is small. And a lesson that waits to be begun.
import { button, element, sync, write } from "./dom.js";
import { addressOf, linkOut } from "./link-out.js";
import { saveAs } from "./files.js";
import { freshId } from "../ids.js";
import { go } from "./tabs.js";

/** @typedef {import("../pkg/riffloom.js").ClassView} ClassView */
/** @typedef {import("../pkg/riffloom.js").ChoiceView} ChoiceView */

/** @param {import("../session.js").Session} session */
export function mountLesson(session) {
  const title = element("b", {});
  const steps = element("ol", { class: "steps", "aria-label": "Steps of the lesson" });
  const where = element("b", { class: "where" });
  const say = element("p", { class: "say", role: "status" });
  const hint = element("p", { class: "hint" });
  const limits = element("ul", { class: "held", "aria-label": "What is asked" });
  const models = element("span", { class: "models" });
  const tiers = element("select", {
    "aria-label": "What is asked of your riff",
    onchange: () => does({ do: "choose-tier", tier: tiers.selectedIndex }),
  });
  const next = button("Next step", () => step(1), { class: "quiet strong" });
  const hand = button("Hand in…", () => openHand(), { class: "quiet strong" });
  const leave = button("Leave the lesson", () => does({ do: "leave" }), { class: "link" });
  const own = element(
    "details",
    { class: "own" },
    element("summary", {}, "Your teacher’s words"),
    element("p", { class: "own-words" }),
  );
  const more = button("More", () => unfold(more.getAttribute("aria-expanded") !== "true"), {
    class: "link fold",
    "aria-expanded": "false",
    "aria-controls": "lesson-more",
  });
  const bar = element(
    "section",
    { class: "lesson", "aria-label": "Lesson", hidden: true },
    element("div", { class: "way now" }, where, say, models, next, hand, more),
    element("div", { class: "way more", id: "lesson-more" }, title, steps, hint, limits, tiers, own, leave),
  );
  const waits = element("p", { class: "lesson-waits" });
  const waiting = element(
    "section",
    { class: "lesson waiting", "aria-label": "Lesson that waits", hidden: true },
    waits,
    button("Look at it", () => session.dispatchEvent(new CustomEvent("class", { detail: true })), { class: "quiet" }),
    button("×", () => does({ do: "close" }), { class: "quiet", "aria-label": "Put it away", title: "Put it away" }),
  );
  document.getElementById("desk")?.before(waiting, bar);
  const who = element("input", { type: "text", id: "lesson-who", autocomplete: "off" });
  const can = element("fieldset", { class: "can" }, element("legend", {}, "I can …"));
  const told = element("p", { class: "told", role: "status" });
  const dialogTitle = element("h2", { id: "hand-title" }, "Hand in");
  const about = element("p", { class: "hint" });
  const makes = button("Make my answer", () => handIn(), { class: "quiet strong" });
  const out = element("div", { class: "made" });
  const dialog = element(
    "dialog",
    { class: "class-room hand-in", "aria-labelledby": "hand-title" },
    element(
      "div",
      { class: "row head" },
      dialogTitle,
      button("Close", () => dialog.close(), { class: "quiet" }),
    ),
    about,
    element("p", { class: "field" }, element("label", { for: "lesson-who" }, "Seat number or a made-up name"), who),
    can,
    element("div", { class: "row" }, makes),
    told,
    out,
  );
  document.body.append(dialog);
  /** @type {ClassView | undefined} */
  let now;

  /** @param {Parameters<import("../session.js").Session["inClass"]>[0]} command */
  function does(command) {
    const view = session.inClass(command);
    if (view) show(view);
    return view;
  }

  /** @param {number} by */
  function step(by) {
    if (now?.work) goTo(now.work.step + by);
  }

  /** The step whose model was asked for, and whether it was heard to its end or stopped. */
  let [asked, isHeard] = [-1, false];
  session.addEventListener("playing", () => {
    if (session.playing || !now?.work || asked !== now.work.step) return;
    isHeard = true;
    point(now.work.hears);
  });

  /**
   * The button of the step is the filled one; the way on, once it is done.
   * @param {boolean} hears
   */
  function point(hears) {
    const waits = Boolean(hears) && !isHeard;
    for (const each of models.children) each.classList.toggle("strong", waits);
    next.classList.toggle("strong", !waits);
  }

  /** @param {number} step */
  function goTo(step) {
    // What sounds belongs to the step that one leaves.
    if (session.playing) session.stop();
    const view = does({ do: "work", step });
    if (!view?.work) return;
    if (view.work.begins) {
      session.do({ do: "take-lesson", id: freshId() });
      does({ do: "look" });
    }
    toRiff();
  }

  /** @param {boolean} open */
  function unfold(open) {
    more.setAttribute("aria-expanded", String(open));
    more.textContent = open ? "Less" : "More";
    bar.classList.toggle("open", open);
    own.open = open;
  }

  /** Every step is done on Riff. */
  function toRiff() {
    if (session.place !== "riff") go(session, "riff");
  }

  /** @param {ClassView} view */
  function show(view) {
    const before = now?.work;
    now = view;
    const { work, opened } = view;
    bar.hidden = !work;
    waiting.hidden = !opened?.lesson;
    waits.textContent = `A lesson waits: “${opened?.title}”`;
    document.body.classList.toggle("has-lesson", Boolean(work || opened?.lesson));
    if (!work) return;
    // What keys do is the step's to say; whoever changes it keeps it until the next step.
    if (work.title !== before?.title || work.step !== before.step) {
      [asked, isHeard] = [-1, false];
      session.setWriting(work.writes);
    }
    title.textContent = work.title;
    sync(steps, work.steps, ({ value, text, chosen }) =>
      element(
        "li",
        {},
        button(text, () => goTo(Number(value)), chosen ? { "aria-current": "step" } : {}),
      ),
    );
    where.replaceChildren(
      work.passes ? "" : `${work.step + 1}/${work.steps.length}`,
      element("span", {}, ` ${work.steps[work.step]?.text ?? ""}`),
    );
    steps.hidden = work.passes;
    // One sentence: what is heard goes before what is asked, and that before what to do.
    const beside = work.limits.find(({ kept }) => !kept);
    const isKept = work.limits.length > 0 && !beside;
    write(say, work.heard || beside?.text || (isKept ? "Your riff has all that is asked." : work.say));
    say.classList.toggle("good", work.good || isKept);
    hint.textContent = work.hint;
    sync(limits, work.limits, ({ text, kept }) => element("li", { class: kept ? "kept-to" : "beside" }, text));
    limits.hidden = work.limits.length === 0;
    limits.title = work.locked;
    tiers.hidden = work.tiers.length === 0;
    sync(tiers, work.tiers, ({ value, text, chosen }) => element("option", { value, selected: chosen }, text));
    own.hidden = !work.words;
    /** @type {Element} */ (own.lastElementChild).textContent = work.words;
    const isLast = work.step === work.steps.length - 1;
    next.hidden = isLast;
    hand.hidden = !isLast;
    hand.textContent = work.passes ? "Pass it on…" : "Hand in…";
    leave.textContent = work.passes ? "End here" : "Leave the lesson";
    hearers(work.models);
    point(work.hears);
  }

  /** @param {string[]} names */
  function hearers(names) {
    const several = names.length > 1;
    sync(
      models,
      names.map((name) => (several ? ` “${name}”` : " the model")),
      (text, index) => {
        const made = button(
          "Hear",
          () => {
            if (session.playing) return session.stop();
            asked = now?.work?.step ?? -1;
            session.inClass({ do: "play", what: `model${index}` });
          },
          { class: "quiet" },
        );
        // On the narrowest phones one word has room.
        made.append(element("span", { class: "long" }, text));
        return made;
      },
    );
  }

  function openHand() {
    if (!now?.work) return;
    const { passes } = now.work;
    dialogTitle.textContent = passes ? "Pass it on" : "Hand in";
    about.textContent = passes
      ? "What you made goes onto the board of this device, and into a link for the next seat. Nothing is sent."
      : "Your riff goes into a link. Nothing is sent: you give the link, the picture or the file to your teacher.";
    makes.hidden = false;
    makes.textContent = passes ? "Pass it on" : "Make my answer";
    who.maxLength = now.choices.mostWho;
    who.value = passes ? "" : who.value || now.work.who;
    can.hidden = now.work.can.length === 0;
    can.replaceChildren(
      /** @type {Element} */ (can.firstElementChild),
      ...now.work.can.map((text) =>
        element("label", { class: "check" }, element("input", { type: "checkbox" }), ` ${text}`),
      ),
    );
    out.replaceChildren();
    told.textContent = "";
    dialog.showModal();
    who.focus();
  }

  /** The next seat gets the riff as this one left it. */
  function nextSeat() {
    session.do({ do: "take-lesson", id: freshId() });
    dialog.close();
    does({ do: "look" });
    toRiff();
  }

  function passOn() {
    const view = does({ do: "pass-on", who: who.value, id: freshId() });
    if (!view) return;
    told.textContent = view.told;
    if (!view.made) return out.replaceChildren();
    makes.hidden = true;
    const look = () => {
      dialog.close();
      session.dispatchEvent(new CustomEvent("class", { detail: true }));
    };
    out.replaceChildren(
      element(
        "div",
        { class: "row" },
        button("Next seat, on this device", nextSeat, { class: "quiet strong" }),
        button("Look at the family", look, { class: "quiet" }),
      ),
      element("p", { class: "hint" }, "Or give this link to the next seat:"),
      ...linkOut(view.made, "For the next seat"),
    );
    out.querySelector("button")?.focus();
  }

  function handIn() {
    if (now?.work?.passes) return passOn();
    const ticked = [...can.querySelectorAll("input")].reduce(
      (bits, box, index) => bits | (Number(box.checked) << index),
      0,
    );
    const view = does({ do: "hand-in", who: who.value, can: ticked });
    if (!view) return;
    told.textContent = view.told;
    const name = who.value.trim();
    out.replaceChildren(
      ...(view.made
        ? [
            ...linkOut(view.made, "My answer"),
            element(
              "div",
              { class: "row" },
              button(
                "Save as a file",
                () => saveAs(`${name.replace(/[/\\:*?"<>|]/g, " ")}.txt`, `${addressOf(view.made)}\n`, "text/plain"),
                { class: "quiet" },
              ),
            ),
          ]
        : []),
    );
  }
  dialog.addEventListener("keydown", (event) => event.key !== "Escape" && event.stopPropagation());
  // What is written changes what is heard beside the model, and nothing else of the class.
  session.addEventListener("drawn", () => {
    if (!now?.work) return;
    const view = session.inClass({ do: "follow" });
    if (view) show({ ...now, work: view.work });
  });

  return {
    show,
    begin() {
      toRiff();
      const filled = bar.querySelector(".now .strong:not([hidden])");
      if (filled instanceof HTMLElement) filled.focus({ preventScroll: true });
    },
  };
}
