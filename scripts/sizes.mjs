// What the built page weighs, room by room, and which of the core's modules take the room.
import { existsSync, readFileSync, readdirSync, statSync } from "node:fs";
import { basename, join } from "node:path";
import { brotliCompressSync } from "node:zlib";
import { CODE, CUSTOM, IMPORT, bodies, importedFunctions, reader, sections } from "./wasm.mjs";

/** How many bytes travel for these: brotli 11, as hosts of pages pack once and for all. @param {Buffer} bytes */
export const packedSize = (bytes) => brotliCompressSync(bytes).length;

/**
 * Every file that a visit downloads; pictures for a home screen come when the page is installed, the page as one file when
 * somebody asks for it, and the sheet by itself never.
 * @param {string} dist
 */
export function pageFiles(dist) {
  const names = readdirSync(dist, { recursive: true, encoding: "utf8" }).filter((name) =>
    statSync(join(dist, name)).isFile(),
  );
  return names.filter((name) => !/^icons\/.*\.png$|^(riffloom|sheet)\.html$/.test(name)).sort();
}

/**
 * What the first room and each later one weigh, packed: module, script, style. What a script shares with the first
 * room's counts there.
 * @param {string} dist
 */
export function roomSizes(dist) {
  const weigh = (/** @type {Iterable<string>} */ names) =>
    [...names].reduce((sum, name) => sum + packedSize(readFileSync(join(dist, name))), 0);
  const first = imported(dist, "app.js");
  const early = [...readFileSync(join(dist, "index.html"), "utf8").matchAll(/"modulepreload" href="(.*?)"/g)].map(
    ([, name = ""]) => name,
  );
  const rows = [
    {
      name: "first room",
      module: weigh(["riffloom_bg.wasm"]),
      script: weigh(new Set([...first, ...early, "workers/ticker.js", ...imported(dist, "workers/sampler.js")])),
      style: weigh(["index.html", "style/page.css"]),
    },
  ];
  const names = readdirSync(join(dist, "rooms")).map((name) => basename(name));
  for (const name of names.filter((each) => each.endsWith(".wasm")))
    rows.push({ name, module: weigh([`rooms/${name}`]), script: 0, style: 0 });
  for (const name of names.filter((each) => each.endsWith(".js"))) {
    const sheet = `style/rooms/${name.replace(".js", ".css")}`;
    const own = [...imported(dist, `rooms/${name}`)].filter((each) => !first.has(each));
    rows.push({ name, module: 0, script: weigh(own), style: existsSync(join(dist, sheet)) ? weigh([sheet]) : 0 });
  }
  return rows;
}

/**
 * A script and all that it imports at once.
 * @param {string} dist
 * @param {string} name
 * @param {Set<string>} [found]
 */
function imported(dist, name, found = new Set()) {
  if (found.has(name)) return found;
  found.add(name);
  const text = readFileSync(join(dist, name), "utf8");
  const paths = [...text.matchAll(/(?:from|import)"(\.\.?\/[^"]+)"/g)].map(([, path = ""]) => path);
  for (const path of paths) imported(dist, join(name, "..", path), found);
  return found;
}

/**
 * The bytes of a module's functions by the source module that they come from, most first. What the standard library
 * makes for one module's types counts for that module.
 * @param {Buffer} module with names; the binary format is the WebAssembly core specification's, chapter 5
 * @returns {[string, number][]}
 */
export function codeByModule(module) {
  /** @type {number[]} */
  const sizes = [];
  /** @type {Map<number, string>} */
  const names = new Map();
  let imports = 0;
  for (const { id, content } of sections(module)) {
    if (id === IMPORT) imports = importedFunctions(content);
    if (id === CODE) sizes.push(...bodies(content).map((body) => body.length));
    if (id === CUSTOM) readNames(content, names);
  }
  /** @type {Map<string, number>} */
  const sums = new Map();
  for (const [index, size] of sizes.entries()) {
    const name = sourceModule(names.get(imports + index) ?? "");
    sums.set(name, (sums.get(name) ?? 0) + size);
  }
  return [...sums].sort((a, b) => b[1] - a[1]);
}

/**
 * @param {Buffer} section that may be the one with the functions' names (appendix "Custom Sections")
 * @param {Map<number, string>} names takes them, by the functions' indices
 */
function readNames(section, names) {
  const bytes = reader(section);
  if (bytes.text() !== "name") return;
  const FUNCTIONS = 1;
  while (!bytes.ends()) {
    const kind = bytes.byte();
    const part = reader(bytes.counted());
    for (let left = kind === FUNCTIONS ? part.number() : 0; left > 0; left--) names.set(part.number(), part.text());
  }
}

/**
 * `view::chorus` for a function of that module, in the compiler's symbols (Rust RFC 2603: each part of a path has its
 * length before it).
 * @param {string} symbol
 */
function sourceModule(symbol) {
  const after = symbol.split("8riffloom")[1];
  if (after === undefined) return "libraries";
  const parts = [];
  for (let rest = after; parts.length < 2;) {
    const length = /^\d+/.exec(rest)?.[0];
    if (!length) break;
    const begin = length.length + (rest[length.length] === "_" ? 1 : 0);
    const part = rest.slice(begin, begin + Number(length));
    // Types begin with a capital.
    if (!/^[a-z]/.test(part)) break;
    parts.push(part);
    rest = rest.slice(begin + Number(length));
  }
  return parts[0] ?? "the root";
}
