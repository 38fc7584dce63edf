// The main job in Firefox and in WebKit, as a person does it there: one visit each, a test a step, each step where the one
// before it ended. What must hold in every engine is held here once; Chromium's own tests go into depth.
import assert from "node:assert/strict";
import { describe, test } from "node:test";
import { PitchDetector } from "pitchy";
import { Person, pictured, placeOf } from "./engine.mjs";
import { openFirefox } from "./firefox.mjs";
import { openWatchedSite } from "./site.mjs";
import { openWebkit } from "./webkit.mjs";

/** @typedef {{ person: Person, site: Awaited<ReturnType<typeof openWatchedSite>> }} Visit */

const NOTES = "#strip [role=option]";
const BANDS = "#chorus-lines button[data-band]";
const LINK = 'input[aria-label^="Link to this"]';
const SIZES = /** @type {const} */ ([
  [1366, 620],
  [390, 844],
  [320, 640],
]);
const TABS = ["Riff", "Practice", "Chorus", "Notebook", "Just play"];

// Both at once: most of the time is that of the music.
describe("the main job", { concurrency: true }, () => {
  test("Firefox", { timeout: 180_000 }, (t) => walk(t, "Firefox", openFirefox));
  test("WebKit", { timeout: 180_000 }, (t) => walk(t, "WebKit", openWebkit));
});

/**
 * @param {import("node:test").TestContext} t
 * @param {string} engine
 * @param {() => Promise<import("./engine.mjs").Engine>} open
 */
async function walk(t, engine, open) {
  const site = await openWatchedSite();
  t.after(() => site.stop());
  const browser = await open();
  t.after(() => browser.close());
  await browser.resize(1366, 620);
  t.diagnostic(browser.name);
  const visit = { person: new Person(browser), site };
  for (const [step, body] of STEPS) {
    await t.test(`${engine}: ${step}`, async () => {
      await pictured(browser, `${engine} ${step}`, () => body(visit));
      assert.deepEqual(site.problems.splice(0), [], "the page had problems of its own");
    });
  }
}

/** @type {[string, (visit: Visit) => Promise<void>][]} */
const STEPS = [
  ["the page opens and makes no sound by itself", opens],
  ["the first click sounds, and the bars are followed", sounds],
  ["a key on the screen sounds its note", soundsItsNote],
  ["a riff is written by keys on the screen, by letters and by steps, and has its words", writes],
  ["what was done is undone and done again", undoes],
  ["a riff is dragged up", drags],
  ["keys go on from the bar that was clicked, also where a click gives no focus", goesOnFromAClick],
  ["the riff is there after the page was loaded again", keeps],
  ["the band plays with it and stops", playsWithTheBand],
  ["a time through is practised, and something is said about it", practises],
  ["a chorus is suggested, taken and played", buildsAChorus],
  ["a sound file is made", makesAFile],
  ["nothing scrolls sideways", fits],
  ["every panel stays inside the window", holdsPanels],
  ["a link opens the same riff elsewhere", opensElsewhere],
  ["without a network the page opens, the riff is there, and so is every room", worksOffline],
];

/** @param {Visit} visit */
async function opens({ person, site }) {
  await person.open(site.address);
  assert.equal(await person.engine.run(() => document.title), "Riffloom");
  // Browsers forbid sound before the first touch, and so does good manners.
  assert.equal(await person.engine.run(() => /** @type {any} */ (globalThis).audio === undefined), true);
}

/** @param {Visit} visit */
async function sounds({ person }) {
  // A machine that is busy draws no picture for seconds: two bars may be over before the first one, so they are heard again.
  for (let tries = 1; ; tries++) {
    await watchBars(person, "#form");
    await person.click("hear a riff: Porch light");
    await person.until(() => /** @type {any} */ (globalThis).audio?.state === "running", "sound runs");
    assert.ok((await loudest(person)) > 0.01, "nothing is heard");
    await person.until(() => document.querySelector("#play")?.textContent !== "Stop", "the riff is over");
    const seen = await person.engine.run(() => /** @type {any} */ (globalThis).seen);
    if (seen.join() === "0,1") break;
    assert.ok(tries < 4, `only the bars ${seen.join(", ")} came`);
  }
  await person.click("Skip this");
}

/**
 * A G above middle C: by equal temperament from a' = 440 Hz (ISO 16) two half steps below it, 440 · 2^(−2/12) = 391.995 Hz.
 * @param {Visit} visit
 */
async function soundsItsNote({ person }) {
  await silence(person);
  const key = await person.until(placeOf, "the key", "body", '#keyboard .key[data-midi="67"]', "", "", {
    x: 0.5,
    y: 0.85,
  });
  await person.engine.mouse([{ to: key }, "down", { wait: 400 }]);
  const { frames, rate } = await whatIsHeard(person, 8192);
  await person.engine.mouse(["up"]);
  const [hz] = PitchDetector.forFloat32Array(frames.length).findPitch(Float32Array.from(frames), rate);
  const cents = 1200 * Math.log2(hz / (440 * 2 ** (-2 / 12)));
  assert.ok(Math.abs(cents) < 10, `${hz} Hz is ${cents} cents off`);
}

/** @param {Visit} visit */
async function writes({ person }) {
  await person.click("New riff");
  await person.key(67);
  // The letter that stands for B flat, by its place.
  const code = await person.engine.run(
    () => document.querySelector('#keyboard .key[data-midi="70"]')?.getAttribute("data-code") ?? "",
  );
  assert.match(code, /^Key[A-Z]$/);
  await person.engine.press(code.slice(3).toLowerCase());
  await person.click("Rest");
  await person.key(72);
  await person.clickOn(NOTES);
  await person.engine.press("ArrowRight");
  await person.engine.press("ArrowUp", "Shift");
  await person.write(".riff-name", "Ferry bell");
  await person.engine.press("Enter");
  assert.deepEqual(await starts(person), ["G 4, bar 1, beat 1,", "B 4, bar 1, beat 1 and,", "C 5, bar 1, beat 2 and,"]);
  await person.clickOn("#words > details > summary");
  const words = await person.until(
    () => document.querySelector("#words .sentences")?.textContent?.trim(),
    "words about the riff",
  );
  assert.match(words, /\bG7\b/);
}

/** @param {Visit} visit */
async function undoes({ person }) {
  const before = await person.names(NOTES);
  await person.key(74);
  const after = await person.names(NOTES);
  assert.notDeepEqual(after, before);
  await person.click("Undo");
  assert.deepEqual(await person.names(NOTES), before);
  await person.click("Redo");
  assert.deepEqual(await person.names(NOTES), after);
}

/** @param {Visit} visit */
async function drags({ person }) {
  const box = await person.engine.run((selector) => {
    const { left, top } = /** @type {Element} */ (document.querySelector(selector)).getBoundingClientRect();
    return { left, top };
  }, NOTES);
  const from = { x: box.left + 8, y: box.top + 12 };
  await person.engine.mouse([
    { to: from },
    "down",
    { to: { x: from.x, y: from.y - 12 } },
    { to: { x: from.x, y: from.y - 40 } },
    "up",
  ]);
  const [first = ""] = await starts(person);
  assert.match(first, /, bar 1, beat 1,$/);
  assert.doesNotMatch(first, /^G 4/);
  await person.click("Undo");
  assert.match((await starts(person))[0] ?? "", /^G 4/);
}

/**
 * Safari on a Mac gives a button no focus when it is clicked: so it is here where nothing that is pressed gets any.
 * @param {Visit} visit
 */
async function goesOnFromAClick({ person }) {
  await person.engine.run(() => addEventListener("mousedown", (event) => event.preventDefault(), { capture: true }));
  await person.clickOn('#form .bar[data-bar="0"]');
  await person.engine.press("ArrowRight");
  const focused = await person.engine.run(() => document.activeElement?.getAttribute("data-bar"));
  assert.equal(focused, "1");
  // The page is loaded again in the next step.
}

/** @param {Visit} visit */
async function keeps({ person }) {
  const before = await person.names(NOTES);
  await person.saved();
  await person.reload();
  assert.deepEqual(await person.names(NOTES), before);
  assert.equal(
    await person.engine.run(() => /** @type {HTMLInputElement} */ (document.querySelector(".riff-name")).value),
    "Ferry bell",
  );
}

/** @param {Visit} visit */
async function playsWithTheBand({ person }) {
  await person.click(/^Tempo:/);
  await person.clickOn("input[type=range]", { x: 0.6, y: 0.5 });
  await person.engine.press("Escape");
  await person.until(
    () => Number(document.querySelector('#sentence [aria-label^="Tempo:"]')?.textContent) > 120,
    "a quicker tempo",
  );
  await watchBars(person, "#form");
  await person.click("Play with the band");
  await barsFollowed(person, 4);
  assert.ok((await loudest(person)) > 0.01, "nothing is heard");
  await person.click("Stop");
  await person.until(() => !document.querySelector("#form .bar.now"), "no bar is marked any more");
  await silence(person);
}

/** @param {Visit} visit */
async function practises({ person }) {
  await person.click("Practice");
  await person.click("more");
  await person.click(/^Which bars:/);
  await person.click(/^one bar at a time/);
  await person.engine.press("Escape");
  await person.click(/^Going on:/);
  await person.click(/^one time, then stop/);
  await person.engine.press("Escape");
  await person.click("Start practising");
  await person.until(() => document.querySelector("#form .bar.now") !== null, "the bar that is practised");
  await person.key(67);
  await person.until(
    () => document.querySelector("#after .told .said-line")?.textContent,
    "something about the time through",
  );
  assert.match(await person.text("#after .told h2"), /^That time through/);
  await person.sees('#play:not([aria-pressed="true"])');
  await person.click("Riff");
}

/** @param {Visit} visit */
async function buildsAChorus({ person }) {
  await person.click("Chorus");
  await person.click("Suggest a chorus");
  await person.until(() => document.querySelectorAll(".idea").length >= 3, "ideas");
  await person.clickOn('.idea[aria-label^="Idea 2."]');
  await person.click("Take it");
  await person.until((bands) => document.querySelectorAll(bands).length >= 2, "riffs in the chorus", BANDS);
  const [first = ""] = await person.names(BANDS);
  await person.clickOn(BANDS);
  await person.engine.press("ArrowUp", "Shift");
  await person.until(
    (bands, before) => document.querySelector(bands)?.getAttribute("aria-label") !== before,
    "a riff half a step higher",
    BANDS,
    first,
  );
  await watchBars(person, "#chorus-lines");
  await person.click("Play with the band");
  await barsFollowed(person, 2);
  await person.click("Stop");
  await person.saved();
  await person.click("Riff");
}

/**
 * The file's parts by "Multimedia Programming Interface and Data Specifications 1.0" (IBM and Microsoft, 1991), chapter 3.
 * @param {Visit} visit
 */
async function makesAFile({ person }) {
  await person.click("Pass it on");
  await person.click("Make the file");
  await person.until(() => document.querySelector("#pass-panel a[download]")?.textContent, "the file is ready");
  const file = await person.engine.run(async () => {
    const blob = /** @type {Blob} */ (/** @type {any} */ (globalThis).file);
    const bytes = new DataView(await blob.arrayBuffer());
    const word = (/** @type {number} */ at) =>
      String.fromCharCode(...[0, 1, 2, 3].map((each) => bytes.getUint8(at + each)));
    let loudest = 0;
    for (let at = 44; at < blob.size; at += 2) loudest = Math.max(loudest, Math.abs(bytes.getInt16(at, true)));
    return {
      type: blob.type,
      size: blob.size,
      loudest,
      words: [0, 8, 12, 36].map(word),
      sizes: [4, 16, 40].map((at) => bytes.getUint32(at, true)),
      format: [20, 22, 34].map((at) => bytes.getUint16(at, true)),
      rate: bytes.getUint32(24, true),
    };
  });
  assert.deepEqual(file.words, ["RIFF", "WAVE", "fmt ", "data"]);
  assert.deepEqual(file.sizes, [file.size - 8, 16, file.size - 44]);
  assert.deepEqual([file.type, file.format, file.rate], ["audio/wav", [1, 2, 16], 48_000]);
  assert.ok(file.loudest > 3000 && file.loudest < 32_768, `the loudest sample is ${file.loudest}`);
  // Twelve bars of four beats, and the last sound dies away after them.
  const tempo = Number(/(\d+)\.wav/.exec(await person.text("#pass-panel a[download]"))?.[1]);
  const seconds = (file.size - 44) / 4 / 48_000;
  assert.ok(seconds >= (48 * 60) / tempo && seconds < (48 * 60) / tempo + 5, `${seconds} s at ${tempo}`);
  await person.engine.press("Escape");
}

/** @param {Visit} visit */
async function fits({ person }) {
  const over = [];
  for (const [width, height] of SIZES) {
    await person.engine.resize(width, height);
    for (const tab of TABS) {
      await person.click(tab, ".tabs");
      const [across = 0, down = 0] = await person.engine.run(() => [
        document.documentElement.scrollWidth - innerWidth,
        document.documentElement.scrollHeight - innerHeight,
      ]);
      if (across > 0) over.push(`${tab} at ${width}: ${across} px`);
      // The notebook and what was played grow with what is in them.
      if (width > 1100 && tab !== "Notebook" && down > 0) over.push(`${tab} at ${width} × ${height}: ${down} px down`);
    }
  }
  await person.engine.resize(1366, 620);
  await person.click("Riff");
  assert.deepEqual(over, []);
}

/** Each of the sentence, at the width of a laptop and of a tablet. @param {Visit} visit */
async function holdsPanels({ person }) {
  const outside = [];
  for (const [width, height] of /** @type {const} */ ([
    [1366, 620],
    [1024, 700],
  ])) {
    await person.engine.resize(width, height);
    for (const [tab, part] of [
      ["Riff", "#sentence"],
      ["Practice", "#setting"],
    ]) {
      await person.click(tab, ".tabs");
      if ((await person.names(`${part} .more`)).includes("more")) await person.click("more", part);
      for (const name of await person.names(`${part} .part`)) {
        await person.click(name, part);
        const found = await person.until(
          (within) => {
            const panel = document.querySelector(`${within} .panel:not([hidden])`);
            if (!panel) return null;
            const { left, right } = panel.getBoundingClientRect();
            return { left, right: innerWidth - right, scrolls: panel.scrollWidth - panel.clientWidth };
          },
          `the panel of ${name}`,
          part,
        );
        if (Math.min(found.left, found.right) < 0 || found.scrolls > 0)
          outside.push(`${name} at ${width}: ${JSON.stringify(found)}`);
        await person.engine.press("Escape");
      }
    }
  }
  await person.engine.resize(1366, 620);
  await person.click("Riff");
  assert.deepEqual(outside, []);
}

/** Another address has a notebook of its own, as another person's browser has. @param {Visit} visit */
async function opensElsewhere({ person, site }) {
  const notes = await person.names(NOTES);
  const link = await linkOf(person);
  const elsewhere = await openWatchedSite();
  try {
    await person.open(elsewhere.address + new URL(link).hash);
    await person.click("Put it in my notebook", "dialog.link-seen");
    // The room that reads links comes by itself: the riff is there as soon as that has.
    for (let tries = 0; tries < 50 && (await person.names(NOTES)).join() !== notes.join(); tries += 1)
      await new Promise((resolve) => setTimeout(resolve, 200));
    assert.deepEqual(await person.names(NOTES), notes);
    assert.equal(new URL(await linkOf(person)).hash, new URL(link).hash);
    assert.equal(await person.engine.run(() => location.hash), new URL(link).hash, "the link can be had again");
    assert.deepEqual(elsewhere.problems, []);
  } finally {
    await person.open(site.address);
    await elsewhere.stop();
  }
}

/** @param {Visit} visit */
async function worksOffline({ person, site }) {
  const notes = await person.names(NOTES);
  await person.until(() => navigator.serviceWorker.controller?.state === "activated", "the page is kept");
  await site.stop();
  await person.reload();
  assert.deepEqual(await person.names(NOTES), notes);
  await watchBars(person, "#form");
  await person.click("Play with the band");
  await barsFollowed(person, 2);
  await person.click("Stop");
  const shows = (/** @type {string} */ part) =>
    person.until((wanted) => document.querySelector(wanted) !== null, part, part);
  for (const [tab, part] of [
    ["Practice", "#setting .part"],
    ["Chorus", "#chorus-lines .bar"],
    ["Notebook", "#notebook .card"],
  ]) {
    await person.click(tab, ".tabs");
    await shows(part);
  }
  await person.click("Riff", ".tabs");
  assert.match(await linkOf(person), /#/);
  await person.click("Vary");
  await person.clickOn('.ways [data-value="retrograde"]');
  await shows("#varied:not([hidden])");
}

/** What the notes on the strip are and where they begin. @param {Person} person */
async function starts(person) {
  return (await person.names(NOTES)).map((name) => /^[^,]*,[^,]*,[^,]*,/.exec(name)?.[0] ?? name);
}

/** @param {Person} person */
async function linkOf(person) {
  await person.click("Pass it on");
  const link = await person.until(
    (field) => /** @type {HTMLInputElement | null} */ (document.querySelector(field))?.value,
    "the link",
    LINK,
  );
  await person.engine.press("Escape");
  return link;
}

/**
 * Looks from now on which bars are marked, one after the other: begun before Play is pressed, so that no bar is over before
 * a busy machine has come to look.
 * @param {Person} person
 * @param {string} part
 */
function watchBars(person, part) {
  return person.engine.run((within) => {
    /** @type {string[]} */
    const seen = [];
    Object.assign(globalThis, { seen });
    const look = () => {
      const bar = /** @type {HTMLElement | null} */ (document.querySelector(`${within} .bar.now`))?.dataset.bar;
      if (bar !== undefined && bar !== seen.at(-1)) seen.push(bar);
      if (/** @type {any} */ (globalThis).seen === seen) requestAnimationFrame(look);
    };
    look();
  }, part);
}

/**
 * Waits until `count` bars were marked since `watchBars`, each after the one before it. Which frames are drawn is for the
 * machine to say, so one may be passed over; that none is, and each comes in time, is held in Chromium (`along.test.mjs`).
 * @param {Person} person
 * @param {number} count
 */
async function barsFollowed(person, count) {
  const seen = await person.until(
    (wanted) => {
      const { seen } = /** @type {any} */ (globalThis);
      return seen.length >= wanted ? seen.map(Number) : undefined;
    },
    `${count} bars that are marked`,
    count,
  );
  for (let n = 1; n < count; n++) assert.ok(seen[n] > seen[n - 1], `the bars ${seen.join(", ")} came`);
}

/** The loudest that is heard within two seconds, full scale being 1. @param {Person} person */
function loudest(person) {
  return person.engine.run(async () => {
    const { heard } = /** @type {any} */ (globalThis);
    const frames = new Float32Array(heard.fftSize);
    let most = 0;
    for (let looks = 0; looks < 8; looks++) {
      await new Promise((resolve) => setTimeout(resolve, 250));
      heard.getFloatTimeDomainData(frames);
      for (const each of frames) most = Math.max(most, Math.abs(each));
    }
    return most;
  });
}

/** The newest of what is heard. @param {Person} person @param {number} count of frames */
function whatIsHeard(person, count) {
  return person.engine.run((wanted) => {
    const { heard } = /** @type {any} */ (globalThis);
    const frames = new Float32Array(heard.fftSize);
    heard.getFloatTimeDomainData(frames);
    return { frames: [...frames.slice(-wanted)], rate: heard.context.sampleRate };
  }, count);
}

/** Waits until all that sounded has died away: below −60 dB of full scale. @param {Person} person */
async function silence(person) {
  await person.until(() => {
    const { heard } = /** @type {any} */ (globalThis);
    const frames = new Float32Array(heard.fftSize);
    heard.getFloatTimeDomainData(frames);
    return frames.every((each) => Math.abs(each) < 0.001);
  }, "silence");
}
