// What a player is told about time, against a scripted player whose offsets are known, on a slow device.
import assert from "node:assert/strict";
import { browserTest, pageReady, slowComputer } from "./lib.mjs";
import { PORCH_LIGHT, audioToEpoch, choose, firstSound, pressKeys, soundsAsked, watchAudio } from "./practice-page.mjs";
import { button, setTempo } from "./riff-page.mjs";

const BPM = 160;
const BEAT = 60 / BPM;
/** How late every press of this player arrives, in milliseconds: the device's delay less the player's own lead. */
const ALWAYS_LATE = 65;
/** Scripted offsets in milliseconds, one a note: a fixed list that repeats after 11, from 25 early to 30 late. */
const SCRIPTED = [12, -25, 4, 30, -8, 17, -14, 0, 22, -19, 7];

browserTest(
  "over a whole chorus on a device six times slower, each note’s offset is told to within four milliseconds",
  { prepare: watchAudio, timed: true },
  async ({ page, site, t }) => {
    await page.goto(site.address);
    await pageReady(page);
    await button(page, "hear a riff: Porch light").click();
    await setTempo(page, BPM);
    await button(page, "Practice").click();
    await choose(page, "Going on", /one time, then stop/);
    await slowComputer(page, 6);
    const toEpoch = await audioToEpoch(page);

    let before = await soundsAsked(page);
    await button(page, "Tap along").click();
    const click = await firstSound(page, before);
    const taps = Array.from({ length: 16 }, (_, tap) => tap + 4);
    await pressKeys(
      page,
      taps.map((tap) => ({
        at: toEpoch(click + 0.6 * tap) + ALWAYS_LATE + (tap % 2 ? 3 : -3),
        code: "Space",
        key: " ",
      })),
    );
    await page.locator("#after .delay").getByText("Early and late are compared with how you tapped.").waitFor();

    const codes = new Map(
      await page
        .locator("#keyboard .key")
        .evaluateAll((keys) =>
          keys.map((key) => [Number(key.getAttribute("data-midi")), key.getAttribute("data-code") ?? ""]),
        ),
    );
    before = await soundsAsked(page);
    await button(page, "Start practising").focus();
    await page.keyboard.press("Enter");
    const barOne = (await firstSound(page, before)) + 4 * BEAT;
    const notes = [0, 1, 2, 3, 4, 5].flatMap((time) =>
      PORCH_LIGHT.onsets.map((onset, index) => ({
        beat: onset + PORCH_LIGHT.every * time,
        midi: PORCH_LIGHT.midi[index] ?? 0,
      })),
    );
    const scripted = notes.map((_, index) => SCRIPTED[index % SCRIPTED.length] ?? 0);
    await pressKeys(
      page,
      notes.map(({ beat, midi }, index) => {
        const code = codes.get(midi) ?? "";
        return {
          at: toEpoch(barOne + beat * BEAT) + ALWAYS_LATE + (scripted[index] ?? 0),
          code,
          key: code.slice(-1).toLowerCase(),
        };
      }),
    );
    await button(page, "Start practising").waitFor();

    await page.locator("#after summary").first().click();
    await page.getByText("Note by note, as a table").click();
    const rows = await page
      .locator("#after tbody tr")
      .evaluateAll((all) => all.map((row) => [...row.children].map((cell) => cell.textContent ?? "")));
    assert.equal(rows.length, 30, JSON.stringify(rows));
    const told = rows.map(([, , , text = ""]) => (text.endsWith("early") ? -1 : 1) * Number.parseInt(text, 10));
    const wrong = told.map((ms, index) => Math.abs(ms - (scripted[index] ?? 0)));
    t.diagnostic(
      `${told.length} offsets, worst ${Math.max(...wrong)} ms, mean ${(wrong.reduce((a, b) => a + b) / wrong.length).toFixed(2)} ms`,
    );
    assert.ok(
      wrong.every((ms) => ms <= 4),
      JSON.stringify(told.map((ms, index) => [ms, scripted[index]])),
    );

    // Heard again, it sounds as it was played: the first bars of it are asked for at those times.
    before = await soundsAsked(page);
    await button(page, "Hear yourself").click();
    const again = await firstSound(page, before);
    const sounds = await page.waitForFunction((count) => {
      const starts = /** @type {any} */ (globalThis).starts.slice(count);
      return starts.length >= 40 ? starts : undefined;
    }, before);
    const starts = /** @type {number[]} */ (await sounds.jsonValue());
    for (const [index, { beat }] of notes.slice(0, 10).entries()) {
      const wanted = again + beat * BEAT + (scripted[index] ?? 0) / 1000;
      const nearest = Math.min(...starts.map((start) => Math.abs(start - wanted)));
      assert.ok(nearest <= 0.004, `note ${index} sounds ${nearest} s away from where it was played`);
    }
    await page.keyboard.press("Escape");
    // What tapping along found is known to this browser from now on.
    await page.reload();
    await pageReady(page);
    await button(page, "Practice").click();
    await page.locator("#after .delay").getByText("Early and late are compared with how you tapped.").waitFor();
  },
);
