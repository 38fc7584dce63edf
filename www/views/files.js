// Files: giving one to the browser to be saved, and looking into one that a person opens before anything of it is added.
import { freshId } from "../ids.js";
import { button, element } from "./dom.js";

/** @typedef {import("../session.js").Session} Session */
/** @typedef {import("../pkg/riffloom.js").FileView} FileView */

/** What is offered to be opened. */
const KINDS = ".json,.mid,.midi,.musicxml,.xml,.mxl,.abc,application/json,audio/midi";
/** How long the browser may take to fetch what it saves, in milliseconds. */
const FETCHED = 60_000;

/**
 * Has the browser save a file.
 * @param {string} name
 * @param {BlobPart} content
 * @param {string} type
 */
export function saveAs(name, content, type) {
  const address = URL.createObjectURL(new Blob([content], { type }));
  element("a", { href: address, download: name }).click();
  setTimeout(() => URL.revokeObjectURL(address), FETCHED);
}

/**
 * A button that opens a file, and the place where it is told what is in it. Nothing is added before a second press.
 * @param {Session} session
 */
export function fileOpener(session) {
  const told = element("div", { class: "opened", role: "status", tabindex: -1, hidden: true });
  const picker = element("input", { type: "file", accept: KINDS, hidden: true, onchange: () => void look() });
  const open = button("Open a file", () => picker.click(), {
    class: "quiet",
    "aria-label": "Open a file: a notebook that was saved, MIDI, MusicXML or ABC",
  });

  async function look() {
    const [file] = picker.files ?? [];
    // So that the same file may be chosen again.
    const name = file?.name ?? "";
    if (!file || !(await session.opened("files"))) return;
    const bytes = new Uint8Array(await file.arrayBuffer());
    picker.value = "";
    /** @type {FileView} */
    const view = session.app.lookIntoFile(bytes);
    const stem = name.replace(/\.\w+$/, "");
    let part = 0;
    const take = () => {
      session.takeIn(session.app.takeFile(bytes, part, freshId(), stem));
      close();
    };
    const lost = element("div", {});
    const choose = (/** @type {number} */ index) => {
      part = index;
      lost.replaceChildren(...(view.parts[index]?.lines ?? []).map((line) => element("p", {}, line)));
    };
    choose(0);
    const parts = view.parts.map(({ text }, index) =>
      element(
        "label",
        { class: "check" },
        element("input", { type: "radio", name: "part", checked: index === 0, onchange: () => choose(index) }),
        ` ${text}`,
      ),
    );
    told.replaceChildren(
      element("h3", {}, view.title),
      element("p", { class: "hint" }, name),
      ...view.lines.map((line) => element("p", {}, line)),
      ...(parts.length > 1 ? parts : []),
      lost,
      element(
        "div",
        { class: "row" },
        ...(view.action ? [button(view.action, take, { class: "quiet strong" })] : []),
        button(view.action ? "Leave it" : "Close", close, { class: "quiet" }),
      ),
    );
    told.hidden = false;
    told.focus();
  }

  function close() {
    told.hidden = true;
    told.replaceChildren();
    open.focus();
  }

  return { open, picker, told };
}
