// Looks for choruses to suggest with an instance of the core of its own: the page never waits for it. Whoever has
// changed their mind ends the worker.
import init, { suggestAnswer } from "../pkg/riffloom.js";

const ready = init({ module_or_path: new URL("../riffloom_bg.wasm", import.meta.url) });

self.addEventListener("message", async (/** @type {MessageEvent<string[]>} */ { data: question }) => {
  await ready;
  self.postMessage(suggestAnswer(question));
});
