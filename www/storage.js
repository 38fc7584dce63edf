// Keeps records in the browser: IndexedDB where it is to be had. What it does not take now, it may take later: it is
// tried again by itself, and this page keeps what it has until then.
import { openDB } from "idb";

/** @typedef {import("./pkg/riffloom.js").RecordView} RecordView */
/**
 * A record on its way to storage, where `kept` stands now (undefined where nothing does), which this page read or wrote
 * itself if `isKnown`: gives what is written, or "aside" where it needs an id of its own.
 * @typedef {(record: RecordView, kept: string | undefined, isKnown: boolean) => { write?: RecordView, beside?: RecordView, aside?: boolean }} Settle
 */
/**
 * A record that another page changed first: `text` is what it kept.
 * @typedef {{ id: string, text: string }} Aside
 */
/**
 * Why nothing can be written now: the browser refuses storage, or it does not answer; "" where it can.
 * @typedef {"memory" | "waiting" | ""} Refused
 */

const NAME = "riffloom";
const STORE = "records";
/** How long the page waits for storage before it goes on without, in milliseconds. */
const PATIENCE = 2500;
/** How long a write may take, in milliseconds. */
const WRITE_PATIENCE = 10_000;
/** How soon storage is tried again, in milliseconds; each time twice as long, to a limit. */
const [AGAIN, AGAIN_AT_MOST] = [2000, 60_000];
/** How many attempts may hang at once. */
const MOST_HANGING = 4;
/** Told where a write took longer. */
const NO_ANSWER = new Error("no answer");
/** What stands for the text of a record that is none: it reads as nothing. */
const UNREADABLE = "?";

/**
 * What of a record can be handed on. Whatever stands in the database, nobody breaks on it: an odd record keeps its
 * place, under an id that is taken, with a text that does not read.
 * @param {any} record
 * @returns {RecordView}
 */
function sound(record) {
  const { id, text, revision } = record ?? {};
  const isSound =
    isWellFormed(id) && isWellFormed(text) && Number.isInteger(revision) && revision >= 0 && revision < 2 ** 32;
  return isSound ? { id, text, revision } : { id: isWellFormed(id) ? id : "?", text: UNREADABLE, revision: 0 };
}

/** @param {unknown} text */
function isWellFormed(text) {
  // A surrogate without its other half is no text that anybody wrote.
  return (
    typeof text === "string" && !/[\ud800-\udbff](?![\udc00-\udfff])|(?<![\ud800-\udbff])[\udc00-\udfff]/.test(text)
  );
}

/**
 * The storage of one page. Tells "lost" when the connection has gone, and "back" (detail: the ids of what this page
 * knows and storage has no more) when there is one again, also the first that came late.
 */
export class Storage extends EventTarget {
  /** What was kept when storage first answered. @type {RecordView[]} */
  records = [];
  /** Whether storage has answered at all. */
  hasAnswered = false;
  /** @type {Refused} */
  refused = "waiting";
  /** @type {import("idb").IDBPDatabase | null} */
  #database = null;
  /** What this page read of each record, or wrote or tried to write. @type {Map<string, string[]>} */
  #known = new Map();
  #hanging = 0;
  #wait = AGAIN;

  /** Opens the storage, or goes on without for now; never fails. */
  static async open() {
    const storage = new Storage();
    await Promise.race([storage.#connect(), passed(PATIENCE)]);
    return storage;
  }

  /** Whether what is written now is there after the page is closed. */
  get lasting() {
    return this.#database !== null;
  }

  async #connect() {
    if (this.#database || this.#hanging >= MOST_HANGING) return this.#later();
    this.#hanging++;
    const late = setTimeout(() => this.#later(), PATIENCE);
    const { database, all } = await this.#answer();
    this.#hanging--;
    clearTimeout(late);
    if (!database) return this.#later();
    // Another attempt was first.
    if (this.#database) database.close();
    else this.#adopt(database, all);
  }

  async #answer() {
    try {
      const database = await this.#opened();
      return { database, all: (await database.getAll(STORE)).map(sound) };
    } catch (error) {
      console.info("Nothing can be kept in this browser now:", error);
      if (!this.#database) this.refused = "memory";
      return { database: null, all: [] };
    }
  }

  async #opened() {
    /** @type {import("idb").OpenDBCallbacks<unknown>} */
    const ways = {
      upgrade(fresh) {
        fresh.createObjectStore(STORE, { keyPath: "id" });
      },
      // Another page takes the database away, or changes it; or the browser has.
      blocking: (_now, _next, event) => this.#drop(/** @type {any} */ (event.target)),
      terminated: () => this.#drop(),
    };
    try {
      return await openDB(NAME, 1, ways);
    } catch (error) {
      // A newer version of the page was here: its database is used as it is.
      if (!(error instanceof DOMException) || error.name !== "VersionError") throw error;
      return openDB(NAME, undefined, ways);
    }
  }

  /**
   * @param {import("idb").IDBPDatabase} database
   * @param {RecordView[]} all
   */
  #adopt(database, all) {
    this.#database = database;
    this.#wait = AGAIN;
    this.refused = "";
    const kept = new Map(all.map((record) => [record.id, record]));
    const gone = [...this.#known.keys()].filter((id) => !kept.has(id));
    if (!this.hasAnswered) {
      this.records = all;
      for (const { id, text } of all) this.#known.set(id, [text]);
    }
    this.hasAnswered = true;
    this.dispatchEvent(new CustomEvent("back", { detail: gone }));
  }

  /**
   * Lets the connection go and looks for another one.
   * @param {IDBDatabase} [only] where it is this one
   */
  #drop(only) {
    if (only) only.close();
    else this.#database?.close();
    this.#database = null;
    this.refused = "waiting";
    this.dispatchEvent(new CustomEvent("lost"));
    void this.#connect();
  }

  #later() {
    if (this.#database) return;
    setTimeout(() => void this.#connect(), this.#wait);
    this.#wait = Math.min(2 * this.#wait, AGAIN_AT_MOST);
  }

  /**
   * Resolves when the transaction is complete, with what another page changed first and is not written; fails where
   * not all of it was written.
   * @param {RecordView[]} records
   * @param {string[]} forget
   * @param {Settle} settle
   * @param {(id: string, isKnown: boolean) => boolean} mayGo
   * @returns {Promise<Aside[]>}
   */
  async write(records, forget, settle, mayGo) {
    const database = this.#database;
    if (!database) throw new Error(`no storage: ${this.refused}`);
    const writing = this.#write(database, records, forget, settle, mayGo);
    writing.catch(() => {});
    try {
      return await Promise.race([writing, passed(WRITE_PATIENCE).then(() => Promise.reject(NO_ANSWER))]);
    } catch (error) {
      const isOfStorage = error instanceof DOMException ? error.name !== "QuotaExceededError" : error === NO_ANSWER;
      // What cannot be written over this connection may be over another one.
      if (isOfStorage && this.#database === database) this.#drop();
      throw error;
    }
  }

  /**
   * @param {import("idb").IDBPDatabase} database
   * @param {RecordView[]} records
   * @param {string[]} forget
   * @param {Settle} settle
   * @param {(id: string, isKnown: boolean) => boolean} mayGo
   */
  async #write(database, records, forget, settle, mayGo) {
    // On the disk, and not only on its way: a laptop may be switched off.
    const transaction = database.transaction(STORE, "readwrite", { durability: "strict" });
    transaction.done.catch(() => {});
    /** @type {Aside[]} */
    const asides = [];
    /** @type {Map<string, string[]>} */
    const then = new Map();
    const textOf = async (/** @type {string} */ id) => {
      const kept = await transaction.store.get(id);
      return kept === undefined ? undefined : sound(kept).text;
    };
    const put = (/** @type {RecordView} */ record) => {
      // Should the answer never come, this is known as this page's own all the same.
      this.#known.set(record.id, [...(this.#known.get(record.id) ?? []), record.text]);
      then.set(record.id, [record.text]);
      void transaction.store.put(record);
    };
    for (const record of records) {
      const kept = await textOf(record.id);
      const { write, beside, aside } = settle(record, kept, this.#isKnown(record.id, kept));
      if (aside) {
        asides.push({ id: record.id, text: kept ?? "" });
        then.set(record.id, [kept ?? ""]);
      }
      if (write) put(write);
      if (beside) {
        const other = settle(beside, await textOf(beside.id), false);
        if (other.write) put(other.write);
      }
    }
    for (const id of forget) {
      const kept = await textOf(id);
      if (kept === undefined || mayGo(id, this.#isKnown(id, kept))) {
        void transaction.store.delete(id);
        then.set(id, []);
      } else {
        asides.push({ id, text: kept });
        then.set(id, [kept]);
      }
    }
    await transaction.done;
    for (const [id, texts] of then) {
      if (texts.length > 0) this.#known.set(id, texts);
      else this.#known.delete(id);
    }
    return asides;
  }

  /**
   * @param {string} id
   * @param {string | undefined} text
   */
  #isKnown(id, text) {
    return text !== undefined && (this.#known.get(id)?.includes(text) ?? false);
  }

  /**
   * The last text of each record that this page read, or wrote, or tried to: what is left should the core break.
   * @returns {RecordView[]}
   */
  lastKnown() {
    return [...this.#known].map(([id, texts]) => ({ id, text: texts.at(-1) ?? "", revision: 0 }));
  }
}

/** @param {number} milliseconds */
function passed(milliseconds) {
  return new Promise((resolve) => setTimeout(resolve, milliseconds));
}
