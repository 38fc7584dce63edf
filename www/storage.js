// Keeps records in the browser: IndexedDB where it is to be had, else memory, and says which.
import { openDB } from "idb";
import { freshId } from "./ids.js";

/** @typedef {{ id: string, text: string, revision: number }} RecordView */
/**
 * @typedef {object} Storage
 * @property {boolean} lasting whether what is kept is there after the page is closed
 * @property {RecordView[]} records what was kept, newest riff first
 * @property {(records: RecordView[], forget: string[], order: string, join: Join) => Promise<void>} write resolves when
 *   the transaction is complete; fails where the browser refuses
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
    /** Where this page's version of a riff goes once another page was first. @type {Map<string, string>} */
    const beside = new Map();
    /** @type {RecordView[]} */
    const all = await database.getAll(STORE);
    return {
      lasting: true,
      records: inOrder(all),
      async write(records, forget, order, join) {
        const transaction = database.transaction(STORE, "readwrite");
        for (const record of records) {
          if (isPast(record.id)) await putJoined(transaction.store, record, join);
          else await putBeside(transaction.store, record, beside);
        }
        for (const id of forget) transaction.store.delete(id);
        transaction.store.put({ id: ORDER, text: order, revision: 0 });
        await transaction.done;
      },
    };
  } catch (error) {
    console.info("Nothing can be kept in this browser:", error);
    return { lasting: false, records: [], async write() {} };
  }
}

/**
 * Two open pages may have changed the same riff: then both are kept, the later comer under an id of its own. Of two
 * tunes the last one written stays.
 * @param {any} store
 * @param {RecordView} record
 * @param {Map<string, string>} beside
 */
async function putBeside(store, record, beside) {
  const kept = await store.get(record.id);
  const lostTheRace = kept && kept.revision >= record.revision && kept.text !== record.text && record.id !== TUNE;
  // The kind of record stands before the id, as in "chorus-".
  const kind = record.id.slice(0, -16);
  if (lostTheRace && !beside.has(record.id)) beside.set(record.id, kind + freshId());
  const id = beside.get(record.id);
  if (id === undefined) return store.put(record);
  const text = JSON.stringify({ ...JSON.parse(record.text), id });
  store.put({ ...record, id, text });
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
