// A MIDI keyboard through the Web MIDI interface: a simulated device takes the place of the browser's own list of them.
// What its bytes mean is the MIDI 1.0 Detailed Specification's (status bytes, running status, velocity 0); what the
// interface does is the Web MIDI API's (W3C Working Draft: inputs, statechange, timeStamp).
import assert from "node:assert/strict";
import { accessibilityFindings, browserTest, pageReady } from "./lib.mjs";
import { knowDelay } from "./practice-page.mjs";
import { button, key, notesOnStrip, setTempo } from "./riff-page.mjs";

/** @typedef {import("playwright-core").Page} Page */

/** Puts a device list of ours in the place of the browser's; `globalThis.device` plugs it in and out and sends. */
const simulate = async (/** @type {import("playwright-core").BrowserContext} */ context) => {
  await context.addInitScript(() => {
    const inputs = new Map();
    const access = Object.assign(new EventTarget(), { inputs, outputs: new Map(), sysexEnabled: false });
    /** @type {any} */
    let handler = null;
    Object.defineProperty(access, "onstatechange", { get: () => handler, set: (value) => (handler = value) });
    const tell = (/** @type {any} */ port) => handler?.(Object.assign(new Event("statechange"), { port }));
    const plugIn = (/** @type {string} */ id, /** @type {string} */ name) => {
      const port = { id, name, type: "input", state: "connected", connection: "open", onmidimessage: null };
      inputs.set(id, port);
      tell(port);
    };
    const unplug = (/** @type {string} */ id) => {
      const port = inputs.get(id);
      port.state = "disconnected";
      // The specification leaves a port that is gone out of the list.
      inputs.delete(id);
      tell(port);
    };
    const send = (/** @type {string} */ id, /** @type {number[]} */ bytes, late = 0) => {
      const event = Object.assign(new Event("midimessage"), { data: new Uint8Array(bytes) });
      Object.defineProperty(event, "timeStamp", { value: performance.now() - late });
      inputs.get(id)?.onmidimessage?.(event);
    };
    const asked = /** @type {any[]} */ ([]);
    Object.assign(globalThis, { device: { plugIn, unplug, send, asked, refuse: false } });
    Object.defineProperty(navigator, "requestMIDIAccess", {
      configurable: true,
      value: async (/** @type {any} */ options) => {
        asked.push(options);
        if (/** @type {any} */ (globalThis).device.refuse) throw new DOMException("denied", "NotAllowedError");
        return access;
      },
    });
  });
};

/**
 * @param {Page} page
 * @param {"plugIn" | "unplug" | "send"} what
 * @param {...any} rest
 */
const device = (page, what, ...rest) =>
  page.evaluate(
    ([what, rest]) => /** @type {any} */ (globalThis).device[what](...rest),
    /** @type {const} */ ([what, rest]),
  );

/** Opens what I play, where the button is. */
const openPanel = (/** @type {Page} */ page) => page.getByRole("button", { name: /^What I play:/ }).click();
const turn = (/** @type {Page} */ page) => button(page, "Use a MIDI keyboard");
const told = (/** @type {Page} */ page) => page.locator(".midi [role=status]");
const isDown = (/** @type {Page} */ page, /** @type {number} */ midi) =>
  key(page, midi).evaluate((element) => element.classList.contains("down"));
const sounding = (/** @type {Page} */ page) => page.locator("#keyboard .key.down").count();

/** @param {Page} page */
async function start(page) {
  await pageReady(page);
  await button(page, "New riff").click();
  await openPanel(page);
  await turn(page).click();
}

browserTest(
  "a MIDI keyboard writes, sounds and is found when it is plugged in",
  { prepare: simulate },
  async ({ page, site }) => {
    await page.goto(site.address);
    await start(page);
    await page.getByText("Plug one in; it is found by itself.").waitFor();
    await device(page, "plugIn", "a", "Harbour 25");
    await page.getByText("Listening to Harbour 25.").waitFor();
    assert.deepEqual(await page.evaluate(() => /** @type {any} */ (globalThis).device.asked), [{ sysex: false }]);
    assert.equal(await turn(page).getAttribute("aria-pressed"), "true");

    await device(page, "send", "a", [0x90, 67, 80]);
    assert.ok(await isDown(page, 67));
    await device(page, "send", "a", [0x80, 67, 0]);
    assert.ok(!(await isDown(page, 67)));
    // Running status, velocity 0 for "let go", a clock tick inside a message, a message in two pieces.
    await device(page, "send", "a", [0x90, 70, 0xf8, 80]);
    await device(page, "send", "a", [72]);
    await device(page, "send", "a", [120]);
    assert.ok((await isDown(page, 70)) && (await isDown(page, 72)));
    await device(page, "send", "a", [70, 0, 72, 0]);
    assert.equal(await sounding(page), 0);
    const notes = await notesOnStrip(page);
    assert.deepEqual(
      notes.map((note) => note?.replace(/,.*/, "")),
      ["G 4", "B flat 4", "C 5"],
      notes.join("\n"),
    );
    assert.deepEqual(
      notes.map((note) => /accent/.test(note ?? "")),
      [false, false, true],
      "the hard stroke is the accent",
    );
    assert.deepEqual(await accessibilityFindings(page), []);
  },
);

browserTest(
  "no note hangs when the keyboard is unplugged in the middle of it",
  { prepare: simulate },
  async ({ page, site }) => {
    await page.goto(site.address);
    await start(page);
    await device(page, "plugIn", "a", "Harbour 25");
    await device(page, "plugIn", "b", "Quay pads");
    await page.getByText("Listening to Harbour 25 and Quay pads.").waitFor();
    await device(page, "send", "a", [0x90, 67, 80, 71, 80]);
    await device(page, "send", "b", [0x99, 62, 80]);
    assert.equal(await sounding(page), 3);
    await device(page, "unplug", "a");
    assert.deepEqual([await isDown(page, 67), await isDown(page, 71), await isDown(page, 62)], [false, false, true]);
    await device(page, "unplug", "b");
    assert.equal(await sounding(page), 0);
    await page.getByText("Quay pads was unplugged. Plug it in again; it is found by itself.").waitFor();
    // The half message and the status before the plug was pulled are forgotten.
    await device(page, "plugIn", "a", "Harbour 25");
    await device(page, "send", "a", [69, 80]);
    assert.equal(await sounding(page), 0);
    await device(page, "send", "a", [0x90, 69, 80]);
    assert.ok(await isDown(page, 69));
    // Turned off with a key down: nothing hangs, and nothing more is heard.
    await turn(page).click();
    assert.equal(await sounding(page), 0);
    await device(page, "send", "a", [0x90, 69, 80]);
    assert.equal(await sounding(page), 0);
  },
);

/** How long the page hears of a key after it was struck, in milliseconds. */
const LATE = 250;
/** Bars are drawn with the frames of a busy machine. */
const JITTER = 100;

browserTest(
  "in practice the time of the stroke counts, not the time at which the page hears of it",
  { prepare: simulate, timed: true },
  async ({ page, context, site }) => {
    await knowDelay(context);
    await page.goto(site.address);
    await start(page);
    await device(page, "plugIn", "a", "Harbour 25");
    await device(page, "send", "a", [0x90, 67, 80, 67, 0]);
    await page.keyboard.press("Escape");
    await page.getByRole("button", { name: /^Form:/ }).click();
    await page.locator("#chart").fill("G7 | G7");
    await button(page, "Use them").click();
    await page.keyboard.press("Escape");
    await setTempo(page, 160);
    await button(page, "Practice").click();
    // At each first bar line the key is struck; the page hears of it at once the first time, and late the second.
    await page.evaluate((late) => {
      let struck = 0;
      let was = false;
      const look = () => {
        const is = document.querySelector('#form .bar.now[data-bar="0"]') !== null;
        const delay = [0, late][struck];
        if (is && !was && delay !== undefined) {
          struck += 1;
          const at = performance.now();
          setTimeout(
            () => /** @type {any} */ (globalThis).device.send("a", [0x90, 67, 80, 67, 0], performance.now() - at),
            delay,
          );
        }
        was = is;
        requestAnimationFrame(look);
      };
      look();
    }, LATE);
    await button(page, "Start practising").click();
    const row = page.locator(".numbers-card tbody tr").first();
    const lateness = async (/** @type {number} */ time) => {
      await page.waitForFunction(
        (time) => document.querySelectorAll(".told h2").length > 0 && /** @type {any} */ (globalThis).times >= time,
        time,
      );
      const text = (await row.textContent()) ?? "";
      const [, ms, side] = /(\d+) ms (late|early)/.exec(text) ?? assert.fail(text);
      return side === "late" ? Number(ms) : -Number(ms);
    };
    await page.evaluate(() => {
      Object.assign(globalThis, { times: 0 });
      const said = document.querySelector("#said");
      if (said)
        new MutationObserver(() => {
          /** @type {any} */ (globalThis).times += 1;
        }).observe(said, { childList: true });
    });
    // While it plays the numbers are out of sight; they are written all the same.
    await page.locator(".numbers-card > summary").evaluate((each) => /** @type {HTMLElement} */ (each).click());
    const atOnce = await lateness(1);
    const heardLate = await lateness(2);
    await page.keyboard.press("Escape");
    assert.ok(
      Math.abs(heardLate - atOnce) < JITTER,
      `heard at once: ${atOnce} ms, heard ${LATE} ms later: ${heardLate} ms`,
    );
  },
);

browserTest("what cannot be had is said in a sentence", { prepare: simulate }, async ({ page, site }) => {
  await page.goto(site.address);
  await pageReady(page);
  await page.evaluate(() => Object.assign(/** @type {any} */ (globalThis).device, { refuse: true }));
  await openPanel(page);
  await turn(page).click();
  await page.getByText("The browser did not allow it.").waitFor();
  await page.evaluate(() => Object.assign(/** @type {any} */ (globalThis).device, { refuse: false }));
  await turn(page).click();
  await page.getByText("No keyboard is plugged in yet.").waitFor();
});

const without = async (/** @type {import("playwright-core").BrowserContext} */ context) => {
  await context.addInitScript(() => Object.defineProperty(navigator, "requestMIDIAccess", { value: undefined }));
};

browserTest("a browser without MIDI says so and has no button", { prepare: without }, async ({ page, site }) => {
  await page.goto(site.address);
  await pageReady(page);
  await openPanel(page);
  assert.match((await told(page).textContent()) ?? "", /can't be used in this browser/);
  assert.equal(await turn(page).count(), 0);
});
