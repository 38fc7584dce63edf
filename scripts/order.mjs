// Names a module's functions by rank, so that `wasm-opt --reorder-functions-by-name` puts those that are alike beside each
// other, which packs better: node scripts/order.mjs MODULE.wasm. scripts/build has wasm-opt sort and take the names away.
import { readFileSync, writeFileSync } from "node:fs";

/** Functions are alike by how many runs of so many bytes they share. */
const RUN = 4;
/** A run that stands in more functions than this tells nothing about them. */
const COMMON = 400;
/** Sections of the binary format (WebAssembly core specification, chapter 5.5). */
const [CUSTOM, IMPORT, CODE] = [0, 2, 10];

const path = process.argv[2] ?? "";
const module = readFileSync(path);
const sections = [...readSections(module)];
const functions = bodies(sections.find(({ id }) => id === CODE)?.content);
const imported = importedFunctions(sections.find(({ id }) => id === IMPORT)?.content);
const kept = sections.filter(({ id, content }) => id !== CUSTOM || !isNames(content));
const parts = kept.map(({ id, content }) => section(id, content));
writeFileSync(path, Buffer.concat([module.subarray(0, 8), ...parts, section(CUSTOM, names(inOrder(functions)))]));

/**
 * A chain through all functions, each followed by the one that is most like it of those that are left.
 * @param {Buffer[]} functions
 * @returns {number[]} their indices
 */
function inOrder(functions) {
  const runs = functions.map(runsOf);
  const size = (/** @type {number} */ index) => runs[index]?.size ?? 0;
  /** In which functions each run stands. @type {Map<number, number[]>} */
  const where = new Map();
  for (const [index, own] of runs.entries()) {
    for (const run of own) {
      const places = where.get(run);
      if (places) places.push(index);
      else where.set(run, [index]);
    }
  }
  // Where nothing that is left is like the last, the largest begins anew.
  const left = new Set([...runs.keys()].sort((a, b) => size(b) - size(a)));
  const order = [];
  for (let [next] = left; next !== undefined; ) {
    const last = next;
    left.delete(last);
    order.push(last);
    /** @type {Map<number, number>} */
    const shared = new Map();
    for (const run of runs[last] ?? []) {
      const places = where.get(run) ?? [];
      if (places.length > COMMON) continue;
      for (const index of places) if (left.has(index)) shared.set(index, (shared.get(index) ?? 0) + 1);
    }
    let most = 0;
    [next] = left;
    for (const [index, count] of shared) {
      const alike = count / Math.sqrt(size(index));
      if (alike > most) [most, next] = [alike, index];
    }
  }
  return order;
}

/** @param {Buffer} body */
function runsOf(body) {
  const runs = new Set();
  for (let at = 0; at + RUN <= body.length; at++) runs.add(body.readUInt32LE(at));
  return runs;
}

/** The content of a section of names (appendix "Custom Sections"): every function is called by its rank. @param {number[]} order */
function names(order) {
  const ranks = [];
  for (const [rank, index] of order.entries()) ranks[index] = rank;
  const all = [...Array(imported).fill(0), ...ranks.map((rank) => rank + 1)];
  const entries = all.flatMap((rank, index) => [number(index), text(`${String(rank).padStart(6, "0")}${rank === 0 ? `i${index}` : ""}`)]);
  const content = Buffer.concat([number(all.length), ...entries]);
  const FUNCTIONS = 1;
  return Buffer.concat([text("name"), Buffer.from([FUNCTIONS]), number(content.length), content]);
}

/** @param {Buffer} content of a custom section */
function isNames(content) {
  return content.subarray(0, 5).equals(text("name"));
}

/** @param {Buffer} module */
function* readSections(module) {
  const bytes = reader(module, 8);
  while (bytes.at() < module.length) {
    const id = bytes.byte();
    yield { id, content: bytes.take(bytes.number()) };
  }
}

/** @param {Buffer} [code] */
function bodies(code = Buffer.of(0)) {
  const bytes = reader(code);
  return Array.from({ length: bytes.number() }, () => bytes.take(bytes.number()));
}

/** How many functions an import section brings. @param {Buffer} [content] */
function importedFunctions(content = Buffer.of(0)) {
  const bytes = reader(content);
  let count = 0;
  const limits = () => {
    const hasMost = bytes.byte() & 1;
    bytes.number();
    if (hasMost) bytes.number();
  };
  for (let left = bytes.number(); left > 0; left--) {
    bytes.take(bytes.number());
    bytes.take(bytes.number());
    const kind = bytes.byte();
    if (kind === 0) {
      bytes.number();
      count += 1;
    } else if (kind === 1) {
      bytes.byte();
      limits();
    } else if (kind === 2) limits();
    else if (kind === 3) bytes.take(2);
    else throw new Error(`an import of kind ${kind}`);
  }
  return count;
}

/** @param {Buffer} from @param {number} [start] */
function reader(from, start = 0) {
  let at = start;
  const byte = () => from[at++] ?? 0;
  const number = () => {
    let value = 0;
    for (let shift = 0; ; shift += 7) {
      const next = byte();
      value += (next & 127) * 2 ** shift;
      if (next < 128) return value;
    }
  };
  const take = (/** @type {number} */ length) => from.subarray(at, (at += length));
  return { at: () => at, byte, number, take };
}

/** @param {number} id @param {Buffer} content */
function section(id, content) {
  return Buffer.concat([Buffer.from([id]), number(content.length), content]);
}

/** An unsigned number in LEB128. @param {number} value */
function number(value) {
  const bytes = [];
  for (; value > 127; value >>>= 7) bytes.push((value & 127) | 128);
  return Buffer.from([...bytes, value]);
}

/** @param {string} value */
function text(value) {
  return Buffer.concat([number(Buffer.byteLength(value)), Buffer.from(value)]);
}
