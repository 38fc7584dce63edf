// Renders samples with an instance of the core of its own, so that the page never waits for them. The first message
// brings the compiled core.
import init, { __wbg_reset_state as resetCore, renderSample } from "../pkg/riffloom.js";

/** @type {Promise<unknown> | undefined} */
let ready;

/**
 * What is still to be rendered. The newest request comes first: what was asked for before it may not be wanted any more,
 * since another voice has been chosen.
 * @type {{ code: number, rate: number }[]}
 */
const waiting = [];
let isAtWork = false;
/** Lets messages in between two samples. */
const { port1: turn, port2: next } = new MessageChannel();

self.addEventListener("message", (/** @type {MessageEvent} */ event) => {
  const { core, codes, rate } = /** @type {{ core?: import("../rooms.js").Sent, codes: Uint32Array, rate: number }} */ (
    event.data
  );
  if (core) ready = init({ module_or_path: core });
  waiting.unshift(...Array.from(codes, (code) => ({ code, rate })));
  if (!isAtWork) void work();
});

async function work() {
  isAtWork = true;
  await ready;
  for (let first = waiting.shift(); first; first = waiting.shift()) {
    const { code, rate } = first;
    const frames = rendered(code, rate);
    self.postMessage({ code, rate, frames }, { transfer: [frames.buffer] });
    await others();
  }
  isAtWork = false;
}

/** Until the messages that are there have come in. @returns {Promise<void>} */
function others() {
  return new Promise((resolve) => {
    turn.onmessage = () => resolve();
    next.postMessage(null);
  });
}

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
