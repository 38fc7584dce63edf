// The parts of the page beyond the first, and what each is made of: rooms of the core, a script, a style sheet. They come
// while nobody waits for them, and at once when they are asked for.
import { ROOMS, openRoom } from "./rooms.js";
import { where } from "./where.js";

/** @typedef {(changed: import("./session.js").Changed) => void} View */
/** @typedef {{ mount: (session: import("./session.js").Session) => View[] }} Script */
/** @typedef {"practice" | "chorus" | "notebook" | "play" | "pass" | "help" | "large" | "listen" | "staff" | "class"} Place */

/** @type {Record<Place, { needs?: Place, rooms: import("./rooms.js").Room[], script: () => Promise<Script> }>} */
const PLACES = {
  practice: { needs: "play", rooms: ["practice"], script: () => import("./rooms/practice.js") },
  notebook: { rooms: ["practice", "chorus"], script: () => import("./rooms/notebook.js") },
  chorus: { rooms: ["chorus"], script: () => import("./rooms/chorus.js") },
  play: { rooms: ["chorus"], script: () => import("./rooms/play.js") },
  pass: { rooms: ["files", "mixing"], script: () => import("./rooms/pass.js") },
  staff: { rooms: ["staff"], script: () => import("./rooms/staff.js") },
  class: { rooms: ["files", "chorus", "class"], script: () => import("./rooms/class.js") },
  large: { rooms: ["practice"], script: () => import("./rooms/large.js") },
  help: { rooms: [], script: () => import("./rooms/help.js") },
  listen: { rooms: ["takes", "band"], script: () => import("./rooms/listen.js") },
};

/**
 * Adds the style sheet of a part of the page.
 * @param {string} name
 */
export function styled(name) {
  const sheet = document.createElement("link");
  sheet.rel = "stylesheet";
  sheet.href = where(`style/rooms/${name}.css`);
  return new Promise((done, fail) => {
    sheet.addEventListener("load", done);
    sheet.addEventListener("error", () => {
      sheet.remove();
      fail(new Error(`${sheet.href} did not come`));
    });
    document.head.append(sheet);
  });
}

export class Places {
  /** @type {Map<string, Promise<boolean>>} */
  #coming = new Map();
  /** @type {Set<string>} */
  #here = new Set();

  /**
   * @param {import("./session.js").Session} session
   * @param {View[]} views takes the views of each part that has come
   */
  constructor(session, views) {
    this.session = session;
    this.views = views;
  }

  /** Whether a part of the page has come; the first is there from the start. @param {string} name */
  isHere(name) {
    return !(name in PLACES) || this.#here.has(name);
  }

  /**
   * Lets a part of the page come. Gives whether it is here; where it did not come, the next call tries again.
   * @param {string} name
   * @returns {Promise<boolean>}
   */
  async come(name) {
    if (this.isHere(name)) return true;
    const coming = this.#coming.get(name) ?? this.#fetch(/** @type {Place} */ (name));
    this.#coming.set(name, coming);
    const here = await coming;
    if (!here) this.#coming.delete(name);
    return here;
  }

  /** @param {Place} name */
  async #fetch(name) {
    const { needs, rooms, script } = PLACES[name];
    try {
      if (needs && !(await this.come(needs))) return false;
      const [{ mount }] = await Promise.all([script(), styled(name), ...rooms.map(openRoom)]);
      const views = mount(this.session);
      this.views.push(...views);
      for (const view of views) view(this.session.screen);
      this.#here.add(name);
    } catch (error) {
      console.info("A part of the page did not come:", error);
      return false;
    }
    return true;
  }

  /** Lets everything come, one after the other; where every byte counts, nothing comes before it is asked for. */
  async comeAll() {
    const { connection } = /** @type {{ connection?: { saveData?: boolean, type?: string } }} */ (
      /** @type {unknown} */ (navigator)
    );
    if (connection?.saveData || connection?.type === "cellular") return;
    await openRoom("band").catch(() => {});
    for (const name of Object.keys(PLACES)) await this.come(name);
    for (const room of ROOMS) await openRoom(room).catch(() => {});
  }
}
