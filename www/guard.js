// Guards the core, which may break off in the middle of a call: nothing can be asked of it then, and another one is started
// with what it held.
import { __wbg_reset_state as resetCore, App } from "./pkg/riffloom.js";
import { freshId } from "./ids.js";
import { openAgain } from "./rooms.js";

/** @typedef {import("./pkg/riffloom.js").RecordView} RecordView */

/** It is started anew so often, within so many milliseconds: more would be the same again and again. */
const [MOST_BREAKS, BREAKS_WITHIN] = [3, 10_000];

/**
 * Whether the core broke off in the middle of a call: nothing can be asked of it any more.
 * @param {any} error
 */
export function isBreak(error) {
  // Deep calls end as a RangeError, in Firefox as an InternalError; what was broken before is held for ever.
  return (
    error instanceof WebAssembly.RuntimeError ||
    error instanceof RangeError ||
    error?.name === "InternalError" ||
    /^recursive use of an object/.test(error?.message)
  );
}

/** What a core that is gone answers: its objects would touch anything in the new one. */
function gone() {
  throw new Error("the core was started anew");
}

/** A core that is not there for a moment. */
export const AWAY = /** @type {App} */ (new Proxy({}, { get: () => gone }));

/** Starts the core anew, with the rooms that were open. */
function freshCore() {
  resetCore();
  openAgain();
}

export class Guard {
  /** Counts the cores. */
  #turn = 0;
  /** When the core broke, in milliseconds. @type {number[]} */
  #breaks = [];

  /** @param {() => void} onBreak called where a call of the core breaks off */
  constructor(onBreak) {
    this.onBreak = onBreak;
    /** Whether a record had to be left out, so that what seems to belong to nothing may belong to it. */
    this.leftOut = false;
  }

  /**
   * The core with these records.
   * @param {RecordView[]} records
   * @returns {App}
   */
  coreWith(records) {
    const turn = ++this.#turn;
    return new Proxy(this.#built(records), {
      get: (core, name) => {
        const member = Reflect.get(core, name);
        if (typeof member !== "function") return member;
        return (/** @type {unknown[]} */ ...given) => {
          if (turn !== this.#turn) gone();
          try {
            return member.apply(core, given);
          } catch (error) {
            if (isBreak(error)) this.onBreak();
            throw error;
          }
        };
      },
    });
  }

  /** Puts a fresh core where one broke. Gives whether that may go on: not where it broke again and again. */
  leave() {
    const now = performance.now();
    this.#breaks = [...this.#breaks.filter((time) => now - time < BREAKS_WITHIN), now];
    this.#turn++;
    freshCore();
    return this.#breaks.length <= MOST_BREAKS;
  }

  /**
   * The core with these records. One on which it breaks is left where it is; no reader should, and none may keep the
   * page from opening.
   * @param {RecordView[]} records
   */
  #built(records) {
    try {
      return new App(records, freshId());
    } catch (error) {
      console.error("A record breaks the core:", error);
      freshCore();
    }
    const borne = bearable(records);
    this.leftOut = borne.length < records.length;
    return new App(borne, freshId());
  }
}

/**
 * Those of the records with which the core opens.
 * @param {RecordView[]} records
 * @returns {RecordView[]}
 */
function bearable(records) {
  try {
    new App(records, freshId()).free();
    return records;
  } catch (error) {
    if (!isBreak(error)) throw error;
    freshCore();
    if (records.length < 2) return [];
    const middle = records.length >> 1;
    return [...bearable(records.slice(0, middle)), ...bearable(records.slice(middle))];
  }
}
