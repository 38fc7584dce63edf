// Following a pointer from press to release; and numbers for gestures, each of which is one step back.

let gestures = 1;
/** A number that no gesture before has had. */
export const nextGesture = () => ++gestures;

/**
 * Follows the pointer of `event`, and no other, until it is let go or taken away.
 * @param {PointerEvent} event
 * @param {(x: number, y: number) => void} move
 * @param {(x: number, y: number) => void} [end]
 */
export function follow(event, move, end = () => {}) {
  const own = (/** @type {PointerEvent} */ other) => other.pointerId === event.pointerId;
  const onMove = (/** @type {PointerEvent} */ other) => own(other) && move(other.clientX, other.clientY);
  const onEnd = (/** @type {PointerEvent} */ other) => {
    if (!own(other)) return;
    removeEventListener("pointermove", onMove);
    removeEventListener("pointerup", onEnd);
    removeEventListener("pointercancel", onEnd);
    end(other.clientX, other.clientY);
  };
  addEventListener("pointermove", onMove);
  addEventListener("pointerup", onEnd);
  addEventListener("pointercancel", onEnd);
}
