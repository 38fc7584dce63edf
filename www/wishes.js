// What a person wishes of this page on this device, kept in this browser: switches that are no part of the music.

/** Each with how it is before anybody touched it. */
const FIRST = {
  letters: true,
  "say-chords": false,
  headphones: false,
  staff: false,
  "chorus-staff": false,
  "chorus-verse": false,
};

/** @typedef {keyof typeof FIRST} Wish */

/** Those that were touched, also where nothing can be kept. @type {Map<Wish, boolean>} */
const touched = new Map();

/** @param {Wish} wish */
export function isOn(wish) {
  const set = touched.get(wish);
  if (set !== undefined) return set;
  let kept = null;
  try {
    kept = localStorage.getItem(`riffloom ${wish}`);
  } catch {
    // Then it is as it was at first.
  }
  const on = kept === null ? FIRST[wish] : kept === "on";
  touched.set(wish, on);
  return on;
}

/**
 * @param {Wish} wish
 * @param {boolean} on
 */
export function setWish(wish, on) {
  touched.set(wish, on);
  try {
    localStorage.setItem(`riffloom ${wish}`, on ? "on" : "off");
  } catch {
    // Then it holds until the page is closed.
  }
}
