// Dragging in the strip: a note in time and pitch, its end, the riff's end; a tap puts the cursor.
import { follow, nextGesture } from "./pointer.js";

/** How far a pointer may wander and still be a tap, in CSS pixels. */
const TAP = 5;
/** How near to the end of a note's tail a pointer takes hold of the end, in CSS pixels. */
const END = 12;

/**
 * @param {import("../session.js").Session} session
 * @param {HTMLElement} root
 * @param {HTMLElement} notes
 * @param {HTMLElement} fray
 */
export function attachDrag(session, root, notes, fray) {
  root.addEventListener("pointerdown", (event) => {
    if (event.button !== 0) return;
    const token = /** @type {Element} */ (event.target).closest(".token");
    if (token instanceof HTMLElement) holdNote(event, Number(token.dataset.note), token);
    else if (fray.contains(/** @type {Node} */ (event.target))) holdEnd(event);
    else {
      session.setWriting(true);
      session.do({ do: "place-cursor", tick: tickAt(event.clientX) });
    }
  });

  /**
   * @param {PointerEvent} event
   * @param {number} index
   * @param {HTMLElement} token
   */
  function holdNote(event, index, token) {
    const held = session.screen.strip?.tokens.find((each) => each.index === index);
    if (!held) return;
    const gesture = nextGesture();
    const edge = token.getBoundingClientRect().left + held.length * root.clientWidth;
    const atEnd = held.length * root.clientWidth > 40 && Math.abs(event.clientX - edge) < END;
    const span = (session.screen.strip?.highest ?? 72) - (session.screen.strip?.lowest ?? 60);
    const grab = event.clientX - (root.getBoundingClientRect().left + held.at * root.clientWidth);
    let moved = false;
    let note = index;
    session.do({ do: "select-note", index });
    notes.focus();
    follow(
      event,
      (x, y) => {
        if (!moved && Math.hypot(x - event.clientX, y - event.clientY) < TAP) return;
        moved = true;
        if (atEnd) return void session.do({ do: "stretch-note", index: note, tick: tickAt(x), gesture });
        const midi = Math.min(
          Math.max(held.midi + Math.round(((event.clientY - y) / notes.clientHeight) * span), 0),
          127,
        );
        session.do({ do: "drag-note", index: note, tick: tickAt(x - grab), midi, gesture });
        note = session.screen.strip?.tokens.find((each) => each.selected)?.index ?? note;
      },
      () => {
        // The pressed token was drawn anew: WebKit gives the focus up with it.
        notes.focus({ preventScroll: true });
        const now = session.screen.strip?.tokens.find((each) => each.index === note);
        if (now) session.sound(now.midi);
      },
    );
  }

  /** @param {PointerEvent} event */
  function holdEnd(event) {
    follow(
      event,
      (x) => {
        const { strip } = session.screen;
        if (!strip) return;
        const box = root.getBoundingClientRect();
        const fraction = (x - box.left) / box.width - strip.beginsAt;
        const beats = Math.min(Math.max(Math.round(fraction / (session.screen.grid?.beats[0]?.width ?? 0.125)), 1), 16);
        if (beats !== strip.beatsCount) session.do({ do: "set-riff-beats", beats });
      },
      () => {},
    );
  }

  /**
   * The grid step nearest to a place on the screen.
   * @param {number} x
   */
  function tickAt(x) {
    const box = root.getBoundingClientRect();
    const at = (x - box.left) / box.width;
    const steps = session.screen.grid?.beats.flatMap((beat) => beat.steps) ?? [];
    const nearest = steps.reduce(
      (best, step) => (Math.abs(step.at - at) < Math.abs(best.at - at) ? step : best),
      steps[0] ?? { tick: 0, at: 0 },
    );
    return nearest.tick;
  }
}
