// Dragging: a riff along the lines, or from the notebook into a bar.
import { element } from "../dom.js";
import { follow, nextGesture } from "../pointer.js";

/** How far a pointer may wander and still be a tap, in CSS pixels. */
const TAP = 6;
/** Bars in a line. */
const LINE = 4;

/**
 * Moves a band by half beats along its line, and by lines up and down.
 * @param {import("../../session.js").Session} session
 * @param {HTMLElement} root
 */
export function attachBandDrag(session, root) {
  // Text that happens to be marked would be dragged instead.
  root.addEventListener("dragstart", (event) => event.preventDefault());
  root.addEventListener("pointerdown", (event) => {
    const band = /** @type {Element} */ (event.target).closest("[data-band]");
    const line = band?.closest(".cline");
    if (event.button !== 0 || !(band instanceof HTMLElement) || !(line instanceof HTMLElement)) return;
    const gesture = nextGesture();
    const index = Number(band.dataset.band);
    const bars = line.querySelectorAll(".bar").length;
    const beats = session.screen.chorus?.lines[0]?.bars[0]?.beats ?? LINE;
    const half = line.clientWidth / (bars * beats * 2);
    const height = line.getBoundingClientRect().height;
    let [moved, steps, rows] = [false, 0, 0];
    follow(
      event,
      (x, y) => {
        const [dx, dy] = [x - event.clientX, y - event.clientY];
        if (!moved && Math.hypot(dx, dy) < TAP) return;
        if (!moved) {
          // The band is drawn anew as it moves: what follows the finger must outlast it.
          root.setPointerCapture(event.pointerId);
          session.do({ do: "select-placement", index });
        }
        moved = true;
        const [wantedSteps, wantedRows] = [Math.round(dx / half), Math.round(dy / height)];
        if (wantedSteps === steps && wantedRows === rows) return;
        session.do({
          do: "move-placement",
          index: undefined,
          bars: (wantedRows - rows) * LINE,
          halfBeats: wantedSteps - steps,
          gesture,
        });
        [steps, rows] = [wantedSteps, wantedRows];
      },
      () => {
        if (!moved) return;
        // What was dragged was not tapped.
        addEventListener("click", stop, true);
        setTimeout(() => removeEventListener("click", stop, true));
      },
    );
  });
}

const stop = (/** @type {Event} */ event) => event.stopPropagation();

/**
 * Lets a riff of the notebook be dragged into a bar.
 * @param {import("../../session.js").Session} session
 * @param {HTMLElement} picture
 * @param {{ id: string, name: string }} riff
 */
export function attachRiffDrag(session, picture, riff) {
  picture.addEventListener("pointerdown", (event) => {
    if (event.button !== 0) return;
    /** @type {HTMLElement | null} */
    let ghost = null;
    /** @type {Element | null} */
    let over = null;
    follow(
      event,
      (x, y) => {
        if (!ghost && Math.hypot(x - event.clientX, y - event.clientY) < TAP) return;
        if (!ghost) {
          ghost = element("div", { class: "drag-ghost", "aria-hidden": "true" }, riff.name);
          document.body.append(ghost);
        }
        ghost.style.transform = `translate(${x + 8}px, ${y + 8}px)`;
        const bar = barAt(x, y);
        if (bar === over) return;
        over?.classList.remove("over");
        bar?.classList.add("over");
        over = bar;
      },
      (x, y) => {
        ghost?.remove();
        over?.classList.remove("over");
        const bar = ghost && barAt(x, y);
        if (!bar) return;
        const box = bar.getBoundingClientRect();
        const index = Number(bar.dataset.bar);
        const view = session.screen.chorus?.lines.find(
          (line) => line.first <= index && index < line.first + line.bars.length,
        );
        const beats = view?.bars[index - view.first]?.beats ?? LINE;
        session.do({
          do: "place-riff",
          id: riff.id,
          bar: index,
          halfBeats: Math.floor(((x - box.left) / box.width) * beats) * 2,
        });
      },
    );
  });
}

/**
 * The bar at a place on the screen.
 * @param {number} x
 * @param {number} y
 */
function barAt(x, y) {
  const line = document.elementsFromPoint(x, y).find((each) => each.matches("#chorus-lines .bar"));
  return line instanceof HTMLElement ? line : null;
}
