// Looks for choruses to suggest with an instance of the core of its own: the page never waits for it. Whoever has
// changed their mind ends the worker.
import init, { suggestAnswer } from "../pkg/riffloom.js";
import { openSent } from "../rooms.js";

self.addEventListener("message", async (/** @type {MessageEvent<{ building: import("../rooms.js").Building, question: string[] }>} */ { data }) => {
  await init({ module_or_path: data.building.core });
  await openSent(data.building);
  self.postMessage(suggestAnswer(data.question));
});
