// Rooms: what the page fetches after the first key can be played. The core's module is cut at the doors of its rooms;
// the pieces of a room share the module's memory, so each is put in once, and the room is open from then on.
import { compiled } from "./core.js";
import { App, initSync } from "./pkg/riffloom.js";
import { pieces } from "./pkg/doors.js";
import { forWorker } from "./where.js";

/** The page's rooms, in the order in which they are likely to be wanted; the one that listens is a worker's. @type {Room[]} */
export const ROOMS = [
  "band",
  "practice",
  "files",
  "mixing",
  "chorus",
  "vary",
  "shelf",
  "staff",
  "class",
  "scan",
  "takes",
];

/** @typedef {"vary" | "chorus" | "practice" | "files" | "mixing" | "shelf" | "listen" | "staff" | "class" | "scan" | "takes" | "band"} Room */
/** Code on its way to a worker: compiled, or not where browsers pass no compiled code on. @typedef {WebAssembly.Module | ArrayBuffer} Sent */
/** What a worker needs to open the same rooms. @typedef {{ core: Sent, rooms: [Room, [string, Sent][]][] }} Building */

/** @type {Map<string, Promise<WebAssembly.Module>>} */
const fetched = new Map();
/** @type {Map<string, Promise<void>>} */
const putIn = new Map();
/** What has been put in. @type {WebAssembly.Module[]} */
const inside = [];
/** @type {Map<Room, Promise<void>>} */
const opening = new Map();

/**
 * A promise that is kept unless it fails: the next one who asks tries again.
 * @template K, T
 * @param {Map<K, Promise<T>>} kept
 * @param {K} key
 * @param {() => Promise<T>} make
 */
function once(kept, key, make) {
  const known = kept.get(key);
  if (known) return known;
  const made = make();
  kept.set(key, made);
  made.catch(() => kept.delete(key));
  return made;
}

/** @type {Set<Room>} */
const open = new Set();

/** Whether a room has been opened. @param {Room} room */
export const isOpen = (room) => open.has(room);

/** @param {string} name */
const pathOf = (name) => `rooms/${name}.wasm`;

/** @param {string} name */
const fetchPiece = (name) => once(fetched, name, () => compiled(pathOf(name)));

/**
 * Opens a room of the core, and fetches it first where it has not come yet.
 * @param {Room} room
 * @returns {Promise<void>}
 */
export function openRoom(room) {
  return once(opening, room, async () => {
    await Promise.all((pieces[room] ?? []).map((name) => once(putIn, name, async () => put(await fetchPiece(name)))));
    App.openRoom(room);
    open.add(room);
  });
}

/** The same, where it may not come: gives whether it is open. @param {Room} room */
export function comes(room) {
  return openRoom(room).then(
    () => true,
    () => false,
  );
}

/** What the pieces share with the core. */
const shared = () => ({ __wasm_split: /** @type {any} */ (initSync(/** @type {any} */ (undefined))) });

/** @param {WebAssembly.Module} piece */
async function put(piece) {
  let core;
  do {
    core = shared();
    await WebAssembly.instantiate(piece, core);
    // Once more where the core was started anew meanwhile.
  } while (core.__wasm_split !== shared().__wasm_split);
  inside.push(piece);
}

/** Opens the same rooms in a core that was started anew. */
export function openAgain() {
  for (const piece of inside) new WebAssembly.Instance(piece, shared());
  for (const room of open) App.openRoom(room);
}

/**
 * What a worker needs for these rooms, fetched where it has not come yet.
 * @param {WebAssembly.Module} core
 * @param {Room[]} rooms
 * @returns {Promise<Building>}
 */
export async function building(core, rooms) {
  const each = rooms.map(async (room) => {
    const parts = (pieces[room] ?? []).map(
      async (name) => /** @type {[string, Sent]} */ ([name, forWorker(pathOf(name), await fetchPiece(name))]),
    );
    return /** @type {[Room, [string, Sent][]]} */ ([room, await Promise.all(parts)]);
  });
  return { core: sentCore(core), rooms: await Promise.all(each) };
}

/** The core on its way to a worker. @param {WebAssembly.Module} core */
export const sentCore = (core) => forWorker("riffloom_bg.wasm", core);

/**
 * Opens the rooms that were sent to a worker, whose core is there.
 * @param {Building} sent
 */
export async function openSent({ rooms }) {
  for (const [room, parts] of rooms) {
    for (const [name, piece] of parts)
      fetched.set(name, piece instanceof ArrayBuffer ? WebAssembly.compile(piece) : Promise.resolve(piece));
    await openRoom(room);
  }
}
