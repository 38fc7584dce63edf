// "Make a sound file": what is saved is what the command line writes. The two compilers' sines and powers differ in their
// last bit, so now and then a sample is rounded the other way; nothing differs by more than that.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { accessibilityFindings, browserTest, downloaded, keptOffline, pageReady } from "./lib.mjs";
import { button, setBand, setTempo, writeRiff } from "./riff-page.mjs";

const root = fileURLToPath(new URL("../..", import.meta.url));
const target = process.env.CARGO_TARGET_DIR ?? join(root, "target");
const riffloom = join(target, "debug/riffloom");
const STEPS = [67, null, 71, null, 74, null, null, null];
const TEMPO = 180;
/** How a new page plays: the band as people are, the riff shaped. */
const PLAYED = "timing=loose,phrasing=shaped";

/** @param {import("playwright-core").Page} page */
async function prepare(page) {
  await pageReady(page);
  await writeRiff(page, STEPS);
  await setTempo(page, TEMPO);
  await setBand(page, ["drums", "bass", "solo"]);
}

/**
 * What `riffloom render` writes of the riff or the chorus in a link.
 * @param {string} link
 * @param {string[]} words
 */
function rendered(link, words) {
  const decoded = JSON.parse(
    execFileSync(riffloom, ["link", "decode", "--", link.slice(link.indexOf("#") + 1)], { encoding: "utf8" }),
  );
  /** @type {string[]} */
  const riffs = decoded.riffs ?? [decoded.abc];
  const chorus = decoded.placements
    ? ["--placements", JSON.stringify(decoded.placements), "--choruses", String(decoded.choruses)]
    : [];
  const folder = mkdtempSync(join(tmpdir(), "riffloom-"));
  try {
    const sound = join(folder, "sound.wav");
    const tunes = riffs.map((abc, place) => {
      const tune = join(folder, `${place}.abc`);
      writeFileSync(tune, abc);
      return tune;
    });
    const asked = [
      "render",
      ...tunes,
      ...chorus,
      "--key",
      "G",
      "--form",
      "12-bar",
      "--feel",
      "2:1",
      "--tempo",
      String(TEMPO),
      "--band",
      PLAYED,
      ...words,
      "--out",
      sound,
    ];
    execFileSync(riffloom, asked, { stdio: "pipe" });
    return readFileSync(sound);
  } finally {
    rmSync(folder, { recursive: true });
  }
}

/**
 * Makes a file with the panel and saves it.
 * @param {import("playwright-core").Page} page
 * @param {{ kind: string, choruses?: number, riff?: boolean }} wanted
 */
async function made(page, { kind, choruses, riff = true }) {
  await page.getByLabel("What is in it").selectOption({ label: kind });
  if (choruses) await page.getByRole("spinbutton", { name: "Choruses" }).fill(String(choruses));
  if (kind !== "The riff, once") await page.getByLabel("With my riff").setChecked(riff);
  return saving(page);
}

/** @param {import("playwright-core").Page} page */
async function saving(page) {
  await button(page, "Make the file").click();
  const link = page.getByRole("link", { name: /^Save / });
  await link.waitFor({ timeout: 60_000 });
  const [download] = await Promise.all([page.waitForEvent("download"), link.click()]);
  return { name: download.suggestedFilename(), bytes: await downloaded(download) };
}

const KINDS = /** @type {const} */ ([
  [
    { kind: "Once through the form, with the band" },
    "Riff, 12-bar blues in G, 180.wav",
    ["--parts", "drums,bass,solo"],
  ],
  [
    { kind: "Once through the form, with the band", riff: false },
    "12-bar blues in G, 180.wav",
    ["--parts", "drums,bass"],
  ],
  [
    { kind: "A track to practise with", choruses: 2 },
    "Riff, 12-bar blues in G, 180.wav",
    ["--parts", "drums,bass,solo", "--choruses", "2", "--count-in", "1"],
  ],
]);

browserTest(
  "files made on the page, without network, are those of the command line",
  async ({ page, site, context, problems, t }) => {
    execFileSync("cargo", ["build", "--quiet", "--locked", "--bin", "riffloom"], { cwd: root, stdio: "pipe" });
    await page.goto(site.address);
    await prepare(page);
    await keptOffline(page);
    await context.setOffline(true);
    problems.expect(/ERR_INTERNET_DISCONNECTED/);
    await button(page, "Pass it on").click();
    assert.deepEqual(await accessibilityFindings(page), []);
    const link = await page.getByLabel("Link to this riff").inputValue();
    for (const [wanted, name, words] of KINDS) {
      const file = await made(page, wanted);
      assert.equal(file.name, name);
      const expected = rendered(link, [...words]);
      assert.equal(file.bytes.length, expected.length);
      assert.deepEqual(file.bytes.subarray(0, 44), expected.subarray(0, 44));
      const { most, share } = differences(file.bytes, expected);
      t.diagnostic(
        `${name}: ${file.bytes.length} bytes, ${(100 * share).toFixed(3)} % of the samples differ, by ${most} at most`,
      );
      assert.ok(most <= 1 && share < 0.001, `${name}: ${share} of the samples differ, by ${most} at most`);
    }
    const alone = await made(page, { kind: "The riff, once" });
    assert.equal(alone.name, "Riff.wav");
    // Two bars at most, and the last note's end in the room.
    assert.ok(alone.bytes.length > 44 && alone.bytes.length < 44 + 4 * 48_000 * 3);
  },
);

const OF_CHORUS = /** @type {const} */ ([
  [
    "The chorus, with the band",
    1,
    false,
    "Harbour evening, 12-bar blues in G, 180.wav",
    ["--parts", "drums,bass,solo"],
  ],
  [
    "The chorus by itself",
    2,
    false,
    "Harbour evening, 12-bar blues in G, 180.wav",
    ["--parts", "solo", "--times", "2"],
  ],
  ["Only the band, to play over", 1, true, "12-bar blues in G, 180.wav", ["--parts", "drums,bass", "--count-in", "1"]],
]);

browserTest("a file of the built chorus is that of the command line", async ({ page, site, t }) => {
  execFileSync("cargo", ["build", "--quiet", "--locked", "--bin", "riffloom"], { cwd: root, stdio: "pipe" });
  await page.goto(site.address);
  await prepare(page);
  await button(page, "Chorus").click();
  await button(page, "Suggest a chorus").click();
  await button(page, "Take it").click();
  await page.locator("#chorus-ask").waitFor({ state: "hidden" });
  await page.locator("#chorus-lines button[data-band]").nth(1).click();
  await button(page, "Vary it here").click();
  await page.getByRole("group", { name: "Ways to vary it here" }).getByRole("button", { name: "upside down" }).click();
  await page.locator("#chorus-head .which").click();
  await page.getByLabel("Name of the chorus").fill("Harbour evening");
  await page.keyboard.press("Enter");
  await page.keyboard.press("Escape");
  await button(page, "Pass it on").click();
  assert.deepEqual(await accessibilityFindings(page), []);
  const link = await page.getByLabel("Link to this chorus").inputValue();
  for (const [kind, times, counted, name, words] of OF_CHORUS) {
    await page.getByLabel("What is in it").selectOption({ label: kind });
    await page.getByRole("spinbutton", { name: "How many times" }).fill(String(times));
    await page.getByLabel("Count in a bar").setChecked(counted);
    const file = await saving(page);
    assert.equal(file.name, name);
    const expected = rendered(link, [...words]);
    assert.equal(file.bytes.length, expected.length, kind);
    assert.deepEqual(file.bytes.subarray(0, 44), expected.subarray(0, 44));
    const { most, share } = differences(file.bytes, expected);
    t.diagnostic(
      `${kind}: ${file.bytes.length} bytes, ${(100 * share).toFixed(3)} % of the samples differ, by ${most} at most`,
    );
    assert.ok(most <= 1 && share < 0.001, `${kind}: ${share} of the samples differ, by ${most} at most`);
  }
});

/** How many of the 16-bit samples differ, and by how much. */
function differences(/** @type {Buffer} */ a, /** @type {Buffer} */ b) {
  let [most, count] = [0, 0];
  for (let at = 44; at < a.length; at += 2) {
    const apart = Math.abs(a.readInt16LE(at) - b.readInt16LE(at));
    most = Math.max(most, apart);
    if (apart > 0) count += 1;
  }
  return { most, share: count / ((a.length - 44) / 2) };
}

browserTest("the voices and levels of the tune are in the file", async ({ page, site }) => {
  await page.goto(site.address);
  await prepare(page);
  await page.getByRole("button", { name: /^Who plays:/ }).click();
  await page.locator(`select[data-what="solo-voice"]`).selectOption("reed");
  await page.keyboard.press("Escape");
  await button(page, "Pass it on").click();
  const link = await page.getByLabel("Link to this riff").inputValue();
  const file = await made(page, { kind: "Once through the form, with the band" });
  const expected = rendered(link, ["--parts", "drums,bass,solo", "--voice", "reed"]);
  assert.equal(file.bytes.length, expected.length);
  const { most, share } = differences(file.bytes, expected);
  assert.ok(most <= 1 && share < 0.001, `${share} of the samples differ, by ${most} at most`);
});

browserTest("a long file shows how far it has come, and leaves nothing when it is stopped", async ({ page, site }) => {
  await page.goto(site.address);
  await prepare(page);
  await button(page, "Pass it on").click();
  await page.getByLabel("What is in it").selectOption({ label: "A track to practise with" });
  await page.getByRole("spinbutton", { name: "Choruses" }).fill("40");
  // Those of the page itself, whose first sounds are still being made.
  await page.waitForTimeout(500);
  const workers = page.workers().length;
  await button(page, "Make the file").click();
  const bar = page.getByRole("progressbar");
  /** @type {Set<number>} */
  const seen = new Set();
  while (seen.size < 5)
    seen.add(Number(await bar.evaluate((element) => /** @type {HTMLProgressElement} */ (element).value)));
  const values = [...seen];
  assert.deepEqual(
    values,
    values.toSorted((a, b) => a - b),
  );
  assert.ok(values.every((value) => value >= 0 && value < 1));
  assert.equal(page.workers().length, workers + 1);
  await button(page, "Stop").click();
  await page.getByText("Stopped. No file was made.").waitFor();
  assert.equal(await page.getByRole("link", { name: /^Save / }).count(), 0);
  assert.equal(await bar.isVisible(), false);
  for (let wait = 0; page.workers().length > workers && wait < 50; wait++) await page.waitForTimeout(100);
  assert.equal(page.workers().length, workers, "the worker goes on");
  // And it can be asked for again.
  await page.getByRole("spinbutton", { name: "Choruses" }).fill("1");
  await made(page, { kind: "A track to practise with", choruses: 1 });
});
