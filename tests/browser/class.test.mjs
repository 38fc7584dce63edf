// A lesson from a teacher to three learners and back: one link out, three links in, a wall that plays in turn, a table.
import assert from "node:assert/strict";
import { openClass, watchTurns } from "./class-page.mjs";
import { accessibilityFindings, browserTest, downloaded, openProfile, pageReady } from "./lib.mjs";
import { button, saved, setTempo } from "./riff-page.mjs";

/** @typedef {import("playwright-core").Page} Page */

const SEATS = ["Seat 1", "Otter, “two”", "Seat 3"];

/** @param {Page} page */
async function makeLesson(page) {
  await openClass(page);
  await button(page, "Make a lesson").click();
  await page.getByLabel("Title", { exact: true }).fill("Leave room");
  await page.getByLabel("“I can” statements, one a line").fill("leave two beats free");
  await page.getByLabel("Put it into the form").check();
  await button(page, "Make the link").click();
  await page.getByText("The lesson is ready.").waitFor();
  return page.locator(".class-room:not(.hand-in) .made .address").inputValue();
}

/** While one writes for a lesson, strip and keys are on the screen. @param {Page} page */
async function stripAndKeysInSight(page) {
  const before = page.viewportSize() ?? { width: 1280, height: 720 };
  for (const [width, height] of [
    [1366, 620],
    [390, 844],
    [320, 568],
  ]) {
    await page.setViewportSize({ width: width ?? 0, height: height ?? 0 });
    await page.waitForFunction(() => {
      const box = (/** @type {string} */ part) => document.querySelector(part)?.getBoundingClientRect();
      const [lesson, strip, keys, tabs] = [".lesson:not(.waiting)", "#strip", "#keyboard .keys", ".tabs"].map(box);
      if (!lesson || !strip || !keys || !tabs) return false;
      // On a phone the tabs lie along the foot.
      const foot = tabs.top > innerHeight / 2 ? tabs.top : innerHeight;
      return strip.top >= lesson.bottom && keys.top >= strip.bottom && keys.bottom <= foot;
    });
  }
  await page.setViewportSize(before);
}

/** A lesson that was closed waits where it can be seen. @param {Page} page */
async function waitsInSight(page) {
  await page.keyboard.press("Escape");
  const waits = page.getByRole("region", { name: "Lesson that waits" });
  await waits.getByText("A lesson waits: “Leave room”").waitFor();
  await waits.getByRole("button", { name: "Look at it" }).click();
}

/**
 * From the first step to the last: none praises what nobody has touched, and each change is made on a copy.
 * @param {Page} page
 * @param {import("playwright-core").Locator} lesson
 */
async function changeCopies(page, lesson) {
  const next = lesson.getByRole("button", { name: "Next step" });
  const deleteFirst = async () => {
    await page.locator("#strip .token").first().click();
    await page.keyboard.press("Delete");
  };
  for (let step = 0; step < 3; step++) await next.click();
  await lesson.getByText("Still the model: change one note.").waitFor();
  await stripAndKeysInSight(page);
  await deleteFirst();
  await lesson.getByText("One thing is changed. That is it.").waitFor();
  await lesson.getByRole("button", { name: "Make your own" }).click();
  await lesson.getByText("Still the model: make it yours.").waitFor();
  assert.equal(await lesson.locator(".good, .kept-to").count(), 0, "what is untouched is no tick");
  await deleteFirst();
  await next.click();
  await lesson.getByText("8 of 8 beats").waitFor();
}

/**
 * Takes up the lesson in a profile of its own, and gives the link of the answer.
 * @param {string} site
 * @param {string} link
 * @param {string} who
 */
async function answer(site, link, who) {
  const { page, problems } = await openProfile(site);
  await page.goto(link);
  await pageReady(page);
  const dialog = page.getByRole("dialog", { name: "Class" });
  await dialog.getByRole("heading", { name: "Leave room" }).waitFor();
  assert.match((await page.locator("[data-go=riff]").getAttribute("aria-current")) ?? "", /page/);
  if (who === SEATS[0]) await waitsInSight(page);
  await button(page, "Begin this lesson").and(page.locator(":focus")).waitFor();
  await page.keyboard.press("Enter");
  const lesson = page.getByRole("region", { name: "Lesson", exact: true });
  await lesson.getByText("Press “Hear the model”.").waitFor();
  if (who === SEATS[0]) assert.deepEqual(await accessibilityFindings(page, { part: ".lesson" }), []);
  await saved(page);
  // What was begun is there after a reload.
  await page.reload();
  await pageReady(page);
  await lesson.getByText("Press “Hear the model”.").waitFor();
  if (who === SEATS[0]) await changeCopies(page, lesson);
  else for (let step = 0; step < 5; step++) await lesson.getByRole("button", { name: "Next step" }).click();
  await lesson.getByRole("button", { name: "Hand in…" }).click();
  const hand = page.getByRole("dialog", { name: "Hand in" });
  await hand.getByRole("button", { name: "Make my answer" }).click();
  await hand.getByText("Write your seat number or a made-up name first.").waitFor();
  await hand.getByLabel("Seat number or a made-up name").fill(who);
  await hand.getByLabel("leave two beats free").check();
  await hand.getByRole("button", { name: "Make my answer" }).click();
  const made = await hand.locator(".address").inputValue();
  assert.deepEqual(problems.unexpected, []);
  await page.context().close();
  return made;
}

browserTest(
  "a lesson goes out as a link, answers come back, play in turn and become a table",
  async ({ page, site }) => {
    await page.goto(site.address);
    await pageReady(page);
    await setTempo(page, 240);
    const link = await makeLesson(page);
    assert.ok(link.length < 400, `${link.length} characters`);
    const answers = [];
    for (const who of SEATS) answers.push(await answer(site.address, link, who));
    await page.getByLabel("Paste answers here").fill(answers.join("\n"));
    await button(page, "Put on the board").click();
    await page.getByText("3 answers came in.").waitFor();
    const cards = page.locator(".wall .answer");
    assert.deepEqual(await cards.locator(".open b").allTextContents(), SEATS);
    assert.deepEqual(await accessibilityFindings(page, { part: ".class-room" }), []);

    // Each in its turn, in order, and none left out.
    await watchTurns(page);
    await button(page, "Play in turn").click();
    await page.waitForFunction(() => /** @type {any} */ (window).seen.length === 3);
    assert.deepEqual(await page.evaluate(() => /** @type {any} */ (window).seen), SEATS);
    await page.locator(".class-room").getByRole("button", { name: "Stop" }).click();

    // A card is small until it is opened, which lets it be heard; what is marked stays open.
    assert.equal(await cards.nth(1).getByRole("button", { name: "Room to breathe" }).isVisible(), false);
    await cards.nth(1).locator(".open").click();
    await cards.nth(1).getByRole("button", { name: "Room to breathe" }).click();
    await cards
      .nth(1)
      .getByRole("button", { name: "Room to breathe", pressed: true })
      .and(page.locator(":focus"))
      .waitFor();
    const [download] = await Promise.all([page.waitForEvent("download"), button(page, "Save as a table").click()]);
    assert.equal(download.suggestedFilename(), "Leave room.csv");
    const lines = (await downloaded(download)).toString("utf8").split("\r\n");
    assert.equal(lines.length, 5, "a heading, three answers, the end");
    assert.match(lines[2] ?? "", /^2,"Otter, “two”",Leave room,.*leave two beats free,Room to breathe,/);

    await button(page, "Hide names").click();
    await button(page, "Save as a table, without names and links").waitFor();
    assert.deepEqual(await cards.locator(".open b").allTextContents(), ["Riff 1", "Riff 2", "Riff 3"]);
    await cards.first().locator(".open").click();
    await cards.first().getByRole("button", { name: "Delete" }).click();
    assert.equal(await cards.count(), 2);
    await page.locator(".class-room").getByRole("button", { name: "Undo" }).click();
    assert.equal(await cards.count(), 3);
    await page.locator(".class-room").getByRole("button", { name: "Close" }).first().click();
    await saved(page);
    await page.reload();
    await pageReady(page);
    await openClass(page);
    assert.equal(await cards.count(), 3, "the board is kept");
  },
);

browserTest(
  "a teacher who opens the class sees the job, a full board in one tap, and nothing of it stays",
  async ({ page, site }) => {
    await page.goto(site.address);
    await pageReady(page);
    await openClass(page);
    for (const title of ["1 Make a lesson", "2 Give it out", "3 See and hear what comes back"])
      await page.getByRole("heading", { name: title }).waitFor();
    assert.deepEqual(await accessibilityFindings(page, { part: ".class-room" }), []);
    await button(page, "A plan for forty minutes").click();
    await page
      .getByRole("region", { name: "A lesson of forty minutes" })
      .getByText("Hand in, with a seat number")
      .waitFor();
    await button(page, "Look at a full board first").click();
    const cards = page.locator(".wall .answer");
    assert.equal(await cards.count(), 16);
    await cards.first().locator(".open").click();
    await cards.first().getByRole("button", { name: "Tells a story" }).click();
    await page.getByText("This is only the example").waitFor();
    const undo = page.locator(".class-room").getByRole("button", { name: "Undo", exact: true });
    assert.equal(await undo.isVisible(), false, "nothing to take back");
    await button(page, "Family").click();
    const family = page.getByRole("list", { name: "The family" });
    await family.getByText("from Seat 3").waitFor();
    assert.deepEqual(await accessibilityFindings(page, { part: ".class-room" }), []);
    await button(page, "Put the example away").click();
    await page.getByRole("heading", { name: "1 Make a lesson" }).waitFor();
    await page.reload();
    await pageReady(page);
    await openClass(page);
    await page.getByRole("heading", { name: "1 Make a lesson" }).waitFor();
  },
);

browserTest("a riff goes from seat to seat on one laptop, and plays through as a family", async ({ page, site }) => {
  await page.goto(site.address);
  await pageReady(page);
  await setTempo(page, 240);
  await makeLesson(page);
  await page.locator(".class-room .rest > summary").click();
  await button(page, "From seat to seat on this device: Leave room").click();
  const bar = page.getByRole("region", { name: "Lesson", exact: true });
  const dialog = page.getByRole("dialog", { name: "Pass it on" });
  for (const [seat, from] of [
    ["Seat 1", "the model"],
    ["Seat 2", "Seat 1’s riff"],
    ["Seat 3", "Seat 2’s riff"],
  ]) {
    await bar.getByText(`This is ${from}: change one thing.`).waitFor();
    await page.locator("#strip .token").first().click();
    await page.keyboard.press("Delete");
    await bar.getByText("That is it: pass it on.").waitFor();
    await bar.getByRole("button", { name: "Pass it on…" }).click();
    await dialog.getByLabel("Seat number or a made-up name").fill(seat ?? "");
    await dialog.getByRole("button", { name: "Pass it on" }).click();
    await dialog.getByText("It is on the board").waitFor();
    if (seat === "Seat 3") await dialog.getByRole("button", { name: "Look at the family" }).click();
    else await dialog.getByRole("button", { name: "Next seat, on this device" }).click();
  }
  await page.locator(".class-room").getByRole("button", { name: "Answers to Leave room" }).click();
  await button(page, "Family").click();
  const family = page.getByRole("list", { name: "The family" });
  assert.deepEqual(await family.locator("b").allTextContents(), ["The model: Salt wind", "Seat 1", "Seat 2", "Seat 3"]);
  assert.deepEqual(await family.locator("small").allTextContents(), [
    "",
    "from the model",
    "from Seat 1",
    "from Seat 2",
  ]);
  await button(page, "Play through the family").click();
  await family.locator(".sounds b").getByText("Seat 2").waitFor();
  await saved(page);
});

browserTest("who plays what is a table that prints, and leads to the parts for a band", async ({ page, site }) => {
  await page.goto(site.address);
  await pageReady(page);
  await openClass(page);
  await page.getByText("Who plays what", { exact: true }).click();
  await page.getByLabel("How many seats, or names with commas between").fill("Otter, Heron, Fox");
  await button(page, "Make the table").click();
  const table = page.getByRole("region", { name: "Who plays what" });
  assert.equal(await table.getByRole("row").count(), 4, "a heading and three turns");
  await page.evaluate(() => (window.print = () => void dispatchEvent(new Event("beforeprint"))));
  await button(page, "Print it").click();
  await page.locator(".sheet th").getByText("Plays alone").waitFor({ state: "attached" });
  assert.match((await page.locator(".sheet h1").textContent()) ?? "", /Who plays what/);
  await page.evaluate(() => void dispatchEvent(new Event("afterprint")));
  await button(page, "Parts for a band…").click();
  const dialog = page.getByRole("dialog", { name: "Print a sheet" });
  assert.equal(await dialog.getByLabel("What", { exact: true }).inputValue(), "band");
});
