// Renders samples with an instance of the core of its own, so that the page never waits for them. The first message
// brings the compiled core.
import init, { renderSample } from "../pkg/riffloom.js";

/** @type {Promise<unknown> | undefined} */
let ready;

self.addEventListener("message", async (/** @type {MessageEvent} */ event) => {
  const { core, codes, rate } = /** @type {{ core?: WebAssembly.Module, codes: Uint32Array, rate: number }} */ (event.data);
  if (core) ready = init({ module_or_path: core });
  await ready;
  for (const code of codes) {
    const frames = renderSample(code, rate);
    self.postMessage({ code, rate, frames }, { transfer: [frames.buffer] });
  }
});
