// What came back: links that are pasted, files, pictures of codes, and codes before the camera.
import { button, element } from "./dom.js";
import { Camera, codesInPicture } from "../camera.js";

/** @typedef {import("../pkg/riffloom.js").ClassView} ClassView */
/** @typedef {Parameters<import("../session.js").Session["inClass"]>[0]} ClassCommand */

/** @param {FileList | File[] | null} files */
const listed = (files) => [...(files ?? [])];

/**
 * @param {(command: ClassCommand) => ClassView | undefined} does
 * @param {(text: string, amongWords: boolean) => ClassView | undefined} paste
 */
export function classIn(does, paste) {
  const pasted = element("textarea", { id: "class-pasted", rows: 2, autocomplete: "off", spellcheck: "false" });
  const picker = element("input", {
    type: "file",
    multiple: true,
    accept: ".txt,.csv,.html,.eml,text/*,image/*",
    hidden: true,
    onchange: () => void open(picker.files),
  });
  const put = (/** @type {string} */ text, /** @type {boolean} */ amongWords) => {
    const view = paste(text, amongWords);
    // What does not read stays where it can be mended.
    pasted.value = view?.unread ?? "";
    return view;
  };
  const film = element("video", { playsinline: true, muted: true, "aria-label": "What the camera sees" });
  const came = element("ol", { class: "came", "aria-label": "Codes that were read" });
  const light = element(
    "p",
    { class: "camera-on" },
    element("i", { "aria-hidden": "true" }),
    element("b", {}, "The camera is on."),
    " Hold one code after the other in front of it. No picture leaves this device, and none is kept.",
  );
  const turn = button("Read codes with the camera", () => void (camera.isOn ? camera.stop() : camera.start(film)), {
    class: "quiet",
    "aria-pressed": "false",
  });
  const seen = element("div", { class: "camera", hidden: true }, light, film, came);
  /** Each code is told once. @type {Set<string>} */
  const known = new Set();
  const camera = new Camera(
    (state) => {
      const isOn = state === "on";
      seen.hidden = !isOn;
      turn.textContent = isOn ? "Turn the camera off" : "Read codes with the camera";
      turn.setAttribute("aria-pressed", String(isOn));
      if (isOn) {
        known.clear();
        came.replaceChildren();
        seen.scrollIntoView({ block: "nearest" });
      }
      does({ do: "camera", state });
    },
    (code) => {
      if (known.has(code)) return;
      known.add(code);
      const view = paste(code, false);
      if (!view) return;
      const isNew = view.told.endsWith("came in.");
      const who = isNew ? view.board.answers.at(-1)?.name : undefined;
      came.prepend(element("li", { class: isNew ? "kept-to" : "beside" }, who ? `${who} is on the board.` : view.told));
    },
  );

  /** Texts hold links among words, pictures hold codes. @param {FileList | File[] | null} files */
  async function open(files) {
    const all = listed(files);
    picker.value = "";
    const texts = await Promise.all(
      all.map((file) =>
        file.type.startsWith("image/") ? codesInPicture(file).then((codes) => codes.join("\n")) : file.text(),
      ),
    );
    const text = texts.join("\n");
    if (all.length > 0 && !text.trim()) does({ do: "no-code" });
    else if (all.length > 0) put(text, true);
  }

  return {
    whole: element(
      "section",
      { class: "gather", "aria-label": "What came back" },
      element("h3", {}, "What came back"),
      element("label", { for: "class-pasted" }, "Paste answers here: any number of links, one a line"),
      pasted,
      element(
        "div",
        { class: "row" },
        button("Put on the board", () => put(pasted.value, false), { class: "quiet strong" }),
        button("Open files or pictures", () => picker.click(), { class: "quiet" }),
        turn,
        picker,
      ),
      seen,
    ),
    open,
    put,
    focus: () => pasted.focus(),
    stop: () => camera.stop(),
  };
}
