// Renders samples with an instance of the core of its own, so that the page never waits for them. The first message
// brings the compiled core.
import init, { __wbg_reset_state as resetCore, renderSample } from "../pkg/riffloom.js";

/** @type {Promise<unknown> | undefined} */
let ready;

self.addEventListener("message", async (/** @type {MessageEvent} */ event) => {
  const { core, codes, rate } = /** @type {{ core?: import("../rooms.js").Sent, codes: Uint32Array, rate: number }} */ (
    event.data
  );
  if (core) ready = init({ module_or_path: core });
  await ready;
  for (const code of codes) {
    const frames = rendered(code, rate);
    self.postMessage({ code, rate, frames }, { transfer: [frames.buffer] });
  }
});

/**
 * Mono frames; none where the core breaks over them. It is started anew for the others.
 * @param {number} code
 * @param {number} rate
 */
function rendered(code, rate) {
  try {
    return renderSample(code, rate);
  } catch (error) {
    console.info("A sound is missing:", error);
    resetCore();
    return new Float32Array();
  }
}
