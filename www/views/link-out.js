// A link on its way out: a field, a button that copies it, the system's share sheet, and a QR code.
import { ONE_FILE, isOneFile } from "../where.js";
import { button, element } from "./dom.js";
import { scanPicture } from "./scan.js";

/**
 * The field with an address in it, and the buttons that pass it on. Made before the tap that copies: browsers allow
 * copying only within the tap.
 * @param {string} address empty where there is none
 * @param {object} names
 * @param {string} names.label of the field, for a screen reader
 * @param {string} names.title of what is shared
 * @param {string} names.copied what is said once it is copied
 * @param {HTMLElement} told where that is said
 */
export function waysOut(address, { label, title, copied }, told) {
  const field = element("input", {
    type: "text",
    readonly: true,
    value: address,
    class: "address",
    "aria-label": label,
  });
  const say = (/** @type {string} */ text) => (told.textContent = text);
  const byHand = () => {
    field.select();
    say("Copy the marked text.");
  };
  const copy = button(
    "Copy the link",
    () => {
      if (navigator.clipboard) navigator.clipboard.writeText(address).then(() => say(copied), byHand);
      else byHand();
    },
    { class: "quiet strong" },
  );
  copy.disabled = !address;
  const data = { title, url: address };
  const share = button("Share…", () => void navigator.share(data).catch(() => {}), { class: "quiet" });
  return { field, buttons: navigator.canShare?.(data) ? [copy, share] : [copy] };
}

/**
 * The address of this page with a link behind it. Where the page is a file, its place on this device is nobody's business.
 * @param {string} link what stands behind the `#`
 */
export const addressOf = (link) => `${isOneFile ? ONE_FILE : location.origin + location.pathname}#${link}`;

/**
 * What stands below a link: its QR code; where the page has no address, no camera could follow it, and it is said where the
 * link opens.
 * @param {string} address
 */
export const below = (address) =>
  isOneFile
    ? [
        element(
          "p",
          { class: "hint" },
          "This page is a file, without an address. To open the link, paste it into “Got a link?” in “Pass it on”, on any Riffloom page.",
        ),
      ]
    : [scanPicture(address)];

/**
 * @param {string} link what stands behind the `#`
 * @param {string} name what it is, for a screen reader
 */
export function linkOut(link, name) {
  const address = addressOf(link);
  const told = element("span", { class: "hint", role: "status" });
  const { field, buttons } = waysOut(address, { label: `Link: ${name}`, title: name, copied: "Copied." }, told);
  return [element("div", { class: "row" }, field, ...buttons, told), ...below(address)];
}
