// Writes what was changed into storage, tries again where that fails, and says how it goes.
//
// The session hears of it as "saved" (detail: a Saved), "trouble" and "changed".
import { Fate, rescue } from "./pkg/riffloom.js";
import { AWAY, isBreak } from "./guard.js";
import { freshId } from "./ids.js";
import { comes } from "./rooms.js";

/** @typedef {import("./pkg/riffloom.js").Changed} Changed */
/** @typedef {import("./pkg/riffloom.js").RecordView} RecordView */
/** How keeping goes. @typedef {"saving" | "saved" | "memory" | "waiting" | "full" | "failed"} Saved */

/** How long writing waits for the frame that shows what is written, in milliseconds. */
const SOON = 50;
/** How soon what could not be written is tried again, in milliseconds; each time twice as long, to a limit. */
const [AGAIN, AGAIN_AT_MOST] = [3000, 60_000];
/** How long a lost connection to the storage may take to come back before it is told, in milliseconds. */
const LOST_FOR = 1000;
/** The id of the record with the order of the riffs. */
const ORDER = "order";

/**
 * Whether a record holds what was practised.
 * @param {string} id
 */
function isPast(id) {
  return id.startsWith("past-");
}

/** Whether something has gone wrong. @param {Saved} state */
export const isTrouble = (state) => state !== "saving" && state !== "saved";

/** Thrown where a record in storage must be read first, and the room that reads records has not come. */
const NEEDS_READING = new Error("the room that reads records is not open");

export class Keeper {
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  #again = undefined;
  #wait = AGAIN;
  /** Whether storage had lost what this page has, and it is being written once more. */
  #wasEmptied = false;
  #isWriting = false;
  /** Whether the browser was asked to keep this for good. */
  #asked = false;
  /** @type {Set<string>} */
  #unsaved = new Set();
  /** @type {Set<string>} */
  #forgotten = new Set();

  /**
   * @param {import("./session.js").Session} session
   * @param {import("./storage.js").Storage} storage
   * @param {boolean} reads whether the records can be read
   */
  constructor(session, storage, reads) {
    this.session = session;
    this.storage = storage;
    /** How keeping goes. @type {Saved} */
    this.saved = storage.refused || (reads ? "saved" : "failed");
    /** Whether what was kept is still to come. */
    this.waitsForRecords = !storage.hasAnswered || !reads;
    if (!reads) this.#tryLater(() => this.#storageIsBack([]));
    this.others = "BroadcastChannel" in globalThis ? new BroadcastChannel("riffloom") : null;
    this.others?.addEventListener("message", () => session.dispatchEvent(new CustomEvent("elsewhere")));
    storage.addEventListener("back", (event) => this.#storageIsBack(/** @type {CustomEvent} */ (event).detail));
    storage.addEventListener("lost", () =>
      setTimeout(() => this.storage.refused && this.#tell(this.storage.refused), LOST_FOR),
    );
    // Once the page is there to show it.
    if (storage.refused) setTimeout(() => storage.refused && session.tellTrouble(storage.refused));
    if (!reads) setTimeout(() => session.tellTrouble("late"));
  }

  /** Whether nothing waits to be written. */
  get isDone() {
    return this.#unsaved.size + this.#forgotten.size === 0;
  }

  /** Whether all is written that was changed. */
  get rests() {
    return this.#unsaved.size === 0 && !this.#isWriting;
  }

  /**
   * Writes what was changed soon: after the frame that shows it; at once where the page may be about to go.
   * @param {{ save: string[], forget: string[] }} changed
   */
  keep(changed) {
    this.note(changed);
    if (changed.save.length + changed.forget.length > 0) this.writeSoon();
  }

  /** @param {{ save: Iterable<string>, forget: Iterable<string> }} changed */
  note({ save, forget }) {
    for (const id of save) {
      this.#unsaved.add(id);
      this.#forgotten.delete(id);
    }
    for (const id of forget) {
      this.#forgotten.add(id);
      this.#unsaved.delete(id);
    }
  }

  writeSoon() {
    setTimeout(() => this.write(), SOON);
  }

  /** Not "kept" while something waits to be written. */
  tellThatItWaits() {
    if (this.storage.lasting && !this.isDone) this.#tell("saving");
  }

  /** Writes until nothing is left to write; "saved" is told when the transaction is complete. */
  async write() {
    const { session } = this;
    if (this.#isWriting || session.app === AWAY || this.isDone) return;
    // What is there already comes first.
    if (this.waitsForRecords) return this.#tell(this.storage.refused || "failed");
    this.#isWriting = true;
    clearTimeout(this.#again);
    while (!this.isDone) {
      const [ids, forget] = [[...this.#unsaved], [...this.#forgotten]];
      this.#unsaved.clear();
      this.#forgotten.clear();
      try {
        if (this.storage.lasting) this.#tell("saving");
        await this.#writeOnce(ids, forget);
        this.#wait = AGAIN;
        // Not while something newer waits.
        if (this.isDone) this.#tell("saved");
        if (this.#wasEmptied) session.tellTrouble("emptied");
        this.#wasEmptied = false;
      } catch (error) {
        console.info("Could not save:", error);
        for (const id of ids) if (!this.#forgotten.has(id)) this.#unsaved.add(id);
        for (const id of forget) if (!this.#unsaved.has(id)) this.#forgotten.add(id);
        // A core that broke was started anew, and that was told.
        if (isBreak(error)) this.#again = setTimeout(() => this.write(), SOON);
        else if (error === NEEDS_READING && (await comes("files"))) continue;
        else this.#tellUnsaved(error);
        break;
      }
    }
    this.#isWriting = false;
  }

  /**
   * @param {string[]} ids
   * @param {string[]} forget
   */
  async #writeOnce(ids, forget) {
    const { app } = this.session;
    /** @type {RecordView[]} */
    const records = ids.map((id) => app.record(id)).filter((record) => record !== undefined);
    const order = { id: ORDER, text: app.order(), revision: 0 };
    const asides = await this.storage.write(
      [...records, order],
      forget,
      (...given) => this.#settle(...given),
      (id, isKnown) => this.session.app.mayGo(id, isKnown),
    );
    for (const aside of asides) this.#setAside(aside);
    // Another page joins what was practised to its own when it writes: it need not be told.
    if (records.some((record) => !isPast(record.id)) || forget.length > 0) this.others?.postMessage("kept");
    if (!this.#asked) navigator.storage?.persist?.();
    this.#asked = true;
  }

  /**
   * What the core held when its last command was done; what is not written yet of it will be.
   * @returns {RecordView[]}
   */
  rescued() {
    const known = this.storage.lastKnown();
    /** @type {RecordView[]} */
    let held = [];
    try {
      held = rescue();
    } catch (error) {
      console.error(error);
      return known.filter(({ id }) => !this.#forgotten.has(id));
    }
    const plain = (/** @type {string | undefined} */ text) => text?.replace(/"revision":\d+,/, "");
    const texts = new Map(known.map(({ id, text }) => [id, plain(text)]));
    for (const { id, text } of held) if (id !== ORDER && texts.get(id) !== plain(text)) this.#unsaved.add(id);
    return [...held, ...known.filter(({ id }) => isPast(id) || /^(free|class|versions)-/.test(id))];
  }

  /**
   * Writes what is not written yet without asking the core, where nobody else has changed it.
   * @param {RecordView[]} records
   */
  writeLast(records) {
    const last = records.filter(({ id }) => this.#unsaved.has(id));
    const own = (
      /** @type {RecordView} */ write,
      /** @type {string | undefined} */ kept,
      /** @type {boolean} */ isKnown,
    ) => (isKnown || kept === undefined ? { write } : {});
    if (last.length > 0) this.storage.write(last, [], own, () => false).catch(() => {});
  }

  /** @param {Saved} state */
  #tell(state) {
    // What is tried again by itself is told when it has worked.
    if (state === "saving" && isTrouble(this.saved)) return;
    const isNew = state !== this.saved;
    this.saved = state;
    this.session.dispatchEvent(new CustomEvent("saved", { detail: state }));
    if (isNew && isTrouble(state)) this.session.tellTrouble(state);
  }

  /**
   * There is a connection to the storage again, or for the first time.
   * @param {string[]} gone the ids of records that are not there any more
   */
  async #storageIsBack(gone) {
    const { session, storage } = this;
    if (this.waitsForRecords) {
      if (storage.records.length > 0 && !(await comes("files"))) return this.#tryLater(() => this.#storageIsBack(gone));
      if (!this.waitsForRecords) return;
      this.waitsForRecords = false;
      /** @type {Changed} */
      const changed = session.take(session.app.join(storage.records));
      this.keep(changed);
      session.dispatchEvent(new CustomEvent("changed", { detail: changed }));
    }
    for (const id of gone) {
      if (session.app.record(id) === undefined) continue;
      this.#unsaved.add(id);
      this.#wasEmptied = true;
    }
    if (this.isDone) this.#tell("saved");
    void this.write();
  }

  /**
   * Another page changed a riff or a chorus first: this one goes on with its own under another id.
   * @param {import("./storage.js").Aside} aside
   */
  #setAside({ id, text }) {
    const { session } = this;
    /** @type {Changed} */
    const { message, ...changed } = session.take(session.app.setAside(id, freshId(), text));
    this.#unsaved.delete(id);
    for (const each of changed.save) this.#unsaved.add(each);
    session.dispatchEvent(new CustomEvent("changed", { detail: changed }));
    // No answer to what was done here, so the next note does not take it away.
    if (message) session.dispatchEvent(new CustomEvent("trouble", { detail: message }));
  }

  /**
   * What becomes of a record on its way to storage.
   * @type {import("./storage.js").Settle}
   */
  #settle(record, kept, isKnown) {
    const { app } = this.session;
    switch (app.fate(record.id, record.text, kept, isKnown)) {
      case undefined:
        throw NEEDS_READING;
      case Fate.Write:
        return { write: record };
      case Fate.Joined:
        return { write: { ...record, text: app.record(record.id)?.text ?? record.text } };
      case Fate.Beside:
        return { beside: { ...record, id: app.beside(record.id) } };
      case Fate.Aside:
        return { aside: true };
      default:
        return {};
    }
  }

  /**
   * Nothing could be written: says why, and tries again later; a storage that is back is told of by itself.
   * @param {unknown} error
   */
  #tellUnsaved(error) {
    const isFull = error instanceof DOMException && error.name === "QuotaExceededError";
    this.#tell(isFull ? "full" : this.storage.refused || "failed");
    if (this.storage.lasting) this.#tryLater(() => this.write());
  }

  /** @param {() => void} act */
  #tryLater(act) {
    this.#again = setTimeout(act, this.#wait);
    this.#wait = Math.min(2 * this.#wait, AGAIN_AT_MOST);
  }
}
