// Takes in the browser's storage. They have a database of their own: the notebook's needs no new version for them, so a
// page of an older version that is still open reads and writes it as before, and whatever happens to the sound, no riff is
// touched by it.
import { openDB } from "idb";

/** @typedef {import("../pkg/riffloom.js").Take} Take */
/** Why something could not be kept; "" where it was. @typedef {"full" | "memory" | ""} Unkept */

const NAME = "riffloom takes";
const [TAKES, PIECES] = ["takes", "pieces"];
/** What is left to the notebook of what the browser gives, in bytes. */
const RESERVE = 20_000_000;

export class TakeStore {
  /** @type {Promise<import("idb").IDBPDatabase> | undefined} */
  #database;
  /** What could not be kept, until the page is closed: takes, and pieces by their number. @type {Map<string, { take: Take, pieces: Map<number, ArrayBuffer> }>} */
  #unkept = new Map();

  #opened() {
    const forget = () => (this.#database = undefined);
    this.#database ??= openDB(NAME, 1, {
      upgrade(fresh) {
        fresh.createObjectStore(TAKES, { keyPath: "id" });
        fresh.createObjectStore(PIECES);
      },
      // A newer version of the page wants it otherwise, or the browser took it away: the next one who asks opens it.
      blocking: (_now, _next, event) => {
        /** @type {any} */ (event.target).close();
        forget();
      },
      terminated: forget,
    });
    this.#database.catch(forget);
    return this.#database;
  }

  /** All takes that are kept, and those that could not be. @returns {Promise<Take[]>} */
  async all() {
    const unkept = [...this.#unkept.values()].map(({ take }) => take);
    const has = new Set(unkept.map(({ id }) => id));
    try {
      const kept = await (await this.#opened()).getAll(TAKES);
      return [...kept.filter(isTake).filter(({ id }) => !has.has(id)), ...unkept];
    } catch (error) {
      console.info("No takes can be read:", error);
      return unkept;
    }
  }

  /**
   * Keeps what is known of a take, with one more piece of its sound where there is one. Never fails: what storage does not
   * take stays in this page.
   * @param {Take} take
   * @param {{ index: number, packed: ArrayBuffer }} [piece]
   * @returns {Promise<Unkept>}
   */
  async keep(take, piece) {
    try {
      const transaction = (await this.#opened()).transaction([TAKES, PIECES], "readwrite", { durability: "strict" });
      transaction.done.catch(() => {});
      void transaction.objectStore(TAKES).put(take);
      if (piece) void transaction.objectStore(PIECES).put(piece.packed, [take.id, piece.index]);
      await transaction.done;
      const unkept = this.#unkept.get(take.id);
      if (unkept) unkept.take = take;
      return "";
    } catch (error) {
      console.info("A take could not be kept:", error);
      const unkept = this.#unkept.get(take.id) ?? { take, pieces: new Map() };
      unkept.take = take;
      if (piece) unkept.pieces.set(piece.index, piece.packed);
      this.#unkept.set(take.id, unkept);
      return error instanceof DOMException && error.name === "QuotaExceededError" ? "full" : "memory";
    }
  }

  /**
   * A piece of a take, as it was packed; undefined where there is no more.
   * @param {string} id
   * @param {number} index
   * @returns {Promise<ArrayBuffer | undefined>}
   */
  async piece(id, index) {
    const unkept = this.#unkept.get(id)?.pieces.get(index);
    if (unkept) return unkept;
    try {
      return await (await this.#opened()).get(PIECES, [id, index]);
    } catch (error) {
      console.info("A piece of a take cannot be read:", error);
      return undefined;
    }
  }

  /**
   * Throws takes away for good.
   * @param {string[]} ids
   */
  async forget(ids) {
    for (const id of ids) this.#unkept.delete(id);
    const transaction = (await this.#opened()).transaction([TAKES, PIECES], "readwrite");
    transaction.done.catch(() => {});
    for (const id of ids) {
      void transaction.objectStore(TAKES).delete(id);
      // All pieces of the take: an array sorts behind every number.
      void transaction.objectStore(PIECES).delete(IDBKeyRange.bound([id], [id, []]));
    }
    await transaction.done;
  }

  /** Whether recording would take the last room, which is the notebook's. Where the browser does not tell, it would not. */
  async isNearlyFull() {
    const { quota = Infinity, usage = 0 } = (await navigator.storage?.estimate?.().catch(() => undefined)) ?? {};
    return quota - usage < RESERVE;
  }
}

/**
 * Whether a record is one that this page can show; what a newer version wrote otherwise is left where it is.
 * @param {any} record
 * @returns {record is Take}
 */
function isTake(record) {
  const { id, link, over, rate, frames, bytes, peaks, began, day, minute } = record ?? {};
  const isCount = (/** @type {unknown} */ value) =>
    Number.isInteger(value) && Number(value) >= 0 && Number(value) < 2 ** 31;
  return (
    [id, link, over].every((text) => typeof text === "string") &&
    [rate, frames, bytes, minute].every(isCount) &&
    Array.isArray(peaks) &&
    Number.isFinite(began) &&
    Number.isInteger(day)
  );
}
