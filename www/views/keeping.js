// In the notebook: that it is on this device only, the whole of it as one file, and back from one.
import { today } from "../session.js";
import { button, byId, element, write } from "./dom.js";
import { fileOpener, saveAs } from "./files.js";

/** The day on which the notebook was last saved to a file. */
const SAVED = "riffloom saved to a file";
/** How long what was just written may take to be kept before the file is made, in milliseconds. */
const PATIENCE = 2000;

/** @param {import("../session.js").Session} session */
export function mountKeeping(session) {
  const words = element("p", {});
  const save = button("Save it all to a file", () => void saveAll(), { class: "quiet" });
  const { open, picker, told } = fileOpener(session);
  const noTakes = element(
    "p",
    { class: "hint", hidden: true },
    "Your takes are not in that file: they stand below, and each is saved as a file of its own.",
  );
  const section = element(
    "section",
    { class: "keeping", "aria-label": "Keep it safe" },
    words,
    element("div", { class: "row" }, save, open, picker),
    noTakes,
    told,
  );
  const cards = byId("notebook").querySelector(".cards");
  const last = byId("choruses");
  last.append(section);
  session.addEventListener("gone", () => void tell());
  session.addEventListener("saved", () => void tell());
  void tell();

  async function tell() {
    if (session.place !== "notebook" || !(await session.opened("files"))) return undefined;
    const lasting = (await navigator.storage?.persisted?.().catch(() => false)) ?? false;
    /** @type {import("../pkg/riffloom.js").KeepingView} */
    const view = session.app.keeping(savedOn(), lasting);
    write(words, view.text);
    save.classList.toggle("strong", view.due);
    noTakes.hidden = document.querySelector("#takes .take") === null;
    // Riffs and choruses come first, but where a file is due it is said where it is read.
    if (section.contains(document.activeElement)) return view;
    if (view.due) cards?.before(section);
    else last.append(section);
    return view;
  }

  async function saveAll() {
    if (!(await session.opened("files"))) return;
    await settled(session);
    const { file } = /** @type {import("../pkg/riffloom.js").KeepingView} */ (session.app.keeping(savedOn(), true));
    saveAs(file, session.app.writeNotebook(session.keeper.storage.lastKnown()), "application/json");
    try {
      localStorage.setItem(SAVED, String(today()));
    } catch {
      // Then it is said once more.
    }
    void tell();
  }
}

/** What was just written is being kept: with it the file is the newest. @param {import("../session.js").Session} session */
function settled(session) {
  if (session.keeper.rests) return undefined;
  return new Promise((/** @type {(value?: unknown) => void} */ done) => {
    session.addEventListener("saved", () => session.keeper.saved === "saving" || done());
    setTimeout(done, PATIENCE);
  });
}

function savedOn() {
  try {
    const day = Number(localStorage.getItem(SAVED) ?? NaN);
    return Number.isSafeInteger(day) ? day : undefined;
  } catch {
    return undefined;
  }
}
