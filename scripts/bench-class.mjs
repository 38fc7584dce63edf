// See scripts/bench. A lesson in a real browser: from the teacher's link to twenty-five learners, each in a profile of their
// own, and back to a board that plays in turn, a table and paper; from the served page and from the one file, offline. Fails
// where an answer is missing, where a turn does not begin when the one before ends, or where the page has a problem.
import assert from "node:assert/strict";
import { copyFileSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import { extractText, getDocumentProxy } from "unpdf";
import { choose, openPanel, panel } from "../tests/browser/band-page.mjs";
import { launch, openSite } from "../tests/browser/chromium.mjs";
import { watchTurns } from "../tests/browser/class-page.mjs";
import { downloaded, pageReady } from "../tests/browser/page.mjs";
import { saved, setTempo } from "../tests/browser/riff-page.mjs";
import { watchStarts } from "../tests/browser/stalls.mjs";

/** @typedef {import("playwright-core").Page} Page */
/** @typedef {import("playwright-core").Browser} Browser */

const LEARNERS = Number(process.argv[2] ?? 25);
/** Quarters a minute; a beat in seconds. */
const TEMPO = 240;
const BEAT = 60 / TEMPO;
/** How far a sound may be from the beat on which it is due, in seconds: a frame at 44.1 kHz, and what numbers lose. */
const FRAME = 0.0001;

const browser = await launch();
const site = await openSite();
await lesson("served", site.address, false);
await site.stop();
const stick = mkdtempSync(join(tmpdir(), "riffloom-"));
const file = join(stick, "riffloom.html");
copyFileSync(fileURLToPath(new URL("../dist/riffloom.html", import.meta.url)), file);
await lesson("one file, offline", String(pathToFileURL(file)), true);
rmSync(stick, { recursive: true });
await browser.close();

/** A profile of its own. @param {boolean} offline */
async function profile(offline) {
  const context = await browser.newContext({ viewport: { width: 1366, height: 768 }, offline });
  const page = await context.newPage();
  page.setDefaultTimeout(60_000);
  page.on("pageerror", (error) => assert.fail(error));
  return { context, page };
}

/** @param {string} edition @param {string} address @param {boolean} offline */
async function lesson(edition, address, offline) {
  const began = performance.now();
  const { context, page } = await profile(offline);
  await watchStarts(context);
  await page.goto(address);
  await pageReady(page);
  await setTempo(page, TEMPO);
  // People are a little early and late: here the gap between turns is what counts.
  await openPanel(page);
  await panel(page).locator("summary").click();
  await choose(page, "timing", "exact");
  await page.keyboard.press("Escape");
  let taps = 0;
  const named = (/** @type {string} */ name) => page.getByRole("button", { name, exact: true }).first();
  const tap = async (/** @type {import("playwright-core").Locator} */ what) => {
    taps += 1;
    await what.click();
  };
  await tap(named("Pass it on"));
  await tap(named("For a class…"));
  await tap(named("Make a lesson"));
  await page.getByLabel("Title", { exact: true }).fill("Leave room");
  await tap(named("Make the link"));
  await page.getByText("The lesson is ready.").waitFor();
  const link = await page.locator(".class-room:not(.hand-in) .made .address").inputValue();
  const made = taps;

  const answers = [];
  for (let seat = 1; seat <= LEARNERS; seat += 1) {
    const opened = offline ? link.replace(/^[^#]*/, address) : link;
    answers.push(await learner(opened, `Seat ${seat}`, offline, seat));
  }
  const learnt = performance.now();

  await tap(page.getByLabel("Paste answers here"));
  await page.getByLabel("Paste answers here").fill(answers.join("\n"));
  await tap(named("Put on the board"));
  await page.getByText(`${LEARNERS} answers came in.`).waitFor();
  const names = await page.locator(".wall .answer .open b").allTextContents();
  assert.deepEqual(
    names,
    answers.map((_, place) => `Seat ${place + 1}`),
  );
  const gathered = taps;

  await watchTurns(page);
  const before = await page.evaluate(() => /** @type {any} */ (globalThis).__watch__.when.length);
  await tap(named("Play in turn"));
  await page.waitForFunction((count) => /** @type {any} */ (window).seen.length === count, LEARNERS, {
    timeout: 180_000,
  });
  await page.locator("body:not(.playing)").waitFor({ timeout: 60_000 });
  assert.deepEqual(await page.evaluate(() => /** @type {any} */ (window).seen), names, "each in turn, none left out");
  const { turns, furthest, longest } = beats(await page.evaluate(startsFrom, before));
  assert.ok(turns >= LEARNERS, `${turns} turns were heard`);
  assert.ok(furthest <= FRAME, `a turn began ${furthest} s beside its time`);
  assert.ok(longest <= BEAT + FRAME, `nothing began for ${longest} s`);

  const [table] = await Promise.all([page.waitForEvent("download"), tap(named("Save as a table"))]);
  const lines = (await downloaded(table)).toString("utf8").trimEnd().split("\r\n");
  assert.equal(lines.length, LEARNERS + 1);
  await page.evaluate(() => (window.print = () => {}));
  await tap(page.locator(".board").getByRole("button", { name: "Print", exact: true }));
  const pdf = await getDocumentProxy(new Uint8Array(await page.pdf({ format: "A4" })));
  const { totalPages, text } = await extractText(pdf, { mergePages: true });
  const onPaper = names.filter((name) => new RegExp(`${name}(?!\\d)`).test(text)).length;
  assert.equal(onPaper, LEARNERS);
  await context.close();
  const seconds = (/** @type {number} */ from, /** @type {number} */ to) => ((to - from) / 1000).toFixed(0);
  console.log(`${edition}: ${LEARNERS} learners`);
  console.log(`  the lesson's link                    ${link.length} characters, ${made} taps and a title`);
  console.log(`  an answer's link, the longest        ${Math.max(...answers.map((each) => each.length))} characters`);
  console.log(`  answers taken                        ${names.length}, ${gathered - made} taps more and a paste`);
  console.log(`  played in turn                       ${turns} turns of two bars, 1 tap`);
  console.log(`  gap between turns                    ${(furthest * 1000).toFixed(3)} ms at most`);
  console.log(`  longest time in which nothing began  ${longest.toFixed(4)} s (a beat is ${BEAT} s)`);
  console.log(`  the table (CSV)                      ${lines.length - 1} rows and a head, 1 tap`);
  console.log(`  on paper                             ${onPaper} names, ${totalPages} pages, 1 tap`);
  console.log(`  the teacher's taps in all            ${taps}`);
  console.log(
    `  time                                 learners ${seconds(began, learnt)} s, all ${seconds(began, performance.now())} s`,
  );
}

/**
 * A learner takes up the lesson, changes the model as far as the seat says, and hands in; gives the link.
 * @param {string} link
 * @param {string} who
 * @param {boolean} offline
 * @param {number} seat
 */
async function learner(link, who, offline, seat) {
  const { context, page } = await profile(offline);
  await page.goto(link);
  await pageReady(page);
  await page.getByRole("button", { name: "Begin this lesson" }).click();
  const lesson = page.getByRole("region", { name: "Lesson", exact: true });
  await lesson.getByRole("button", { name: "Change one thing" }).click();
  const tokens = page.locator("#strip .token");
  await tokens.nth(seat % (await tokens.count())).click();
  await page.keyboard.press(["Delete", "ArrowUp", "ArrowDown"][seat % 3] ?? "Delete");
  const next = lesson.getByRole("button", { name: "Next step" });
  while (await next.isVisible()) await next.click();
  await lesson.getByRole("button", { name: "Hand in…" }).click();
  const hand = page.getByRole("dialog", { name: "Hand in" });
  await hand.getByLabel("Seat number or a made-up name").fill(who);
  await hand.getByRole("button", { name: "Make my answer" }).click();
  const made = await hand.locator(".address").inputValue();
  await page.keyboard.press("Escape");
  await saved(page);
  await context.close();
  return made;
}

/** When what was started since then sounds; what was taken back does not. In the page. @param {number} from */
function startsFrom(from) {
  const { when, stopped } = /** @type {{ when: number[], stopped: number[] }} */ (
    /** @type {any} */ (globalThis).__watch__
  );
  return when.slice(from).filter((start, place) => (stopped[from + place] ?? Infinity) > start);
}

/**
 * What was started, against the beats from the first sound on: how many turns of two bars there are, how far the sound
 * nearest to a turn's beginning is from it, and the longest time in which nothing began.
 * @param {number[]} starts in seconds
 */
function beats(starts) {
  const sorted = [...starts].sort((one, other) => one - other);
  const [first, last] = [sorted[0] ?? NaN, sorted.at(-1) ?? NaN];
  const turn = 8 * BEAT;
  const turns = Math.ceil((last - first) / turn);
  let [furthest, longest] = [0, 0];
  for (let each = 0; each < turns; each += 1) {
    const due = first + each * turn;
    furthest = Math.max(furthest, Math.min(...sorted.map((start) => Math.abs(start - due))));
  }
  for (let place = 1; place < sorted.length; place += 1)
    longest = Math.max(longest, (sorted[place] ?? 0) - (sorted[place - 1] ?? 0));
  return { turns, furthest, longest };
}
