// Reads the binary format of WebAssembly (core specification, chapter 5), as far as the scripts here need it.

/** What sections of a module are called there. */
export const [CUSTOM, IMPORT, CODE] = [0, 2, 10];

/**
 * Reads on from `start`.
 * @param {Buffer} from
 * @param {number} [start]
 */
export function reader(from, start = 0) {
  let at = start;
  const byte = () => from[at++] ?? 0;
  /** An unsigned number in LEB128. */
  const number = () => {
    let value = 0;
    for (let shift = 0; ; shift += 7) {
      const next = byte();
      value += (next & 127) * 2 ** shift;
      if (next < 128) return value;
    }
  };
  const take = (/** @type {number} */ length) => from.subarray(at, (at += length));
  /** What its own length stands before. */
  const counted = () => take(number());
  return { ends: () => at >= from.length, byte, number, take, counted, text: () => counted().toString("utf8") };
}

/** The sections of a module, in order. @param {Buffer} module */
export function* sections(module) {
  for (const bytes = reader(module, 8); !bytes.ends();) {
    const id = bytes.byte();
    yield { id, content: bytes.counted() };
  }
}

/** The bodies of a code section's functions. @param {Buffer} [content] */
export function bodies(content = Buffer.of(0)) {
  const bytes = reader(content);
  return Array.from({ length: bytes.number() }, bytes.counted);
}

/** How many functions an import section brings. @param {Buffer} [content] */
export function importedFunctions(content = Buffer.of(0)) {
  const bytes = reader(content);
  let count = 0;
  const limits = () => {
    const hasMost = bytes.byte() & 1;
    bytes.number();
    if (hasMost) bytes.number();
  };
  for (let left = bytes.number(); left > 0; left--) {
    bytes.counted();
    bytes.counted();
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
