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
    const all = await database.getAll(STORE);
    return {
      lasting: true,
      records: inOrder(all),
      async write(records, forget, order, join) {
        const transaction = database.transaction(STORE, "readwrite");
        /** @type {Aside[]} */
        const asides = [];
        for (const record of records) {
          if (isPast(record.id)) await putJoined(transaction.store, record, join);
          else asides.push(...(await putBeside(transaction.store, record, beside)));
        }
        for (const id of forget) transaction.store.delete(id);
        transaction.store.put({ id: ORDER, text: order, revision: 0 });
        await transaction.done;
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
 * @returns {Promise<Aside[]>} the riff that lost the race, if it did
 */
async function putBeside(store, record, beside) {
  /** @type {RecordView | undefined} */
  const kept = await store.get(record.id);
  // The kind of record stands before the id, as in "chorus-".
  const kind = record.id.slice(0, -16);
  const known = beside.get(record.id);
  const lostTheRace = kept !== undefined && kept.revision >= record.revision && kept.text !== record.text && record.id !== TUNE;
  if (!known && !lostTheRace) {
    store.put(record);
    return [];
  }
  const now = known ?? kind + freshId();
  store.put({ ...record, id: now, text: JSON.stringify({ ...JSON.parse(record.text), id: now }) });
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
