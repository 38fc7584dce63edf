// The band while it plays: every setting changed by hand, parts that come and go, levels, and the panel itself.
import assert from "node:assert/strict";
import { assertSteps, BEAT, choose, now, onsets, openPanel, panel, prepare, TOLERANCE } from "./band-page.mjs";
import { accessibilityFindings, browserTest, pageReady, slowComputer } from "./lib.mjs";
import { button, setTempo } from "./riff-page.mjs";
import { lateStarts, recording, tap } from "./tap.mjs";

const FASTER = 200;

/** What is asked of the sources between two moments of the context's clock. */
const between = (/** @type {any[]} */ asked, /** @type {number} */ from, /** @type {number} */ to) =>
  asked.filter(({ at }) => at >= from && at < to);

browserTest(
  "every setting is changed while the click plays, and no click is lost, doubled or moved",
  { prepare: tap, timed: true },
  async ({ page, site, t }) => {
    await page.goto(site.address);
    await prepare(page, ["click"]);
    const settings = await panel(page)
      .locator("select[data-what]")
      .evaluateAll((selects) =>
        /** @type {HTMLSelectElement[]} */ (selects).map((select) => ({
          what: select.dataset.what ?? "",
          values: [...select.options].map((option) => option.value),
        })),
      );
    await button(page, "Play with the band").click();
    await openPanel(page);
    // What the click counts, and where it is silent, would be heard: those have a test in the core.
    const silent = settings.filter(
      ({ what }) => !["click", "silent-bars", "silent-after", "click-voice", "times"].includes(what),
    );
    assert.ok(silent.length >= 10, "the panel has lost its settings");
    let changes = 0;
    for (const { what, values } of silent) {
      for (const value of values.slice(-2)) {
        await choose(page, what, value);
        changes += 1;
        await page.waitForTimeout(170);
      }
    }
    await page.keyboard.press("Escape");
    await page.getByRole("button", { name: /^Key:/ }).click();
    await page.getByRole("group", { name: "Key" }).locator('[data-value="Bb"]').click();
    await page.getByRole("button", { name: /^Form:/ }).click();
    await page.getByRole("group", { name: "Form" }).locator('[data-value="8-bar"]').click();
    await page.getByRole("button", { name: /^Feel:/ }).click();
    await page.getByRole("group", { name: "Feel" }).locator('[data-value="straight"]').click();
    await page.waitForTimeout(1500);
    const steady = await now(page);
    await setTempo(page, FASTER);
    await page.waitForTimeout(2500);
    const heard = await recording(page);
    const times = onsets(heard);
    assertSteps(
      times.filter((time) => time < steady),
      [BEAT],
    );
    // A new tempo is taken up at a beat.
    assertSteps(times, [BEAT, 60 / FASTER]);
    assert.ok(times.length > (times[times.length - 1] - times[0]) / BEAT, "clicks are missing");
    assert.deepEqual(lateStarts(heard.asked, 0.005), [], "asked for too late");
    t.diagnostic(`${changes + 4} changes, ${times.length} clicks`);
  },
);

browserTest(
  "on a slow computer every voice and style is tried while all play, and nothing is asked for too late",
  { prepare: tap, timed: true },
  async ({ page, site, t }) => {
    await page.goto(site.address);
    await prepare(page, ["solo", "comp", "bass", "drums", "click"]);
    const rate = await slowComputer(page, 6);
    await button(page, "Play with the band").click();
    await openPanel(page);
    // How long this page takes to be told of an edit is learnt from the first one (`Planner::cut_no_sooner`).
    await choose(page, "solo-voice", "organ");
    await page.waitForTimeout(500);
    const learnt = await now(page);
    let changes = 0;
    for (const what of ["solo-voice", "comp-voice", "drums", "comp", "bass"]) {
      const values = await panel(page)
        .locator(`select[data-what="${what}"] option`)
        .evaluateAll((options) => /** @type {HTMLOptionElement[]} */ (options).map((option) => option.value));
      for (const value of values) {
        await choose(page, what, value);
        changes += 1;
      }
    }
    await page.waitForTimeout(1500);
    const asked = (await recording(page)).asked.filter(({ at }) => at >= learnt);
    assert.ok(asked.filter(({ what }) => what === "start").length > 100, "hardly anything was played");
    assert.deepEqual(lateStarts(asked, 0.005), [], "asked for too late");
    t.diagnostic(`${changes} changes, ${rate.toFixed(1)} times slower`);
  },
);

browserTest(
  "a part that is switched off is silent and comes back on the beat; a level glides and plans nothing anew",
  { prepare: tap, timed: true },
  async ({ page, site, t }) => {
    await page.goto(site.address);
    await prepare(page, ["click"]);
    await button(page, "Play with the band").click();
    await openPanel(page);
    await page.waitForTimeout(1000 * (4 + 4.5) * BEAT);
    const click = panel(page).getByRole("switch", { name: "click" });
    const off = await now(page);
    await click.click();
    await page.waitForTimeout(1500);
    const on = await now(page);
    await click.click();
    await page.waitForTimeout(1000 * 9 * BEAT);
    const times = onsets(await recording(page));
    // A held organ, the same bar again and again: peaks of a click alone would meet the guard.
    await page.keyboard.press("Escape");
    await page.locator('.bar[data-bar="0"]').click({ modifiers: ["Shift"] });
    await openPanel(page);
    for (const [what, value] of [
      ["comp", "sustained"],
      ["comp-voice", "organ"],
      ["busyness", "sparse"],
    ])
      await choose(page, what ?? "", value ?? "");
    await panel(page).getByRole("switch", { name: "chords" }).click();
    await click.click();
    await page.waitForTimeout(1000 * 12 * BEAT);
    const softer = await now(page);
    await panel(page).locator('input[data-part="comp"]').fill("-12");
    const changed = await now(page);
    await page.waitForTimeout(1000 * 6 * BEAT);
    const heard = await recording(page);
    const level = (/** @type {number} */ from, /** @type {number} */ to) => {
      const [first, last] = [from, to].map((time) => Math.round(time * heard.sampleRate) - heard.firstFrame);
      return heard.mono.subarray(first, last).reduce((most, value) => Math.max(most, Math.abs(value)), 0);
    };
    assert.ok(level(off + BEAT + 0.3, on) < 1e-4, "it is still heard");
    // It comes back in its place: all clicks lie on one grid.
    const grid = times.map((time) => (time - times[0]) / BEAT);
    assert.ok(
      grid.every((beat) => Math.abs(beat - Math.round(beat)) * BEAT <= TOLERANCE),
      grid.map((beat) => beat.toFixed(3)).join(" "),
    );
    assert.ok(times.filter((time) => time > on + BEAT).length >= 7, "it did not come back");
    // By its power over a bar: each take is tuned by a cent or two another way, so its peaks meet elsewhere.
    const power = (/** @type {number} */ from) => {
      const first = Math.round(from * heard.sampleRate) - heard.firstFrame;
      const bar = heard.mono.subarray(first, first + Math.round(4 * BEAT * heard.sampleRate));
      return bar.reduce((sum, value) => sum + value * value, 0);
    };
    const change = 10 * Math.log10(power(changed + 0.3) / power(softer - 4 * BEAT));
    t.diagnostic(`12 decibels softer is heard as ${change.toFixed(2)} dB`);
    // Held chords are struck at a velocity of 60 and up to 4 more or less: 40·log10(64/56) = 2.3 dB between two bars.
    assert.ok(Math.abs(change + 12) < 2.3, `12 decibels softer is heard as ${change} dB`);
    const takenBack = between(heard.asked, softer, changed).filter(
      ({ source, what, when, at }) =>
        what === "stop" &&
        when === 0 &&
        heard.asked.some((asked) => asked.source === source && asked.what === "start" && asked.when > at),
    );
    assert.deepEqual(takenBack, [], "notes were taken back for a level");
  },
);

browserTest("the panel is usable by the keyboard and has a name for everything", async ({ page, site }) => {
  await page.goto(site.address);
  await pageReady(page);
  await page.getByRole("button", { name: /^Who plays:/ }).focus();
  await page.keyboard.press("Enter");
  await panel(page).getByRole("switch").first().waitFor();
  assert.equal(await page.evaluate(() => document.activeElement?.getAttribute("role")), "switch");
  for (let presses = 0; presses < 2; presses++) await page.keyboard.press("Tab");
  const level = panel(page).getByRole("combobox", { name: "How loud: your riff" });
  assert.ok(await level.evaluate((select) => select === document.activeElement), "Tab does not come to the level");
  await level.selectOption("soft");
  await panel(page).locator("summary").focus();
  await page.keyboard.press("Enter");
  const exact = panel(page).locator('input[data-part="solo"]');
  assert.equal(await exact.getAttribute("aria-valuetext"), "8 decibels softer");
  await exact.focus();
  await page.keyboard.press("ArrowLeft");
  assert.equal(await exact.getAttribute("aria-valuetext"), "9 decibels softer");
  assert.deepEqual(await accessibilityFindings(page), []);
  for (const size of [
    { width: 1366, height: 620 },
    { width: 390, height: 844 },
    { width: 320, height: 568 },
  ]) {
    await page.setViewportSize(size);
    if (await panel(page).isHidden()) {
      await page.locator("#brief").click();
      await openPanel(page);
    }
    const box = await panel(page).boundingBox();
    const inside =
      box && box.x >= 0 && box.y >= 0 && box.x + box.width <= size.width && box.y + box.height <= size.height;
    assert.ok(inside, `${size.width} wide: ${JSON.stringify(box)}`);
    const fits = await panel(page).evaluate((element) => element.scrollWidth <= element.clientWidth);
    assert.ok(fits, `${size.width} wide: it scrolls sideways`);
  }
  await page.keyboard.press("Escape");
  assert.ok(await panel(page).isHidden());
});
