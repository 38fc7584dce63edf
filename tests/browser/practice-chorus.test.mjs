// A chorus that was built on the page is practised: a scripted player plays what stands in it, worked by hand, and reads
// how it went.
import assert from "node:assert/strict";
import { accessibilityFindings, browserTest, pageReady } from "./lib.mjs";
import { PORCH_LIGHT, audioToEpoch, choose, firstSound, pressKeys, soundsAsked, watchAudio } from "./practice-page.mjs";
import { button, saved, setTempo, writeRiff } from "./riff-page.mjs";

const BPM = 160;
const BEAT = 60 / BPM;
/** Beats from the first bar line, and MIDI notes: *Porch light* in bar 1, *Ferry bell* (G D) a whole step up in bar 5. */
const WOVEN = [
  ...PORCH_LIGHT.onsets.map((beat, index) => ({ beat, midi: PORCH_LIGHT.midi[index] ?? 0 })),
  { beat: 16, midi: 69 },
  { beat: 16 + 2 / 3, midi: 76 },
];
/** How late each is played, in milliseconds. */
const SCRIPTED = [12, -25, 4, 30, -8, 17, -14];

/** @typedef {import("playwright-core").Page} Page */

/** @param {Page} page */
async function buildChorus(page) {
  await button(page, "hear a riff: Porch light").click();
  // What is heard stops with the tab.
  await button(page, "Riff").click();
  await writeRiff(page, [67, 74, null, null, null, null, null, null]);
  await page.getByLabel("Name of the riff").fill("Ferry bell");
  await page.keyboard.press("Enter");
  await button(page, "Chorus").click();
  const put = async (/** @type {string} */ riff, /** @type {number} */ bar) => {
    await page.locator(`#chorus-lines .bar[data-bar="${bar - 1}"]`).click();
    await button(page, `Put it here: ${riff} in bar ${bar}`).click();
    await page.locator("#chorus-lines button[data-band]", { hasText: riff }).waitFor();
  };
  await put("Porch light", 1);
  await put("Ferry bell", 5);
  await page.locator("#chorus-lines button[data-band]", { hasText: "Ferry bell" }).click();
  await page.locator('#chorus-lines [data-band][aria-pressed="true"]').focus();
  for (let step = 0; step < 2; step++) await page.keyboard.press("Shift+ArrowUp");
}

browserTest(
  "a built chorus is practised as it stands, told note by note, and kept",
  { prepare: watchAudio, timed: true },
  async ({ page, site }) => {
    await page.goto(site.address);
    await pageReady(page);
    await buildChorus(page);
    await setTempo(page, BPM);
    await button(page, "Practise it").click();
    await page.getByRole("button", { name: "What you practise: Chorus with Porch light" }).waitFor();
    await choose(page, "Going on", /one time, then stop/);
    await choose(page, "What is in sight", /the form and the notes/);
    // Seven notes on the form, and the first riff to play with the one after it.
    assert.equal(await page.locator("#form .mark").count(), 7);
    assert.match((await page.locator("#to-play").textContent()) ?? "", /Porch light · bar 1 then Ferry bell, .*bar 5/);
    assert.deepEqual(await accessibilityFindings(page), []);

    const codes = new Map(
      await page
        .locator("#keyboard .key")
        .evaluateAll((keys) =>
          keys.map((key) => [Number(key.getAttribute("data-midi")), key.getAttribute("data-code") ?? ""]),
        ),
    );
    const toEpoch = await audioToEpoch(page);
    const before = await soundsAsked(page);
    await button(page, "Start practising").focus();
    await page.keyboard.press("Enter");
    const barOne = (await firstSound(page, before)) + 4 * BEAT;
    const played = pressKeys(
      page,
      WOVEN.map(({ beat, midi }, index) => {
        const code = codes.get(midi) ?? "";
        return { at: toEpoch(barOne + beat * BEAT) + (SCRIPTED[index] ?? 0), code, key: code.slice(-1).toLowerCase() };
      }),
    );
    // What comes next is in sight before it comes.
    await page.locator('#form .bar.now[data-bar="3"]').waitFor();
    assert.match((await page.locator("#to-play b").first().textContent()) ?? "", /^Ferry bell/);
    await played;
    await button(page, "Start practising").waitFor();

    await page.getByRole("heading", { name: "That time through" }).waitFor();
    await page.locator("#after summary", { hasText: "Show the numbers" }).click();
    await page.getByText("Note by note, as a table").click();
    const rows = await page
      .locator("#after tbody tr")
      .evaluateAll((all) => all.map((row) => [...row.children].map((cell) => cell.textContent ?? "")));
    assert.deepEqual(
      rows.map(([place, asked, heard]) => [place, asked, heard]),
      [
        ["bar 1, beat 1 and", "D", "D"],
        ["bar 1, beat 2", "E", "E"],
        ["bar 1, beat 3 and", "B♭", "B♭"],
        ["bar 1, beat 4", "B", "B"],
        ["bar 2, beat 1 and", "G", "G"],
        ["bar 5, beat 1", "A", "A"],
        ["bar 5, beat 1 and", "E", "E"],
      ],
    );
    const told = rows.map(([, , , text = ""]) => (text.endsWith("early") ? -1 : 1) * Number.parseInt(text, 10));
    // The device's own delay is not known here: the same for all, so differences count.
    const common = (told[0] ?? 0) - (SCRIPTED[0] ?? 0);
    assert.ok(
      told.every((ms, index) => Math.abs(ms - common - (SCRIPTED[index] ?? 0)) <= 4),
      JSON.stringify([told, SCRIPTED]),
    );

    // It is in the notebook after a reload, with a look back.
    await saved(page);
    await page.reload();
    await pageReady(page);
    await button(page, "Notebook").click();
    const card = page.locator("#choruses .card", { hasText: "Chorus with Porch light" });
    assert.match((await card.textContent()) ?? "", /Started\. Play it from memory over the whole form on another day/);
    await card.getByRole("button", { name: "Look back" }).click();
    await page.getByRole("heading", { name: "Looking back at Chorus with Porch light" }).waitFor();
    assert.equal(await page.locator(".look-back tbody tr").count(), 1);
  },
);
