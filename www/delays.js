// The delay of each sound device, or pair of it and a microphone, as it was found by tapping along, kept in this browser.

const KEPT = "riffloom delays";
const UNNAMED = "this device";

/**
 * @typedef {{ seconds: number, giveOrTake: number, loop?: boolean }} Kept `loop`: measured through the microphone
 */

/** What the device is called through which is heard now; browsers tell only where a microphone was allowed. */
async function deviceInUse() {
  try {
    const devices = await navigator.mediaDevices.enumerateDevices();
    const outputs = devices.filter(({ kind, label }) => kind === "audiooutput" && label);
    const used = outputs.find(({ deviceId }) => deviceId === "default") ?? outputs[0];
    return used?.label || UNNAMED;
  } catch {
    return UNNAMED;
  }
}

/**
 * What is in use: the device that sounds, and the microphone where one is on.
 * @param {import("./session.js").Session} session
 */
export async function pairInUse({ hearing }) {
  return [await deviceInUse(), ...(hearing ? [hearing] : [])].join(" + ");
}

/**
 * @param {string} device
 * @returns {Kept | undefined}
 */
export function recallDelay(device) {
  return all()[device];
}

/**
 * @param {string} device
 * @param {Kept} delay
 */
export function keepDelay(device, delay) {
  try {
    localStorage.setItem(KEPT, JSON.stringify({ ...all(), [device]: delay }));
  } catch {
    // Then it holds until the page is closed.
  }
}

/** @returns {Record<string, Kept>} */
function all() {
  try {
    const kept = JSON.parse(localStorage.getItem(KEPT) ?? "{}");
    return typeof kept === "object" && kept !== null ? kept : {};
  } catch {
    return {};
  }
}
