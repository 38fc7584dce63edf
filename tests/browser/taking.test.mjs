// Playing a riff in with real key events whose times are known, and what stays of what was played.
import assert from "node:assert/strict";
import { accessibilityFindings, browserTest, pageReady } from "./lib.mjs";
import { audioToEpoch, firstSound, pressKeys, soundsAsked, watchAudio } from "./practice-page.mjs";
import { button, notesOnStrip, saved, setTempo } from "./riff-page.mjs";

const BPM = 100;
const BEAT = 60 / BPM;
/** Beats from bar 1, swung 2:1 as the first tune's shuffle is, and how far each press is off, in milliseconds. */
const PLAYED = [
  { beat: 0, midi: 67, off: 12 },
  { beat: 1, midi: 70, off: -18 },
  { beat: 1 + 2 / 3, midi: 72, off: 9 },
  { beat: 2 + 2 / 3, midi: 70, off: -11 },
  { beat: 4, midi: 67, off: 20 },
];
const PLACES = ["bar 1, beat 1", "bar 1, beat 2", "bar 1, beat 2 and", "bar 1, beat 3 and", "bar 2, beat 1"];

/** @param {import("playwright-core").Page} page */
async function codesOfKeys(page) {
  const pairs = await page
    .locator("#keyboard .key")
    .evaluateAll((keys) =>
      keys.map(
        (key) =>
          /** @type {[number, string]} */ ([
            Number(key.getAttribute("data-midi")),
            key.getAttribute("data-code") ?? "",
          ]),
      ),
    );
  return new Map(pairs.filter(([, code]) => code !== ""));
}

browserTest(
  "real key events with known times write the exact riff",
  { prepare: watchAudio },
  async ({ page, site }) => {
    await page.goto(site.address);
    await pageReady(page);
    await button(page, "New riff").click();
    await setTempo(page, BPM);
    const codes = await codesOfKeys(page);
    const toEpoch = await audioToEpoch(page);
    const before = await soundsAsked(page);
    await button(page, "Play it in").click();
    const barOne = (await firstSound(page, before)) + 4 * BEAT;
    await pressKeys(
      page,
      PLAYED.map(({ beat, midi, off }) => {
        const code = codes.get(midi) ?? "";
        return { at: toEpoch(barOne + beat * BEAT) + off, code, key: code.slice(-1).toLowerCase() };
      }),
    );
    // It ends by itself when a bar was silent.
    await page
      .locator("#taking")
      .getByText(/^You played 5 notes/)
      .waitFor({ timeout: 20_000 });
    const notes = (await notesOnStrip(page)).map((label) => label ?? "");
    assert.equal(notes.length, PLAYED.length, notes.join(" | "));
    for (const [index, place] of PLACES.entries())
      assert.ok(notes[index]?.includes(`, ${place},`), `${notes[index]} is not on ${place}`);
    assert.equal(await page.locator(".as-played i").count(), PLAYED.length, "what was played stands beside it");
    assert.deepEqual(await accessibilityFindings(page, { part: "#taking" }), []);

    // Heard again it sounds at the distances at which it was played.
    const asked = await soundsAsked(page);
    await button(page, "Hear it: what I played").click();
    const again = await firstSound(page, asked);
    const starts = await page.evaluate((count) => /** @type {any} */ (globalThis).starts.slice(count), asked);
    for (const { beat, off } of PLAYED) {
      const wanted = again + (4 + beat) * BEAT + off / 1000;
      assert.ok(
        starts.some((/** @type {number} */ start) => Math.abs(start - wanted) < 0.012),
        `nothing sounds at ${wanted - again}`,
      );
    }
    await button(page, "Done").click();
    await page.locator("#taking").waitFor({ state: "hidden" });
    await saved(page);
    await page.reload();
    await pageReady(page);
    assert.equal((await notesOnStrip(page)).length, PLAYED.length, "the riff is kept");
  },
);

browserTest(
  "a rhythm is tapped, and its notes are given one by one",
  { prepare: watchAudio },
  async ({ page, site }) => {
    await page.goto(site.address);
    await pageReady(page);
    await button(page, "New riff").click();
    await setTempo(page, BPM);
    const toEpoch = await audioToEpoch(page);
    const before = await soundsAsked(page);
    await button(page, "Play it in").click();
    const barOne = (await firstSound(page, before)) + 4 * BEAT;
    await pressKeys(
      page,
      [0, 1, 1 + 2 / 3, 2].map((beat) => ({ at: toEpoch(barOne + beat * BEAT), code: "Space", key: " " })),
    );
    await page
      .locator("#taking")
      .getByText(/^You played 4 notes/)
      .waitFor({ timeout: 20_000 });
    await button(page, "Give it notes").click();
    for (const midi of [67, 70, 72, 67]) {
      const key = page.locator(`#keyboard .key[data-midi="${midi}"]`).first();
      const box = await key.boundingBox();
      await key.click({ position: { x: (box?.width ?? 0) / 2, y: (box?.height ?? 0) * 0.85 } });
    }
    const notes = (await notesOnStrip(page)).map((label) => (label ?? "").split(",")[0]);
    assert.deepEqual(notes, ["G 4", "B flat 4", "C 5", "G 4"]);
  },
);

browserTest(
  "what is played on “Just play” stands there afterwards, and is there after a reload",
  { prepare: watchAudio },
  async ({ page, site }) => {
    await page.goto(site.address);
    await pageReady(page);
    await setTempo(page, 160);
    const beat = 60 / 160;
    await button(page, "Just play").click();
    const codes = await codesOfKeys(page);
    const toEpoch = await audioToEpoch(page);
    const before = await soundsAsked(page);
    await button(page, "Play with the band").click();
    const barOne = (await firstSound(page, before)) + 4 * beat;
    await page.locator("#keyboard .key.home").first().focus();
    await pressKeys(
      page,
      [0, 1, 2, 4].map((at, index) => {
        const code = codes.get([67, 70, 72, 67][index] ?? 67) ?? "";
        return { at: toEpoch(barOne + at * beat), code, key: code.slice(-1).toLowerCase() };
      }),
    );
    // Another part of the page is opened in the middle of it.
    await button(page, "Notebook").click();
    await button(page, "Just play").click();
    const free = page.getByRole("region", { name: "What you played" });
    await free.locator(".free-lines .token").nth(3).waitFor();
    assert.equal(await free.locator(".free-lines .token").count(), 4);
    await saved(page);
    await page.reload();
    await pageReady(page);
    await button(page, "Just play").click();
    await button(page, "What I played").click();
    await free.locator(".free-lines .token").nth(3).waitFor();
    assert.equal(await free.locator(".free-lines .token").count(), 4, "a reload loses nothing");
  },
);
