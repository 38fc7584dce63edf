// A link on its way out: a field, a button that copies it, the system's share sheet, and a QR code.
import { button, element } from "./dom.js";
import { scanPicture } from "./scan.js";

/**
 * @param {string} link what stands behind the `#`
 * @param {string} name what it is, for a screen reader
 */
export function linkOut(link, name) {
  const address = `${location.origin}${location.pathname}#${link}`;
  const field = element("input", {
    type: "text",
    readonly: true,
    value: address,
    class: "address",
    "aria-label": `Link: ${name}`,
  });
  const told = element("span", { class: "hint", role: "status" });
  const copy = button(
    "Copy the link",
    () => {
      const copied = () => (told.textContent = "Copied.");
      const byHand = () => {
        field.select();
        told.textContent = "Copy the marked text.";
      };
      if (navigator.clipboard) navigator.clipboard.writeText(address).then(copied, byHand);
      else byHand();
    },
    { class: "quiet strong" },
  );
  const row = element("div", { class: "row" }, field, copy);
  const data = { title: name, url: address };
  if (navigator.canShare?.(data))
    row.append(button("Share…", () => void navigator.share(data).catch(() => {}), { class: "quiet" }));
  row.append(told);
  return [row, scanPicture(address)];
}
