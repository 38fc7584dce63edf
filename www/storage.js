// Keeps records in the browser: IndexedDB where it is to be had, else memory, and says which.
import { openDB } from "idb";
import { freshId } from "./ids.js";

/** @typedef {{ id: string, text: string, revision: number }} RecordView */
/**
 * @typedef {object} Storage
 * @property {boolean} lasting whether what is kept is there after the page is closed
 * @property {RecordView[]} records what was kept, newest riff first
 * @property {(records: RecordView[], forget: string[], order: string, join: Join) => Promise<Aside[]>} write resolves
 *   when the transaction is complete, with what lost a race; fails where the browser refuses
 */
/**
 * A record that another page had kept first, as `kept`: this page's stands beside it, under an id of its own.
 * @typedef {{ id: string, now: string, kept: RecordView }} Aside
 */
/**
 * Puts what is kept of a riff's past together with what this page has; undefined where what is kept does not read.
 * @typedef {(id: string, kept: string) => string | undefined} Join
 */

const STORE = "records";
const ORDER = "order";
const TUNE = "tune";

/**
 * Whether a record holds what was practised.
 * @param {string} id
 */
export function isPast(id) {
  return id.startsWith("past-");
}

/**
 * What of a record can be handed on. Whatever stands in the database, nobody breaks on it: an odd record keeps its
 * place, under an id that is taken, with a text that does not read.
 * @param {any} record
 * @returns {RecordView}
 */
function sound(record) {
  const { id, text, revision } = record ?? {};
  const isSound = isWellFormed(id) && isWellFormed(text) && Number.isInteger(revision) && revision >= 0 && revision < 2 ** 32;
  return isSound ? { id, text, revision } : { id: isWellFormed(id) ? id : "?", text: "?", revision: 0 };
}

/** @param {unknown} text */
function isWellFormed(text) {
  // A surrogate without its other half is no text that anybody wrote.
  return typeof text === "string" && !/[\ud800-\udbff](?![\udc00-\udfff])|(?<![\ud800-\udbff])[\udc00-\udfff]/.test(text);
}

/**
 * Opens the storage; never fails.
 * @returns {Promise<Storage>}
 */
export async function openStorage() {
  try {
    const database = await openDB("riffloom", 1, {
      upgrade(fresh) {
        fresh.createObjectStore(STORE, { keyPath: "id" });
      },
      blocking() {
        database.close();
      },
    });
    /** Where this page's version of a chorus goes once another page was first. @type {Map<string, string>} */
    const beside = new Map();
    /** @type {RecordView[]} */
    const all = (await database.getAll(STORE)).map(sound);
    /** What this page last read or wrote of each record. @type {Map<string, string>} */
    const known = new Map(all.map(({ id, text }) => [id, text]));
    return {
      lasting: true,
      records: inOrder(all),
      async write(records, forget, order, join) {
        const transaction = database.transaction(STORE, "readwrite");
        /** @type {Aside[]} */
        const asides = [];
        for (const record of records) {
          if (isPast(record.id)) await putJoined(transaction.store, record, join);
          else asides.push(...(await putBeside(transaction.store, record, beside, known)));
        }
        for (const id of forget) {
          // What another page changed since stays.
          const kept = await transaction.store.get(id);
          if (kept === undefined || isPast(id) || kept.text === known.get(id)) transaction.store.delete(id);
        }
        transaction.store.put({ id: ORDER, text: order, revision: 0 });
        await transaction.done;
        for (const { id, text } of records) known.set(id, text);
        return asides;
      },
    };
  } catch (error) {
    console.info("Nothing can be kept in this browser:", error);
    return { lasting: false, records: [], write: async () => [] };
  }
}

/**
 * Two open pages may have changed the same riff: then both are kept, the later comer under an id of its own. Of two
 * tunes the last one written stays.
 * @param {any} store
 * @param {RecordView} record
 * @param {Map<string, string>} beside the choruses for which this was so before
 * @param {Map<string, string>} seen what this page last read or wrote of each record
 * @returns {Promise<Aside[]>} the riff that lost the race, if it did
 */
async function putBeside(store, record, beside, seen) {
  /** @type {RecordView | undefined} */
  const kept = await store.get(record.id);
  // The kind of record stands before the id, as in "chorus-".
  const kind = record.id.slice(0, -16);
  const known = beside.get(record.id);
  const lostTheRace = kept !== undefined && kept.text !== seen.get(record.id) && kept.text !== record.text && record.id !== TUNE;
  if (!known && !lostTheRace) {
    store.put(record);
    return [];
  }
  const now = known ?? kind + freshId();
  const text = JSON.stringify({ ...JSON.parse(record.text), id: now });
  store.put({ ...record, id: now, text });
  seen.set(now, text);
  if (kind === "" && kept) return [{ id: record.id, now, kept }];
  beside.set(record.id, now);
  return [];
}

/**
 * What was practised in two open pages is kept together.
 * @param {any} store
 * @param {RecordView} record
 * @param {Join} join
 */
async function putJoined(store, record, join) {
  const kept = await store.get(record.id);
  const text = kept ? join(record.id, kept.text) : record.text;
  if (text !== undefined) store.put({ ...record, text });
}

/** @param {RecordView[]} all */
function inOrder(all) {
  const order = all.find((record) => record.id === ORDER)?.text.split(" ") ?? [];
  const place = (/** @type {RecordView} */ record) => {
    const index = order.indexOf(record.id);
    return index < 0 ? -1 : index;
  };
  return all.filter((record) => record.id !== ORDER).sort((a, b) => place(a) - place(b));
}
