// What may stand under the notes of a staff, kept for the next time.

const KEY = "riffloom under-staff";

/** By its name in data. @type {Record<string, string>} */
export const UNDER = {
  "": "nothing",
  names: "names",
  counts: "counting aloud",
  shapes: "shapes",
  guitar: "guitar tablature",
  ukulele: "ukulele tablature",
  recorder: "recorder fingering",
  "alto-sax": "alto sax fingering",
  trumpet: "trumpet valves",
};

export function kept() {
  try {
    const under = localStorage.getItem(KEY) ?? "";
    return under in UNDER ? under : "";
  } catch {
    return "";
  }
}

/** @param {string} under */
export function keep(under) {
  try {
    localStorage.setItem(KEY, under);
  } catch {
    // Then it holds until the page is closed.
  }
}
