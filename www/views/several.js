// In the notebook: several riffs ticked, and passed on, printed, saved or deleted at once.
import { button, element, write } from "./dom.js";
import { saveAs } from "./files.js";
import { labelField, putLabel } from "./labels.js";

/** @typedef {import("../session.js").Session} Session */

/**
 * @param {Session} session
 * @param {HTMLElement} root the notebook: it has the class `ticking` while riffs are ticked
 * @param {() => string[]} shown the ids of the riffs that are listed, in their order
 * @param {() => string[]} everything the ids of all riffs, those that are listed first
 */
export function mountSeveral(session, root, shown, everything) {
  /** @type {Set<string>} */
  const ticked = new Set();
  const begin = button("Tick several", () => tick(true), { class: "quiet" });
  const count = element("b", { role: "status" });
  const out = element("div", { class: "several-out" });
  const all = button("Tick all", () => tickAll(), { class: "link" });
  const ways = [
    button("Send", () => void send(), { class: "quiet" }),
    button("Print…", () => void print(), { class: "quiet" }),
    button("Save as a file", () => void save(), { class: "quiet" }),
    button("Label…", () => label(), { class: "quiet" }),
    button("Delete", () => remove(), { class: "quiet" }),
  ];
  const bar = element(
    "section",
    { class: "several card", "aria-label": "Ticked riffs", hidden: true },
    element(
      "div",
      { class: "row" },
      count,
      all,
      ...ways,
      button("Done", () => tick(false), { class: "link" }),
    ),
    out,
  );

  /** @param {boolean} on */
  function tick(on) {
    root.classList.toggle("ticking", on);
    bar.hidden = !on;
    begin.hidden = on;
    ticked.clear();
    for (const box of boxes()) {
      box.checked = false;
      name(box);
    }
    tell();
    (on ? boxes()[0] : begin)?.focus();
  }

  /** What the riff beside each box is called: a card gets its words when it comes near the window. @type {WeakMap<HTMLInputElement, () => string>} */
  const names = new WeakMap();
  const name = (/** @type {HTMLInputElement} */ box) =>
    box.setAttribute("aria-label", `Tick ${names.get(box)?.() ?? ""}`);

  const boxes = () => /** @type {NodeListOf<HTMLInputElement>} */ (root.querySelectorAll(".tick input"));

  function tickAll() {
    for (const id of shown()) ticked.add(id);
    for (const box of boxes()) box.checked = true;
    tell();
  }

  function tell() {
    out.replaceChildren();
    const none = ticked.size === 0;
    write(count, none ? "Tick the riffs that you mean." : ticked.size === 1 ? "1 ticked" : `${ticked.size} ticked`);
    for (const way of ways) way.disabled = none;
  }

  /** In the order in which they are listed; also those that are not looked for now. */
  const ids = () => everything().filter((id) => ticked.has(id));

  const say = (/** @type {string} */ text) => out.replaceChildren(element("p", { class: "hint" }, text));

  async function send() {
    if (!(await session.opened("files", "chorus", "class"))) return;
    const view = session.inClass({ do: "several", riffs: ids() });
    if (!view?.made) return say(view?.told ?? "");
    const { linkOut } = await import("./link-out.js");
    out.replaceChildren(...linkOut(view.made, "The ticked riffs"));
  }

  async function print() {
    if (!(await session.opened("staff"))) return;
    const { printRiffs } = await import("./riffs-sheet.js");
    printRiffs(session, ids());
  }

  async function save() {
    if (!(await session.opened("files"))) return;
    saveAs(session.app.riffsName(ids()), session.app.writeRiffs(ids()), "application/json");
    say("Saved. The file opens in any notebook: “Open a file” adds what is in it.");
  }

  function label() {
    const field = labelField(session);
    const told = element("span", { class: "hint", role: "status" });
    const put = (/** @type {boolean} */ on) => {
      const text = field.value.trim();
      if (!text) return field.focus();
      putLabel(session, ids(), text, on);
      field.value = "";
      told.textContent = on ? `“${text}” is on.` : `“${text}” is off.`;
    };
    field.addEventListener("keydown", (event) => {
      if (event.key === "Enter") put(true);
    });
    out.replaceChildren(
      element(
        "div",
        { class: "row" },
        field,
        button("Put it on", () => put(true), { class: "quiet strong" }),
        button("Take it off", () => put(false), { class: "quiet" }),
        told,
      ),
      element("p", { class: "hint" }, "A short word of your own, such as “slow” or “Tuesday group”, to find them by."),
    );
    field.focus();
  }

  function remove() {
    session.do({ do: "delete-riff", id: ids().join(" ") });
    ticked.clear();
    tell();
  }

  return {
    begin,
    bar,
    /** The box on the card of a riff. @param {string} id @param {() => string} called */
    box(id, called) {
      const box = element("input", { type: "checkbox", checked: ticked.has(id) });
      box.addEventListener("change", () => {
        ticked[box.checked ? "add" : "delete"](id);
        tell();
      });
      names.set(box, called);
      box.addEventListener("focus", () => name(box));
      name(box);
      return element("label", { class: "tick" }, box);
    },
  };
}
