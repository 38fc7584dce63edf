// The main job on the Riff screen, by hand: write a riff, hear it over the form, pass it on, find it again.
import assert from "node:assert/strict";
import {
  accessibilityFindings,
  browserTest,
  keptOffline,
  openProfile,
  pageReady,
  slowTimers,
  stallMainThread,
  withoutRoom,
} from "./lib.mjs";
import { matchOnsets, pitchAt, startsAfterSilence } from "./onsets.mjs";
import {
  button,
  key,
  notesOnStrip,
  playPlain,
  RESTED,
  saved,
  setBand,
  setTempo,
  tabTo,
  writeRiff,
  takeLink,
} from "./riff-page.mjs";
import { lateStarts, recording, tap, tapReady } from "./tap.mjs";

const TEMPO = 200;
const BEAT = 60 / TEMPO;
/** Starts must be asked for at least this far ahead, in seconds. */
const MARGIN = 0.005;
/** How far an onset may lie from where the score has it, in seconds. */
const TOLERANCE = 0.003;

const WRITTEN = [
  "G 4, bar 1, beat 1,",
  "B flat 4, bar 1, beat 2,",
  "C 5, bar 1, beat 3 and,",
  "D 4, bar 2, beat 1,",
  "F 4, bar 2, beat 2 and,",
  "B 4, bar 2, beat 4,",
];

/** Records the page, without the room. */
async function listen(/** @type {import("playwright-core").BrowserContext} */ context) {
  await tap(context);
  await withoutRoom(context);
}

/** Writes the riff, sets the tempo and leaves the riff alone to sound. */
async function prepare(/** @type {import("playwright-core").Page} */ page) {
  await pageReady(page);
  await writeRiff(page, RESTED.steps);
  const notes = await notesOnStrip(page);
  assert.deepEqual(
    notes.map((note, index) => note?.startsWith(WRITTEN[index])),
    WRITTEN.map(() => true),
    notes.join("\n"),
  );
  await setTempo(page, TEMPO);
  await setBand(page, ["solo"]);
  await playPlain(page);
  await tapReady(page);
}

/**
 * Starts playing by `press`, listens for the count-in and `bars` bars, and holds what was heard to the score.
 * @param {import("playwright-core").Page} page
 * @param {number} bars
 * @param {() => Promise<void>} [press]
 */
async function playAndCompare(page, bars, press = () => button(page, "Play with the band").click()) {
  const before = (await recording(page)).asked.length;
  await press();
  const seconds = (4 + 4 * bars) * BEAT;
  await page.waitForTimeout(1000 * (seconds + 0.8));
  const heard = await recording(page);
  const asked = heard.asked.slice(before);
  assert.equal(heard.lost, 0);
  assert.deepEqual(lateStarts(asked, MARGIN), [], "asked for too late");

  // One voice and no edits: two starts at one time are one note twice.
  const starts = asked.filter(({ what }) => what === "start").map(({ when }) => when);
  assert.equal(new Set(starts).size, starts.length, "asked for twice");
  // The count-in of one bar sounds first; bar 1 lies four beats after it.
  const countIn = Math.min(...starts);
  const barOne = countIn + 4 * BEAT;
  const expected = Array.from({ length: bars / 2 }, (_, time) =>
    RESTED.onsets.map((beat) => barOne + (8 * time + beat) * BEAT),
  ).flat();
  const frames = startsAfterSilence(heard.mono, heard.sampleRate);
  const found = frames
    .map((frame) => (heard.firstFrame + frame) / heard.sampleRate)
    .filter((time) => time > barOne - BEAT / 2 && time < barOne + (4 * bars - 0.5) * BEAT);
  const match = matchOnsets(expected, found);
  assert.deepEqual({ missed: match.missed, extra: match.extra }, { missed: [], extra: [] });
  assert.ok(Math.abs(match.offset) <= 0.02, `all of it lies ${match.offset} s off`);
  assert.ok(match.worst <= TOLERANCE, `the worst onset lies ${match.worst} s off`);

  const pitches = found.map((time) => {
    const start = Math.round((time + 0.01) * heard.sampleRate) - heard.firstFrame;
    return Math.round(pitchAt(heard.mono, heard.sampleRate, start, 0.07) ?? NaN);
  });
  assert.deepEqual(pitches, Array.from({ length: bars / 2 }, () => RESTED.midi).flat());
  return { ...match, asked };
}

browserTest(
  "a riff written by hand sounds where the score says, over twelve bars at 200",
  { prepare: listen, timed: true },
  async ({ page, site, t }) => {
    await page.goto(site.address);
    await prepare(page);
    const { worst, offset, pairs } = await playAndCompare(page, 12);
    t.diagnostic(
      `${pairs.length} onsets, worst ${(worst * 1000).toFixed(2)} ms, offset ${(offset * 1000).toFixed(2)} ms`,
    );
  },
);

browserTest(
  "nothing is late, lost or doubled with the main thread blocked for one second in three",
  { prepare: listen, timed: true },
  async ({ page, site }) => {
    await page.goto(site.address);
    await prepare(page);
    await playAndCompare(page, 12, async () => {
      await button(page, "Play with the band").click();
      await stallMainThread(page, { busy: 1000, period: 3000 });
    });
  },
);

/** As in a hidden tab, where timers come once a second. */
async function oncePerSecond(/** @type {import("playwright-core").BrowserContext} */ context) {
  await listen(context);
  await slowTimers(context, 1000);
}
browserTest(
  "nothing is late, lost or doubled with a tick a second",
  { prepare: oncePerSecond, timed: true },
  async ({ page, site }) => {
    await page.goto(site.address);
    await prepare(page);
    const { asked } = await playAndCompare(page, 12);
    const moments = [...new Set(asked.map(({ at }) => at))].sort((a, b) => a - b);
    const waits = moments.slice(1).map((at, index) => at - moments[index]);
    assert.ok(waits.filter((wait) => wait > 0.9).length >= 10, "the ticks were not slow");
  },
);

browserTest("written and played by the keyboard alone", { prepare: listen, timed: true }, async ({ page, site }) => {
  await page.goto(site.address);
  await pageReady(page);
  // Every key has a letter then.
  await tabTo(page, /^Notes to use:/);
  await page.keyboard.press("Enter");
  await tabTo(page, /^all notes/);
  await page.keyboard.press("Enter");
  await page.keyboard.press("Escape");
  await tabTo(page, "New riff");
  await page.keyboard.press("Enter");
  for (const midi of RESTED.steps) {
    if (midi === null) {
      await tabTo(page, "Rest");
      await page.keyboard.press("Enter");
    } else {
      await tabTo(page, /^[A-G]( flat| sharp)? \d/);
      await page.keyboard.press((await key(page, midi).getAttribute("data-code")) ?? "");
    }
  }
  const notes = await notesOnStrip(page);
  assert.deepEqual(
    notes.map((note, index) => note?.startsWith(WRITTEN[index])),
    WRITTEN.map(() => true),
    notes.join("\n"),
  );

  await tabTo(page, /^Tempo:/);
  await page.keyboard.press("Enter");
  await tabTo(page, "Tempo, in beats a minute");
  for (let bpm = 76; bpm < TEMPO; bpm++) await page.keyboard.press("ArrowRight");
  await page.keyboard.press("Escape");
  for (const part of [/^drums/, /^bass/]) {
    await tabTo(page, /^Who plays:/);
    await page.keyboard.press("Enter");
    await tabTo(page, part);
    await page.keyboard.press("Space");
    await page.keyboard.press("Escape");
  }
  await playPlain(page);
  await tapReady(page);
  await tabTo(page, "Play with the band");
  await playAndCompare(page, 4, () => page.keyboard.press("Enter"));
});

/** The link that "Pass it on" shows. */
async function linkOf(/** @type {import("playwright-core").Page} */ page) {
  await button(page, "Pass it on").click();
  const link = await page.getByRole("textbox", { name: "Link to this riff" }).inputValue();
  await page.keyboard.press("Escape");
  return link;
}

/** How many riffs the notebook holds. */
async function riffsInNotebook(/** @type {import("playwright-core").Page} */ page) {
  await button(page, "Notebook").click();
  // The cards come with their room.
  await page.locator("#notebook .card").first().waitFor();
  const count = await page.locator("#notebook .card").count();
  await button(page, "Riff").click();
  return count;
}

browserTest("an offer to undo goes away with the next change", async ({ page, site }) => {
  await page.goto(site.address);
  await pageReady(page);
  await button(page, "Notebook").click();
  await page.locator("#notebook .cards li").first().getByRole("button", { name: "Duplicate" }).click();
  await page.locator("#notebook .cards li").first().getByRole("button", { name: "Delete" }).click();
  const message = page.locator("#message");
  await message.getByRole("button", { name: "Undo" }).waitFor();
  await page.locator("#steps-back").getByRole("button", { name: "Undo" }).click();
  await message.waitFor({ state: "hidden" });
});

browserTest("no note’s head covers the next one", async ({ page, site }) => {
  await page.goto(site.address);
  await pageReady(page);
  await page.getByRole("button", { name: "hear a riff: Porch light" }).click();
  await page.keyboard.press("Escape");
  for (const [width, height] of /** @type {[number, number][]} */ ([
    [1366, 620],
    [390, 844],
    [320, 568],
  ])) {
    await page.setViewportSize({ width, height });
    const covered = await page.evaluate(() => {
      const heads = [...document.querySelectorAll("#strip .token .shape .body")].map((head) =>
        head.getBoundingClientRect(),
      );
      const wide = (/** @type {DOMRect} */ a, /** @type {DOMRect} */ b) => a.right - b.left > 1;
      const high = (/** @type {DOMRect} */ a, /** @type {DOMRect} */ b) => a.bottom > b.top && b.bottom > a.top;
      return [
        heads.length,
        ...heads.filter((head, place) => heads.slice(place + 1).some((b) => wide(head, b) && high(head, b))),
      ];
    });
    assert.deepEqual(covered, [5], `${width} × ${height}`);
  }
});

browserTest("a link opens the same riff in another browser, beside what is there", async ({ t, page, site }) => {
  await page.goto(site.address);
  await writeRiff(page, RESTED.steps);
  await button(page, "Accent").click();
  const link = await linkOf(page);
  assert.ok(link.length - link.indexOf("#") - 1 <= 120, `${link} is long`);
  const written = await notesOnStrip(page);

  const other = await openProfile(site.address);
  t.after(() => other.context.close());
  await other.page.goto(site.address);
  await pageReady(other.page);
  const before = await riffsInNotebook(other.page);
  await other.page.goto("about:blank");
  await other.page.goto(link);
  await pageReady(other.page);
  // Nothing is added before it was seen, and wanted.
  const seen = other.page.locator("dialog.link-seen");
  await seen.getByText("Your own riffs stay as they are.").waitFor();
  assert.deepEqual(await accessibilityFindings(other.page, { part: "dialog.link-seen" }), []);
  await seen.getByRole("button", { name: "Not now" }).click();
  assert.equal(await riffsInNotebook(other.page), before);
  await button(other.page, "Pass it on").click();
  await other.page.getByLabel("Got a link? Paste it here").fill(link);
  await button(other.page, "Open").click();
  await takeLink(other.page);
  // A link is read by a room that comes after the first key can be played.
  await other.page.locator(`#strip [aria-label="${written[0]}"]`).waitFor();
  assert.deepEqual(await notesOnStrip(other.page), written);
  assert.equal(await riffsInNotebook(other.page), before + 1);
  assert.deepEqual(other.problems.unexpected, []);
});

browserTest("a damaged link says so and harms nothing", async ({ page, site }) => {
  await page.goto(site.address);
  await writeRiff(page, RESTED.steps);
  const link = await linkOf(page);
  const text = link.slice(link.indexOf("#") + 1);
  const written = await notesOnStrip(page);
  const riffs = await riffsInNotebook(page);
  const changed = text.at(10) === "x" ? "y" : "x";
  const damaged = [
    text.slice(0, -3),
    text.slice(0, 10) + changed + text.slice(11),
    "a-picture-of-a-cat",
    text.repeat(500),
    "<b>&amp;%%%",
  ];
  for (const each of damaged) {
    await button(page, "Pass it on").click();
    await page.getByRole("textbox", { name: /^Got a link/ }).fill(`#${each}`);
    await button(page, "Open").click();
    const message = page.locator("#message");
    await message.getByText(/link/i).waitFor();
    await page.keyboard.press("Escape");
    await message.getByRole("button", { name: "Close" }).click();
    assert.deepEqual(await notesOnStrip(page), written);
  }
  assert.equal(await riffsInNotebook(page), riffs);
});

browserTest("what was written is there after a reload, and after the tab crashed", async ({ context, page, site }) => {
  await page.goto(site.address);
  await writeRiff(page, RESTED.steps);
  const written = await notesOnStrip(page);
  await saved(page);
  await page.reload();
  await pageReady(page);
  assert.deepEqual(await notesOnStrip(page), written);
  const crashed = page.waitForEvent("crash");
  await page.goto("chrome://crash").catch(() => {});
  await crashed;
  const again = await context.newPage();
  await again.goto(site.address);
  await pageReady(again);
  assert.deepEqual(await notesOnStrip(again), written);
});

browserTest(
  "with the server stopped the page plays and saves",
  { prepare: listen, timed: true },
  async ({ page, site, problems }) => {
    await page.goto(site.address);
    await keptOffline(page);
    await button(page, "Play with the band").click();
    await tapReady(page);
    await site.stop();
    problems.expect(/ERR_CONNECTION_REFUSED|ERR_FAILED/);

    await page.reload();
    await prepare(page);
    await playAndCompare(page, 2);
    const written = await notesOnStrip(page);
    await saved(page);
    await page.reload();
    await pageReady(page);
    assert.deepEqual(await notesOnStrip(page), written);
  },
);

for (const colorScheme of /** @type {const} */ (["light", "dark"])) {
  browserTest(
    `axe-core finds nothing in the main states, ${colorScheme}`,
    { context: { colorScheme } },
    async ({ page, site }) => {
      await page.goto(site.address);
      await pageReady(page);
      /** @type {[string, () => Promise<void>][]} */
      const states = [
        ["first visit", async () => {}],
        [
          "words unfolded",
          async () => {
            // A fold within a fold is seen when the outer one is open; without more sentences, "More" is not there.
            for (const summary of await page.locator("#words summary").all()) {
              if (await summary.isVisible()) await summary.click();
            }
          },
        ],
        ["form panel", () => page.getByRole("button", { name: /^Form:/ }).click()],
        ["tempo panel", () => page.getByRole("button", { name: /^Tempo:/ }).click()],
        ["band panel", () => page.getByRole("button", { name: /^Who plays:/ }).click()],
        ["pass it on", () => button(page, "Pass it on").click()],
        ["help", () => button(page, "Help").click()],
        [
          "playing",
          async () => {
            await page.keyboard.press("Escape");
            await button(page, "Play with the band").click();
          },
        ],
        ["notebook", () => button(page, "Notebook").click()],
        ["just play", () => button(page, "Just play").click()],
        [
          "an empty riff",
          async () => {
            await button(page, "Riff").click();
            await button(page, "New riff").click();
          },
        ],
      ];
      for (const [name, reach] of states) {
        await reach();
        assert.deepEqual(await accessibilityFindings(page), [], name);
      }
    },
  );
}
