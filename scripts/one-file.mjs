// Puts the built page into one file that needs no server and no network: it opens from a stick, by a double click.
import { createHash } from "node:crypto";
import { readFileSync } from "node:fs";
import { extname, join } from "node:path";
import { gzipSync } from "node:zlib";

/** @type {Record<string, string>} */
const TYPES = {
  ".js": "text/javascript",
  ".css": "text/css",
  ".wasm": "application/wasm",
  ".bin": "application/octet-stream",
};

/** Unpacks what the file holds, gives each piece an address within the page, and starts. It runs in the browser. */
const LOADER = `
(async function () {
  const held = JSON.parse(document.getElementById("files").textContent);
  document.getElementById("files").remove();
  const files = {};
  const bytes = {};
  await Promise.all(Object.entries(held).map(async ([name, { type, packed }]) => {
    const letters = Uint8Array.from(atob(packed), (letter) => letter.charCodeAt(0));
    const stream = new Blob([letters]).stream().pipeThrough(new DecompressionStream("gzip"));
    const whole = await new Response(stream).arrayBuffer();
    // What runs with the sound may come from no address within the page, but from one that holds it.
    files[name] = name.startsWith("audio/")
      ? "data:text/javascript," + encodeURIComponent(new TextDecoder().decode(whole))
      : URL.createObjectURL(new Blob([whole], { type }));
    if (type.startsWith("application/")) bytes[name] = whole;
  }));
  window.riffloomFiles = files;
  window.riffloomBytes = bytes;
  await import(files["app.js"]);
})();
`;

/** A policy's name for a script or a sheet that stands in the page. @param {string} text */
const named = (text) => `'sha256-${createHash("sha256").update(text).digest("base64")}'`;

/**
 * The page as one file.
 * @param {string} folder where the built page is
 * @param {Record<string, string>} scripts each whole, with all that it imports, by the name under which the page asks for it
 * @param {string[]} names of what else the page asks for
 * @returns {string}
 */
export function oneFile(folder, scripts, names) {
  const read = (/** @type {string} */ name) => readFileSync(join(folder, name));
  const pieces = [
    ...Object.entries(scripts).map(([name, text]) => /** @type {[string, Buffer]} */ ([name, Buffer.from(text)])),
    ...names.map((name) => /** @type {[string, Buffer]} */ ([name, read(name)])),
  ];
  const held = Object.fromEntries(
    pieces.map(([name, bytes]) => {
      const packed = gzipSync(bytes, { level: 9 }).toString("base64");
      return [name, { type: TYPES[extname(name)] ?? "", packed }];
    }),
  );
  const page = read("index.html").toString();
  const guard = once(page, /<script>(.*?)<\/script>/s)[1] ?? "";
  // What it warns of where the served page is opened so is what this one is for.
  const ownGuard = replaced(guard, 'if (location.protocol === "file:") return sorry("file");', "");
  const style = read("style/page.css").toString();
  const policy = [
    "default-src 'none'",
    `script-src ${named(ownGuard)} ${named(LOADER)} blob: data: 'wasm-unsafe-eval'`,
    `style-src ${named(style)} blob:`,
    "img-src data: blob:",
    "connect-src blob:",
    "worker-src blob:",
    "base-uri 'none'",
    "form-action 'none'",
  ].join("; ");
  const icon = `data:image/svg+xml;base64,${read("icons/icon.svg").toString("base64")}`;
  const parts = /** @type {[string | RegExp, string][]} */ ([
    [guard, ownGuard],
    [/(http-equiv="Content-Security-Policy"\s+content=")[^"]*/, `$1${policy}`],
    [/<link rel="manifest"[^>]*>\s*/, ""],
    [/ *<link rel="preload"[^>]*>\s*/, ""],
    ["icons/icon.svg", icon],
    ['<link rel="stylesheet" href="style/page.css" />', `<style>${style}</style>`],
    [/<noscript><link[^>]*><\/noscript>/, ""],
    [
      '<script type="module" src="app.js"></script>',
      `<script type="application/json" id="files">${JSON.stringify(held)}</script>\n    <script type="module">${LOADER}</script>`,
    ],
  ]);
  const whole = parts.reduce((text, [from, to]) => replaced(text, from, to), page);
  return whole.replaceAll(/ *<link rel="modulepreload"[^>]*>\s*/g, "");
}

/**
 * @param {string} text
 * @param {RegExp} pattern
 */
function once(text, pattern) {
  const found = pattern.exec(text);
  if (!found) throw new Error(`the page has no ${pattern}`);
  return found;
}

/**
 * `text` with `from`, which must be there, replaced.
 * @param {string} text
 * @param {string | RegExp} from
 * @param {string} to where `from` is a pattern, with its groups as $1
 */
function replaced(text, from, to) {
  if (typeof from === "string" ? !text.includes(from) : !from.test(text)) throw new Error(`the page has no ${from}`);
  return typeof from === "string" ? text.replace(from, () => to) : text.replace(from, to);
}
