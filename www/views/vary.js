// Varying the riff: a panel of ways; then the new riff and the first one side by side, until one of them stays.
import { freshId } from "../ids.js";
import { Heard } from "../session.js";
import { button, byId, element, say, write } from "./dom.js";
import { opener } from "./panel.js";

/** @typedef {import("../session.js").Session} Session */

/**
 * A button that opens the ways to vary.
 * @param {Session} session
 * @param {string} text
 */
export function ways(session, text) {
  const {
    root,
    button: opens,
    close,
  } = opener("Ways to vary", "tool", {
    text,
    panel: "choices grid",
    root: "ways",
    fill(panel) {
      const best = session.app.bestWays().split(" ");
      const all = (session.screen.vary?.ways ?? []).map((way) =>
        button(way.text, () => pick(way.value), {
          class: "choice",
          "aria-pressed": String(way.chosen),
          "data-value": way.value,
        }),
      );
      const first = best.flatMap((name) => all.filter((way) => way.dataset.value === name));
      panel.replaceChildren(
        ...(first.length ? [element("h2", {}, "Best for this riff here"), ...first] : []),
        element("h2", {}, "The same riff, another way"),
        ...all.filter((way) => !first.includes(way)),
      );
    },
  });
  /** @param {string} how */
  function pick(how) {
    close();
    vary(session, how, 0);
  }
  return { root, opener: opens };
}

/** @param {Session} session */
export function mountVaried(session) {
  const root = byId("varied");
  const text = element("p", { class: "changed-text", role: "status" });
  const tool = (/** @type {string} */ label, /** @type {() => void} */ act, kind = "tool") =>
    button(label, act, { class: kind });
  const side = (/** @type {boolean} */ on) => () => {
    session.do({ do: "show-variation", on });
    hear(session);
  };
  const first = tool("Hear the first", side(false));
  const fresh = tool("Hear the new one", side(true));
  const again = tool("Same again", () => {
    const { vary: varied } = session.screen;
    const how = varied?.ways.find((way) => way.chosen)?.value;
    if (varied && how) vary(session, how, varied.nextTry);
  });
  const keep = tool(
    "Keep it",
    () => session.do({ do: "keep-variation", id: freshId(), name: session.screen.vary?.keepName ?? "" }),
    "tool keep",
  );
  const back = tool("Go back", () => session.do({ do: "drop-variation" }));
  root.append(
    text,
    element("span", { class: "group" }, first, fresh),
    element("span", { class: "group" }, back, again, ways(session, "Another change").root, keep),
  );

  return (/** @type {import("../session.js").Changed} */ { vary: varied }) => {
    if (!varied) return;
    const began = varied.on && root.hidden;
    const hadFocus = root.contains(document.activeElement);
    root.hidden = !varied.on;
    write(text, varied.text);
    first.setAttribute("aria-pressed", String(varied.on && !varied.showsNew));
    fresh.setAttribute("aria-pressed", String(varied.on && varied.showsNew));
    again.disabled = !varied.hasMore;
    // The focus does not vanish with the row that it was in.
    if (began) fresh.focus();
    else if (!varied.on && hadFocus) /** @type {HTMLElement | null} */ (byId("strip").querySelector(".notes"))?.focus();
  };
}

/**
 * Makes a variation and lets it be heard.
 * @param {Session} session
 * @param {string} how
 * @param {number} seed
 */
async function vary(session, how, seed) {
  if (!(await session.opened("vary"))) return;
  session.do({ do: "vary", how, seed });
  const { vary: varied } = session.screen;
  if (varied?.on) say(varied.text);
  if (varied?.ways.some((way) => way.chosen && way.value === how)) hear(session);
}

/**
 * Lets what is on the strip be heard: in its place in the form while the band plays, alone otherwise.
 * @param {Session} session
 */
function hear(session) {
  if (!session.playing || session.alone) session.play(Heard.Riff);
}
