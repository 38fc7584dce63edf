// Names a module's functions by rank, so that `wasm-opt --reorder-functions-by-name` puts those that are alike beside each
// other, which packs better: node scripts/order.mjs MODULE.wasm. scripts/build has wasm-opt sort and take the names away.
import { readFileSync, writeFileSync } from "node:fs";
import { CODE, CUSTOM, IMPORT, bodies, importedFunctions, reader, sections } from "./wasm.mjs";

/** Functions are alike by how many runs of so many bytes they share. */
const RUN = 4;
/** A run that stands in more functions than this tells nothing about them. */
const COMMON = 400;

const path = process.argv[2] ?? "";
const module = readFileSync(path);
const all = [...sections(module)];
const functions = bodies(all.find(({ id }) => id === CODE)?.content);
const imported = importedFunctions(all.find(({ id }) => id === IMPORT)?.content);
const kept = all.filter(({ id, content }) => id !== CUSTOM || reader(content).text() !== "name");
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
  for (let [next] = left; next !== undefined;) {
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
  const called = [...Array(imported).fill(0), ...ranks.map((rank) => rank + 1)];
  const entries = called.flatMap((rank, index) => [
    number(index),
    text(`${String(rank).padStart(6, "0")}${rank === 0 ? `i${index}` : ""}`),
  ]);
  const content = Buffer.concat([number(called.length), ...entries]);
  const FUNCTIONS = 1;
  return Buffer.concat([text("name"), Buffer.from([FUNCTIONS]), number(content.length), content]);
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
