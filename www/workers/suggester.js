// Looks for choruses to suggest with an instance of the core of its own: the page never waits for it. Whoever has
// changed their mind ends the worker.
import init, { suggestAnswer } from "../pkg/riffloom.js";
import { openSent } from "../rooms.js";
import { answers } from "../answers.js";

answers(
  async (/** @type {{ building: import("../rooms.js").Building, question: string[] }} */ { building, question }) => {
    await init({ module_or_path: building.core });
    await openSent(building);
    self.postMessage(suggestAnswer(question));
  },
);
