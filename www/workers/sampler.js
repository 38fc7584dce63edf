// Renders samples with an instance of the core of its own, so that the page never waits for them.
import init, { renderSample } from "../pkg/riffloom.js";

const ready = init({ module_or_path: new URL("../riffloom_bg.wasm", import.meta.url) });

self.addEventListener("message", async (/** @type {MessageEvent} */ event) => {
  const { codes, rate } = /** @type {{ codes: Uint32Array, rate: number }} */ (event.data);
  await ready;
  for (const code of codes) {
    const frames = renderSample(code, rate);
    self.postMessage({ code, rate, frames }, { transfer: [frames.buffer] });
  }
});
