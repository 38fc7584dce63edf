// In "Pass it on": the link as a QR code, which a camera reads; as large as the window when it is tapped.
import { App } from "../pkg/riffloom.js";
import { element, svg } from "./dom.js";

/**
 * The code of `address`; nothing where it is too long.
 * @param {string} address
 */
export function code(address) {
  /** @type {import("../pkg/riffloom.js").QrView} */
  const { size, path } = App.qr(address);
  if (size === 0) return undefined;
  return svg(
    "svg",
    { viewBox: `0 0 ${size} ${size}`, "shape-rendering": "crispEdges", "aria-hidden": "true" },
    svg("rect", { width: size, height: size, class: "paper" }),
    svg("path", { d: path, class: "ink" }),
  );
}

/**
 * A part that opens, with the code of `address` in it.
 * @param {string} address
 */
export function scanPicture(address) {
  const picture = code(address);
  const title = element("summary", {}, "Show it to a camera (QR code)");
  if (!picture)
    return element(
      "details",
      { class: "scan" },
      title,
      element("p", { class: "hint" }, "This link is too long for a picture: send it instead."),
    );
  const frame = element("button", {
    type: "button",
    "aria-pressed": "false",
    "aria-label": "QR code of the link: fill the window with it",
    onclick: () => frame.setAttribute("aria-pressed", String(frame.getAttribute("aria-pressed") !== "true")),
  });
  frame.append(picture);
  frame.addEventListener("keydown", (event) => {
    if (event.key !== "Escape" || frame.getAttribute("aria-pressed") !== "true") return;
    event.stopPropagation();
    frame.setAttribute("aria-pressed", "false");
  });
  const fold = element(
    "details",
    { class: "scan", ontoggle: () => fold.open && frame.scrollIntoView({ block: "nearest" }) },
    title,
    frame,
    element("p", { class: "hint" }, "Tap the picture to fill the window, for the back of a room."),
  );
  return fold;
}
