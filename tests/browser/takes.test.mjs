// Takes: what is recorded with the microphone is kept on the device as it was, lies on the form where it was played, and
// nothing of it is lost.
import assert from "node:assert/strict";
import { accessibilityFindings, browserTest, downloaded, keptOffline, pageReady } from "./lib.mjs";
import { hearsItself, samples, standIn, turnOn, withMicrophone } from "./listen-page.mjs";
import { firstSound, practisePorchLight, soundsAsked, watchAudio } from "./practice-page.mjs";
import { button, setTempo } from "./riff-page.mjs";

/** @typedef {import("playwright-core").Page} Page */
/** @typedef {import("playwright-core").BrowserContext} BrowserContext */

const part = (/** @type {Page} */ page) => page.locator("#takes");
const rows = (/** @type {Page} */ page) => part(page).locator(".take");

/** Opens “Just play”. @param {Page} page @param {string} address */
async function open(page, address) {
  await page.goto(address);
  await pageReady(page);
  await button(page, "Just play").click();
  await part(page).getByRole("heading", { name: "Takes" }).waitFor();
}

/**
 * Records until so many seconds are kept.
 * @param {Page} page
 * @param {number} seconds
 * @param {string} [how]
 */
async function record(page, seconds, how = "Record without it") {
  await part(page).getByRole("button", { name: how }).click();
  await part(page).locator(".takes-now").waitFor();
  await kept(page, seconds);
}

/** Waits until so many seconds of a take are kept. @param {Page} page @param {number} seconds */
const kept = (page, seconds) =>
  page.waitForFunction((seconds) => {
    const told = document.querySelector("#takes .takes-time")?.textContent ?? "";
    const [, minutes, rest] = /^(\d+):(\d+) of 10:00/.exec(told) ?? [];
    return 60 * Number(minutes) + Number(rest) >= seconds;
  }, seconds);

const stop = (/** @type {Page} */ page) => part(page).getByRole("button", { name: "Stop and keep it" }).click();

/**
 * What stands in the database of takes, and how many pieces.
 * @param {Page} page
 * @returns {Promise<{ takes: import("../../www/pkg/riffloom.js").Take[], pieces: number }>}
 */
function stored(page) {
  return page.evaluate(async () => {
    const done = (/** @type {IDBRequest} */ request) =>
      new Promise((resolve, reject) => {
        request.onsuccess = () => resolve(request.result);
        request.onerror = () => reject(request.error);
      });
    const database = /** @type {IDBDatabase} */ (await done(indexedDB.open("riffloom takes")));
    const transaction = database.transaction(["takes", "pieces"]);
    const takes = await done(transaction.objectStore("takes").getAll());
    const pieces = await done(transaction.objectStore("pieces").count());
    database.close();
    return /** @type {any} */ ({ takes, pieces });
  });
}

/** The 16-bit samples of the only take's file, after its head (RIFF, 1991). @param {Page} page */
async function saved(page) {
  const [download] = await Promise.all([
    page.waitForEvent("download"),
    part(page)
      .getByRole("button", { name: /^Save as WAV/ })
      .click(),
  ]);
  const bytes = await downloaded(download);
  assert.equal(bytes.toString("latin1", 0, 4) + bytes.toString("latin1", 8, 16), "RIFFWAVEfmt ");
  assert.deepEqual([bytes.readUInt16LE(20), bytes.readUInt16LE(22), bytes.readUInt16LE(34)], [1, 1, 16]);
  assert.equal(bytes.readUInt32LE(4), bytes.length - 8);
  assert.equal(bytes.readUInt32LE(40), bytes.length - 44);
  const frames = Array.from({ length: (bytes.length - 44) / 2 }, (_, index) => bytes.readInt16LE(44 + 2 * index));
  return { name: download.suggestedFilename(), rate: bytes.readUInt32LE(24), frames };
}

const device = (/** @type {Page} */ page) =>
  page.evaluate(() => {
    const { asked, stream } = /** @type {any} */ (globalThis).device;
    return { asked, state: stream?.getAudioTracks()[0]?.readyState };
  });

browserTest(
  "a take is recorded on its button alone, shows that it is, and is kept until it is deleted",
  { prepare: standIn },
  async ({ page, site }) => {
    await open(page, site.address);
    assert.equal((await device(page)).asked, 0, "the microphone was opened before anybody asked");
    await part(page)
      .getByText(/kept on this device only, until you delete it; 10 minutes at most/)
      .waitFor();
    await record(page, 4);
    assert.equal(await page.locator("#listen.recording").textContent(), "Recording");
    assert.match(
      (await part(page).locator(".takes-now").textContent()) ?? "",
      /^Recording0:0\d of 10:00(, \d\.\d MB)?/,
    );
    await page.locator("#listen").click();
    await page.locator("#listen-panel").getByText("It is kept on this device only, until you delete it.").waitFor();
    await page.keyboard.press("Escape");
    await stop(page);
    await rows(page).waitFor();
    assert.equal((await device(page)).state, "ended", "the device was not let go");
    await page.locator("#listen:not(.on):not(.recording)").waitFor();
    assert.match((await rows(page).textContent()) ?? "", /Today, \d+:\d\d · 0:0\d/);
    await part(page)
      .getByText(/^1 take,( \d+ kB,)? on this device only\.$/)
      .waitFor();
    assert.deepEqual(await accessibilityFindings(page, { part: "#takes" }), []);

    await rows(page)
      .getByRole("button", { name: /^Delete/ })
      .click();
    await rows(page)
      .getByText(/^Deleted: .* gone for good when you leave the page\.$/)
      .waitFor();
    await rows(page).getByRole("button", { name: /^Undo/ }).click();
    await rows(page)
      .getByRole("button", { name: /^Hear it/ })
      .waitFor();
    await page.reload();
    await pageReady(page);
    await button(page, "Just play").click();
    await rows(page)
      .getByRole("button", { name: /^Delete/ })
      .click();
    await rows(page).getByRole("button", { name: /^Undo/ }).waitFor();
    await page.reload();
    await pageReady(page);
    await button(page, "Just play").click();
    await page.waitForFunction(() => document.querySelectorAll("#takes .take").length === 0);
    // What is shown no more is taken out of the storage behind it.
    for (let tries = 0; tries < 50 && (await stored(page)).pieces > 0; tries++) await page.waitForTimeout(100);
    assert.deepEqual(await stored(page), { takes: [], pieces: 0 });
  },
);

browserTest(
  "a tab that is closed while it records loses the last seconds at most",
  { prepare: standIn },
  async ({ page, site, context }) => {
    await open(page, site.address);
    await record(page, 4);
    await page.close();
    const next = await context.newPage();
    await open(next, site.address);
    await rows(next)
      .getByText(/0:0[4-9] · (.* · )?cut off as the page was closed/)
      .waitFor();
    await rows(next)
      .getByRole("button", { name: /^Hear it/ })
      .click();
    await rows(next).getByRole("button", { name: /^Stop/ }).waitFor();
    await rows(next)
      .getByRole("button", { name: /^Hear it/ })
      .waitFor();
    assert.equal(await part(next).locator(".takes-trouble").textContent(), "");
  },
);

browserTest("a take is recorded and heard without a network", { prepare: standIn }, async ({ page, site, context }) => {
  await open(page, site.address);
  await keptOffline(page);
  await context.setOffline(true);
  await open(page, site.address);
  await record(page, 2);
  await stop(page);
  await rows(page)
    .getByRole("button", { name: /^Hear it/ })
    .click();
  await rows(page).getByRole("button", { name: /^Stop/ }).waitFor();
});

browserTest(
  "a device without room says so before a take and in the middle of one, and what was recorded is there",
  { prepare: standIn },
  async ({ page, site }) => {
    await open(page, site.address);
    await page.evaluate(() => {
      const { put } = IDBObjectStore.prototype;
      const seen = /** @type {any} */ (globalThis);
      IDBObjectStore.prototype.put = function (...given) {
        if (seen.isFull && this.name === "pieces") throw new DOMException("for a test", "QuotaExceededError");
        return put.apply(this, /** @type {any} */ (given));
      };
      const { estimate } = StorageManager.prototype;
      StorageManager.prototype.estimate = async function () {
        return seen.isNearlyFull ? { quota: 1e9, usage: 0.99e9 } : estimate.call(this);
      };
      seen.isNearlyFull = true;
    });
    await part(page).getByRole("button", { name: "Record without it" }).click();
    await part(page)
      .getByText(/^There is hardly any room left.*Delete a take first\.$/)
      .waitFor();
    assert.equal((await device(page)).asked, 0);
    await page.evaluate(() => Object.assign(globalThis, { isNearlyFull: false }));
    await record(page, 2);
    await page.evaluate(() => Object.assign(globalThis, { isFull: true }));
    await part(page)
      .getByText(/^There is no room left on this device, so recording stopped\./)
      .waitFor();
    await rows(page).waitFor();
    assert.equal((await device(page)).state, "ended", "the device was not let go");
    // Also the seconds that storage did not take.
    const { frames, rate } = await saved(page);
    const { takes, pieces } = await stored(page);
    assert.equal(frames.length, takes[0]?.frames);
    assert.ok(frames.length > 2 * rate * pieces, "what was not taken is not in the file");
    // The notebook is written as ever.
    await page.evaluate(() => Object.assign(globalThis, { isFull: false }));
  },
);

/** A browser that gives no database for takes. @param {BrowserContext} context */
async function keepsNone(context) {
  await standIn(context);
  await context.addInitScript(() => {
    if (!("indexedDB" in globalThis)) return;
    const { open } = IDBFactory.prototype;
    IDBFactory.prototype.open = function (name, version) {
      if (name === "riffloom takes") throw new DOMException("for a test", "SecurityError");
      return open.call(this, name, version);
    };
  });
}

browserTest(
  "a browser that keeps nothing says so, and the take can be heard and saved",
  { prepare: keepsNone },
  async ({ page, site }) => {
    await open(page, site.address);
    await record(page, 4);
    await part(page)
      .getByText(/^This browser keeps nothing now\..*save it as a file\.$/)
      .waitFor();
    await stop(page);
    await rows(page)
      .getByRole("button", { name: /^Hear it/ })
      .click();
    await rows(page).getByRole("button", { name: /^Stop/ }).click();
    const { frames, rate } = await saved(page);
    assert.ok(frames.length >= 4 * rate && frames.some((frame) => Math.abs(frame) > 1000));
  },
);

/** Beats a minute of the first tune. */
const BPM = 76;

/** How loud a note is on the way out, in decibels. @param {Page} page @param {number} midi */
const loudness = (page, midi) =>
  page.evaluate(async (midi) => {
    const way = /** @type {any} */ (globalThis).wayOut();
    const ear = new AnalyserNode(way.context, { fftSize: 8192, smoothingTimeConstant: 0 });
    way.connect(ear);
    await new Promise((resolve) => setTimeout(resolve, 400));
    const bins = new Float32Array(ear.frequencyBinCount);
    ear.getFloatFrequencyData(bins);
    const hertz = 440 * 2 ** ((midi - 69) / 12);
    return bins[Math.round((hertz * ear.fftSize) / way.context.sampleRate)] ?? NaN;
  }, midi);

/** @param {BrowserContext} context */
async function tellsWayOut(context) {
  await hearsItself(context);
  await standIn(context);
}

browserTest(
  "while a take is heard over the form the map goes along, and keys sound",
  { prepare: tellsWayOut },
  async ({ page, site, t }) => {
    await open(page, site.address);
    await record(page, 6, "Record with the band");
    await page.locator("#play").click();
    const keys = await page
      .locator("#keyboard .key")
      .evaluateAll((all) => all.map((key) => Number(Reflect.get(key, "dataset").midi)));
    // The highest but for an A, which the device sounds.
    const midi = Math.max(...keys.filter((midi) => midi % 12 !== 9));
    await rows(page)
      .getByRole("button", { name: /^Hear it/ })
      .click();
    const thread = page.locator('#form .bar.now[data-bar="0"] .thread');
    await thread.waitFor({ state: "attached" });
    const stands = () =>
      thread.evaluate((line) => ({
        at: Number(/scaleX\((.*)\)/.exec(/** @type {HTMLElement} */ (line).style.transform)?.[1]),
        time: performance.now() / 1000,
      }));
    await page.waitForTimeout(100);
    const before = await stands();
    const silent = await loudness(page, midi);
    const after = await stands();
    const bars = (after.time - before.time) / (4 * (60 / BPM));
    assert.ok(Math.abs(after.at - before.at - bars) < 0.02, `${after.at - before.at} bars went by, not ${bars}`);
    const key = page.locator(`#keyboard .key[data-midi="${midi}"]`).first();
    await key.dispatchEvent("pointerdown", { pointerId: 1, button: 0, isPrimary: true });
    const sounding = await loudness(page, midi);
    await key.dispatchEvent("pointerup", { pointerId: 1, button: 0, isPrimary: true });
    t.diagnostic(`the key is ${sounding.toFixed()} dB beside ${silent.toFixed()} dB`);
    assert.ok(sounding > silent + 20, "the key does not sound");
  },
);

browserTest(
  "a take is heard over the form, with the band or without, and two of them one after the other",
  { prepare: standIn },
  async ({ page, site }) => {
    await page.goto(site.address);
    await pageReady(page);
    await practisePorchLight(page);
    for (const name of ["Record without it", "Record without it"]) {
      await record(page, 2, name);
      await stop(page);
      await part(page).getByRole("button", { name }).waitFor();
    }
    assert.equal(await rows(page).count(), 2);
    await rows(page).last().getByText("First take", { exact: true }).waitFor();
    await part(page)
      .getByRole("button", { name: /^Hear both: Porch light: today, .*, then today,/ })
      .click();
    await part(page).locator(".takes-pairs b").getByText("Then", { exact: true }).waitFor();
    await part(page).locator(".takes-pairs b").getByText("Now", { exact: true }).waitFor();
    await part(page)
      .getByRole("button", { name: /^Hear both/ })
      .waitFor();

    // With the band, recording ends as it stops, and the take lies on the form.
    await button(page, "Just play").click();
    await record(page, 6, "Record with the band");
    await page.locator("#play").click();
    await part(page).getByRole("button", { name: "Record with the band" }).waitFor();
    const own = rows(page).first();
    for (const way of ["With the band", "Hear it"]) {
      await own.getByRole("button", { name: new RegExp(`^${way}`) }).click();
      await page.locator("#form .bar.now").waitFor();
      await own.getByRole("button", { name: /^Stop/ }).click();
      await page.locator("body:not(.playing)").waitFor();
    }
    // Over another tune it says what to do.
    await setTempo(page, 100);
    await own.getByText(/^To hear it over the form, bring its tune back: /).waitFor();
    await own.getByRole("button", { name: /^Bring its tune back/ }).click();
    await own.getByRole("button", { name: /^With the band/ }).waitFor();
    // Its rows stand in the notebook too, which says that its file has none of them.
    await button(page, "Notebook").click();
    await page
      .getByRole("region", { name: "Keep it safe" })
      .getByText(/^Your takes are not in that file/)
      .waitFor();
    assert.equal(await rows(page).count(), 3);
  },
);

/** @param {BrowserContext} context */
async function loops(context) {
  await watchAudio(context);
  await hearsItself(context);
}

/** A click is there where the sound is so loud beside its loudest place. */
const CLICK = 0.1;

browserTest(
  "a take of the page’s own click lies where it was played, whatever the devices add",
  { prepare: loops },
  async ({ page, site, t }) => {
    await open(page, site.address);
    await page.evaluate(() => Object.assign(globalThis, { roomSeconds: 0.15 }));
    await turnOn(page);
    const delay = page.getByRole("region", { name: "Delay" });
    await delay.getByRole("button", { name: "Measure the delay" }).click();
    await delay.getByText(/^From the loudspeaker to the microphone it takes/).waitFor();
    await page.keyboard.press("Escape");
    const before = await soundsAsked(page);
    await record(page, 6, "Record with the band");
    // The first sound is the first click of the count, a bar of four before the first bar line.
    const first = await firstSound(page, before);
    await stop(page);
    await rows(page).waitFor();
    const { frames, rate } = await saved(page);
    const place = (await stored(page)).takes[0]?.place;
    assert.ok(place, "the take lies nowhere");
    const beat = 60 / BPM;
    assert.ok(Math.abs(place.beat - beat) < 1e-6, `a beat lasts ${place.beat} s`);
    const errors = [4, 3, 2, 1].map((beats) => {
      const due = place.seconds - beats * beat;
      const from = Math.round((due - 0.1) * rate);
      const heard = frames.slice(from, from + 0.3 * rate).map(Math.abs);
      const found = heard.findIndex((frame) => frame > CLICK * Math.max(...heard));
      return found < 0 ? NaN : (1000 * (from + found)) / rate - 1000 * due;
    });
    t.diagnostic(`the count lies ${errors.map((error) => error.toFixed(1)).join(", ")} ms from its beats`);
    for (const error of errors) assert.ok(Math.abs(error) <= 5, `a click lies ${error} ms from its beat`);

    // Heard again, it begins as far from the bar line as it was recorded.
    await page.evaluate(() => {
      const seen = /** @type {any} */ (globalThis);
      const { start } = AudioBufferSourceNode.prototype;
      [seen.taken, seen.own] = [[], []];
      AudioBufferSourceNode.prototype.start = function (when = 0, offset = 0) {
        const { length = 0, sampleRate = 1 } = this.buffer ?? {};
        if (length === 2 * sampleRate) {
          seen.taken.push(when - offset);
          seen.own.push(when);
        }
        return start.call(this, when, offset);
      };
    });
    const asked = await soundsAsked(page);
    await rows(page)
      .getByRole("button", { name: /^With the band/ })
      .click();
    const begun = await page.waitForFunction(() => /** @type {any} */ (globalThis).taken[0]);
    const again = await page.evaluate((asked) => {
      const { starts, own } = /** @type {any} */ (globalThis);
      return Math.min(...starts.slice(asked).filter((/** @type {number} */ at) => !own.includes(at)));
    }, asked);
    const off = 1000 * /** @type {number} */ ((await begun.jsonValue()) + place.seconds - (again + 4 * beat));
    t.diagnostic(`it is laid ${off.toFixed(2)} ms from the bar line (first click at ${first.toFixed(3)} s)`);
    assert.ok(Math.abs(off) < 1, `it is laid ${off} ms from the bar line`);
  },
);

browserTest("a take as a file is what came from the microphone, sample by sample", async ({ t }) => {
  const tones = [1, 2, 3, 4, 5].map((at) => ({ at, midi: 60 + at, length: 0.4 }));
  await withMicrophone(samples(tones, 60), watchAudio, async (page) => {
    await button(page, "Just play").click();
    await turnOn(page);
    await page.locator("#listen.on").waitFor();
    await page.keyboard.press("Escape");
    await page.evaluate(async () => {
      const seen = /** @type {any} */ (globalThis);
      const audio = /** @type {AudioContext} */ (seen.audio);
      seen.came = [];
      await audio.audioWorklet.addModule("/__tap__.js");
      const tap = new AudioWorkletNode(audio, "tap");
      tap.port.onmessage = ({ data: { frame, channels } }) => channels && seen.came.push({ frame, channels });
      audio.createMediaStreamSource(seen.heard).connect(tap).connect(audio.destination);
    });
    await record(page, 8);
    await stop(page);
    await rows(page).waitFor();
    const { frames } = await saved(page);
    const came = await page.evaluate(() =>
      /** @type {any} */ (globalThis).came.flatMap((/** @type {{ channels: Float32Array[] }} */ { channels }) => {
        const [left, right] = channels;
        return [...(left ?? [])].map((sample, frame) => Math.fround((sample + Number(right?.[frame])) / 2));
      }),
    );
    // As 16 bits: the nearest whole number of 32 768 to full scale, halves away from nothing.
    const whole = came.map((/** @type {number} */ sample) =>
      Math.max(-32_768, Math.min(32_767, Math.sign(sample) * Math.round(Math.abs(sample) * 32_768))),
    );
    // The tap began first: where the take begins in it.
    const loud = frames.findIndex((frame) => Math.abs(frame) > 1000);
    const begins = whole.findIndex((/** @type {number} */ _, /** @type {number} */ at) =>
      frames.slice(loud, loud + 200).every((frame, index) => frame === whole[at + loud + index]),
    );
    assert.ok(begins >= 0, "the take is not in what came");
    const shared = Math.min(frames.length, whole.length - begins);
    const wrong = frames.slice(0, shared).findIndex((frame, index) => frame !== whole[begins + index]);
    t.diagnostic(`${shared} samples of ${frames.length} were compared`);
    assert.equal(wrong, -1, `sample ${wrong} is another one`);
    assert.ok(shared > 7 * 48_000);
  });
});
