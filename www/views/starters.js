// Riffs to start from: a shelf in the notebook, closed until it is asked for. Each can be heard before it is taken.
import { freshId } from "../ids.js";
import { cloth } from "./cloth.js";
import { button, byId, element, sync } from "./dom.js";
import { drawMarks } from "./shapes.js";
import { go } from "./tabs.js";

/** @typedef {import("../pkg/riffloom.js").StartersView} StartersView */

/** @param {import("../session.js").Session} session */
export function mountStarters(session) {
  const steps = element("div", { class: "steps" });
  const models = element("ul", { class: "shelved" });
  const shelf = element(
    "details",
    { class: "starters card" },
    element(
      "summary",
      {},
      element("b", {}, "Riffs to start from"),
      " ",
      element("small", {}, "Hear them, take the ones you like, change them."),
    ),
    steps,
    element(
      "section",
      { class: "step" },
      element("h3", {}, "Whole choruses"),
      element("p", { class: "hint" }, "Twelve bars woven from these riffs."),
      models,
    ),
  );
  byId("notebook").querySelector(".folds")?.append(shelf);
  shelf.addEventListener("toggle", async () => {
    if (shelf.open && (await session.opened("shelf"))) draw();
  });

  // Whoever looks at an empty riff need not begin with nothing.
  const door = button("or start from a ready riff", () => (go(session, "notebook"), openShelf()), {
    class: "link starters-door",
  });
  door.addEventListener("pointerdown", (event) => event.stopPropagation());
  byId("strip").append(door);
  function openShelf() {
    shelf.open = true;
    shelf.scrollIntoView({ block: "start" });
    shelf.querySelector("summary")?.focus({ preventScroll: true });
  }

  const offer = () => (door.hidden = (session.screen.strip?.tokens.length ?? 1) > 0);
  session.addEventListener("drawn", offer);
  offer();

  return (/** @type {import("../session.js").Changed} */ { tune }) => {
    if (tune && shelf.open) draw();
  };

  function draw() {
    /** @type {StartersView | undefined} */
    const view = session.app.starters();
    if (!view) return;
    sync(steps, view.steps, ({ title, about, riffs }) => {
      const list = element("ul", { class: "shelved" });
      list.append(
        ...riffs.map(({ name, teaches, marks }) => {
          const picture = element("span", { class: "picture", "aria-hidden": "true" });
          drawMarks(picture, marks);
          return card(name, teaches, picture, () => session.do({ do: "take-starter", name, id: freshId() }));
        }),
      );
      return element(
        "section",
        { class: "step" },
        element("h3", {}, title),
        element("p", { class: "hint" }, about),
        list,
      );
    });
    sync(models, view.choruses, (model) =>
      card(model.name, model.teaches, cloth(model.cloth), () => {
        session.do({ do: "take-model", name: model.name, id: freshId() });
        go(session, "chorus");
      }),
    );
  }

  /**
   * @param {string} name
   * @param {string} teaches
   * @param {Node} picture
   * @param {() => void} take
   */
  function card(name, teaches, picture, take) {
    return element(
      "li",
      { class: "card" },
      element("b", {}, name),
      element("p", {}, teaches),
      picture,
      element(
        "div",
        { class: "row" },
        button("Hear it", () => session.hear(() => session.app.hearStarter(name)), {
          class: "quiet",
          "aria-label": `Hear it: ${name}`,
        }),
        button("Take it", take, { class: "quiet", "aria-label": `Take it: ${name}` }),
      ),
    );
  }
}
