// What a test asks of a browser other than Chromium, whatever its engine; and what is built on that alone.
//
// firefox.mjs and webkit.mjs each open an `Engine`. A `Person` uses the page through one: real presses at places on the
// screen, real keys, and waiting for what is to be seen.

import { mkdirSync, writeFileSync } from "node:fs";

/** @typedef {{ x: number, y: number }} Point in CSS pixels from the left upper corner of the page's window */
/** @typedef {{ to: Point } | "down" | "up" | { wait: number }} Move of the mouse; waits are in milliseconds */

/**
 * @typedef {object} Engine
 * @property {string} name and version
 * @property {(address: string) => Promise<void>} goto resolves when the page has loaded
 * @property {() => Promise<void>} reload
 * @property {<A extends any[], R>(body: (...rest: A) => R | Promise<R>, ...rest: A) => Promise<R>} run a function that
 *   knows nothing but its arguments, in the page
 * @property {(moves: Move[]) => Promise<void>} mouse
 * @property {(key: string, shift?: "Shift") => Promise<void>} press a key by its name in UI Events
 * @property {(width: number, height: number) => Promise<void>} resize the room that the page has
 * @property {() => Promise<Buffer>} picture a PNG of that room
 * @property {() => Promise<void>} close
 */

const CENTRE = { x: 0.5, y: 0.5 };
/** How long anything on the page may take, in milliseconds: a loaded machine has to make all samples first. */
const PATIENCE = 20_000;

export class Person {
  /** @param {Engine} engine */
  constructor(engine) {
    this.engine = engine;
  }

  /**
   * Opens the page and waits until the first key can sound.
   * @param {string} address
   */
  async open(address) {
    await this.engine.goto(address);
    await this.ready();
  }

  async reload() {
    await this.engine.reload();
    await this.ready();
  }

  ready() {
    return this.until(() => performance.getEntriesByName("riffloom:ready").length > 0, "the page is ready");
  }

  /**
   * Waits until the function gives something that is not empty, and resolves to it.
   * @template {any[]} A
   * @template R
   * @param {(...rest: A) => R} body
   * @param {string} what said where it never comes
   * @param {A} rest
   * @returns {Promise<NonNullable<R>>}
   */
  async until(body, what, ...rest) {
    const last = Date.now() + PATIENCE;
    for (;;) {
      const found = await this.engine.run(body, ...rest);
      if (found) return found;
      if (Date.now() > last) throw new Error(`${this.engine.name}: never seen: ${what}`);
      await pause(50);
    }
  }

  /**
   * Clicks what has this accessible name; the n-th of them, from 0.
   * @param {string | RegExp} name
   * @param {string} [within] a selector of the part of the page that holds it
   */
  async click(name, within = "body") {
    const [source, flags] =
      typeof name === "string" ? [`^${name.replace(/[.*+?^${}()|[\]\\]/g, "\\$&")}$`, ""] : [name.source, name.flags];
    await this.clickAt(
      await this.until(
        placeOf,
        `“${source}” in ${within}`,
        within,
        "button, summary, a, label, [role=option]",
        source,
        flags,
        CENTRE,
      ),
    );
  }

  /**
   * Clicks the first visible element of a selector, at these parts of its width and height.
   * @param {string} selector
   * @param {Point} [part]
   */
  async clickOn(selector, part = CENTRE) {
    await this.clickAt(await this.until(placeOf, selector, "body", selector, "", "", part));
  }

  /**
   * Writes into a field, over what stands there.
   * @param {string} selector
   * @param {string} text
   */
  async write(selector, text) {
    await this.clickOn(selector);
    await this.engine.run(() => document.activeElement instanceof HTMLInputElement && document.activeElement.select());
    for (const letter of text) await this.engine.press(letter);
  }

  /** @param {Point} place */
  clickAt(place) {
    return this.engine.mouse([{ to: place }, "down", { wait: 30 }, "up"]);
  }

  /**
   * Presses a key on the screen where no black one lies over it.
   * @param {number} midi
   */
  key(midi) {
    return this.clickOn(`#keyboard .key[data-midi="${midi}"]`, { x: 0.5, y: 0.85 });
  }

  /** The text of the first element of a selector. @param {string} selector */
  text(selector) {
    return this.engine.run((wanted) => document.querySelector(wanted)?.textContent?.trim() ?? "", selector);
  }

  /** The accessible names of all elements of a selector. @param {string} selector */
  names(selector) {
    return this.engine.run(
      (wanted) =>
        [...document.querySelectorAll(wanted)].map(
          (each) => each.getAttribute("aria-label") ?? each.textContent?.trim() ?? "",
        ),
      selector,
    );
  }

  /** Waits until the page says that all is kept. */
  saved() {
    return this.until(() => document.querySelector("#kept")?.textContent === "Kept on this device", "all is kept");
  }

  /** Waits until the first element of a selector is there to be seen. @param {string} selector */
  async sees(selector) {
    await this.until(placeOf, selector, "body", selector, "", "", CENTRE);
  }
}

/**
 * Runs in the page: where the first visible element that matches can be pressed, scrolled into sight; null where there is
 * none or something lies over it.
 * @param {string} within
 * @param {string} selector
 * @param {string} source of the accessible name's pattern, or "" for any
 * @param {string} flags
 * @param {Point} part of its width and height
 * @returns {Point | null}
 */
export function placeOf(within, selector, source, flags, part) {
  const pattern = new RegExp(source, flags);
  const name = (/** @type {Element} */ each) => (each.getAttribute("aria-label") ?? each.textContent ?? "").trim();
  for (const each of document.querySelector(within)?.querySelectorAll(selector) ?? []) {
    if (each.getClientRects().length === 0 || !pattern.test(name(each))) continue;
    if (each instanceof HTMLButtonElement && each.disabled) continue;
    const inSight = () => {
      const box = each.getBoundingClientRect();
      const place = { x: Math.round(box.left + box.width * part.x), y: Math.round(box.top + box.height * part.y) };
      const over = document.elementFromPoint(place.x, place.y);
      return over && (each.contains(over) || over.contains(each)) ? place : null;
    };
    const here = inSight();
    if (here) return here;
    each.scrollIntoView({ block: "center", inline: "center" });
    return inSight();
  }
  return null;
}

/** Where a picture of the page is put when something fails. */
const logs = new URL("../../../target/logs/", import.meta.url);

/**
 * Does it, and where it fails takes a picture of the page first.
 * @param {Engine} engine
 * @param {string} name of the picture
 * @param {() => Promise<void>} body
 */
export async function pictured(engine, name, body) {
  try {
    await body();
  } catch (error) {
    mkdirSync(logs, { recursive: true });
    writeFileSync(new URL(`${name}.png`, logs), await engine.picture());
    throw error;
  }
}

/** @param {number} milliseconds */
export const pause = (milliseconds) => new Promise((resolve) => setTimeout(resolve, milliseconds));
