// Answers by the camera: Chromium's fake device plays a film with QR codes, which the page reads one after the other; and
// codes in picture files. The codes are drawn from the library's own (qrcodegen), and read by another one (rqrr).
import assert from "node:assert/strict";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { test } from "node:test";
import { launch, openSite } from "./chromium.mjs";
import { openClass } from "./class-page.mjs";
import { Problems, accessibilityFindings, pageReady } from "./lib.mjs";
import { button } from "./riff-page.mjs";

/** @typedef {import("playwright-core").Page} Page */

/** Answers as `riffloom lesson answer` printed them: of Otter and of Heron. */
const ANSWERS = {
  Otter: "BlP-KQAAAAgAAFywJwIACAIGAk7AEVKAAk7AIVTAAVKAAk7ACVNhbHQgd2luZAVPdHRlcksdAg",
  Heron: "BlP-KQAAAAgAAFywJwIACAIGAk7AEVKAAk7AIVTAAVKAAk7ACVNhbHQgd2luZAVIZXJvbpJNXA",
};
const [WIDTH, HEIGHT] = [640, 480];
/** How many frames each picture of the film stays, of ten a second. */
const STAYS = 25;

/** Which modules are dark, row by row, of the drawing that the page makes. @param {{ size: number, path: string }} code */
function modules({ size, path }) {
  const dark = Array.from({ length: size }, () => /** @type {boolean[]} */ (Array(size).fill(false)));
  for (const [, x, y, run] of path.matchAll(/M(\d+) (\d+)h(\d+)v1h-\d+z/g))
    for (let at = Number(x); at < Number(x) + Number(run); at += 1)
      /** @type {boolean[]} */ (dark[Number(y)])[at] = true;
  return dark;
}

/** A grey picture of a code in the middle, a byte a pixel. @param {{ size: number, path: string }} code */
function picture(code) {
  const dark = modules(code);
  const scale = Math.floor((0.9 * HEIGHT) / code.size);
  const [left, top] = [(WIDTH - scale * code.size) / 2, (HEIGHT - scale * code.size) / 2];
  const made = Buffer.alloc(WIDTH * HEIGHT, 200);
  for (let y = 0; y < HEIGHT; y += 1)
    for (let x = 0; x < WIDTH; x += 1) {
      const row = dark[Math.floor((y - top) / scale)];
      const isDark = row?.[Math.floor((x - left) / scale)];
      if (isDark !== undefined) made[y * WIDTH + x] = isDark ? 40 : 220;
    }
  return made;
}

/** A film as Chromium's fake device reads it (YUV4MPEG2, 4:2:0). @param {Buffer[]} pictures */
function film(pictures) {
  const colour = Buffer.alloc((WIDTH * HEIGHT) / 2, 128);
  const frame = (/** @type {Buffer} */ grey) => Buffer.concat([Buffer.from("FRAME\n"), grey, colour]);
  const frames = pictures.flatMap((grey) => Array.from({ length: STAYS }, () => frame(grey)));
  return Buffer.concat([Buffer.from(`YUV4MPEG2 W${WIDTH} H${HEIGHT} F10:1 Ip A1:1 C420\n`), ...frames]);
}

/** A picture file: BMP of 24 bits, rows from the foot up (Microsoft, BITMAPINFOHEADER). @param {Buffer} grey */
function bmp(grey) {
  const header = Buffer.alloc(54);
  header.write("BM", 0);
  header.writeUInt32LE(54 + 3 * WIDTH * HEIGHT, 2);
  header.writeUInt32LE(54, 10);
  header.writeUInt32LE(40, 14);
  header.writeInt32LE(WIDTH, 18);
  header.writeInt32LE(HEIGHT, 22);
  header.writeUInt16LE(1, 26);
  header.writeUInt16LE(24, 28);
  const dots = Buffer.alloc(3 * WIDTH * HEIGHT);
  for (let y = 0; y < HEIGHT; y += 1)
    for (let x = 0; x < WIDTH; x += 1)
      dots.fill(grey[(HEIGHT - 1 - y) * WIDTH + x] ?? 0, 3 * (y * WIDTH + x), 3 * (y * WIDTH + x) + 3);
  return Buffer.concat([header, dots]);
}

/** The codes of links, drawn by the core. @param {Page} page @param {string[]} texts */
const codes = (page, texts) =>
  page.evaluate(async (texts) => {
    const core = /** @type {typeof import("../../www/pkg/riffloom.js")} */ (
      await import(/** @type {any} */ ("/__core__.js"))
    );
    await core.default({ module_or_path: "/riffloom_bg.wasm" });
    return texts.map((text) => /** @type {{ size: number, path: string }} */ (core.App.qr(text)));
  }, texts);

/**
 * A browser whose camera shows this film, and the page with the class open.
 * @param {Buffer | undefined} shown without one there is no camera
 * @param {(page: Page) => Promise<void>} body
 */
async function withCamera(shown, body) {
  const site = await openSite();
  const folder = mkdtempSync(join(tmpdir(), "riffloom-"));
  const file = join(folder, "film.y4m");
  if (shown) writeFileSync(file, shown);
  const args = shown ? ["--use-fake-device-for-media-stream", `--use-file-for-fake-video-capture=${file}`] : [];
  const browser = await launch({ args });
  try {
    const context = await browser.newContext({ viewport: { width: 1366, height: 768 }, permissions: ["camera"] });
    const problems = new Problems();
    await problems.watch(context, new URL(site.address).origin);
    await context.addInitScript(() => {
      /** @type {MediaStream[]} */
      const streams = [];
      Object.assign(globalThis, { streams });
      // An empty page has none.
      if (!navigator.mediaDevices) return;
      const ask = navigator.mediaDevices.getUserMedia.bind(navigator.mediaDevices);
      navigator.mediaDevices.getUserMedia = async (...words) => {
        const stream = await ask(...words);
        streams.push(stream);
        return stream;
      };
    });
    const page = await context.newPage();
    await page.goto(site.address);
    await pageReady(page);
    await openClass(page);
    await body(page);
    assert.deepEqual(problems.unexpected, []);
  } finally {
    await browser.close();
    await site.stop();
    rmSync(folder, { recursive: true });
  }
}

/** How the tracks of each stream that was opened stand. @param {Page} page */
const tracks = (page) =>
  page.evaluate(() =>
    /** @type {MediaStream[]} */ (/** @type {any} */ (globalThis).streams).flatMap((stream) =>
      stream.getTracks().map(({ kind, readyState }) => `${kind} ${readyState}`),
    ),
  );

/** What the page draws, asked of a page of its own. @param {string[]} texts */
async function drawn(texts) {
  const site = await openSite();
  const browser = await launch();
  try {
    const page = await browser.newPage();
    await page.goto(site.address);
    return (await codes(page, texts)).map(picture);
  } finally {
    await browser.close();
    await site.stop();
  }
}

const address = (/** @type {string} */ link) => `https://riffloom.example/#${link}`;

test("codes before the camera come onto the board one after the other", { timeout: 300_000 }, async () => {
  const [otter, heron] = await drawn([address(ANSWERS.Otter), address(ANSWERS.Heron)]);
  const blank = Buffer.alloc(WIDTH * HEIGHT, 180);
  await withCamera(film([otter ?? blank, blank, heron ?? blank]), async (page) => {
    assert.deepEqual(await tracks(page), [], "nothing is asked for before the button");
    await button(page, "Read codes with the camera").click();
    await page.locator(".camera-on").getByText("The camera is on.").waitFor();
    assert.deepEqual(await tracks(page), ["video live"]);
    for (const who of ["Otter", "Heron"])
      await page.locator(".came").getByText(`${who} is on the board.`).waitFor({ timeout: 60_000 });
    assert.deepEqual(await accessibilityFindings(page, { part: ".class-room" }), []);
    // The film goes round: nobody comes twice.
    await page.waitForTimeout(3000);
    assert.deepEqual((await page.locator(".wall .answer .open b").allTextContents()).sort(), ["Heron", "Otter"]);
    await button(page, "Turn the camera off").click();
    await page.locator(".camera").waitFor({ state: "hidden" });
    assert.deepEqual(await tracks(page), ["video ended"]);
    // Closed with the camera on, it is off.
    await button(page, "Read codes with the camera").click();
    await page.locator(".camera-on").waitFor();
    await page.keyboard.press("Escape");
    await page.waitForFunction(() =>
      /** @type {any} */ (globalThis).streams.every((/** @type {MediaStream} */ each) => !each.active),
    );
  });
});

test("pictures of codes are read, and a device without a camera is told kindly", { timeout: 300_000 }, async () => {
  const [otter] = await drawn([address(ANSWERS.Otter)]);
  await withCamera(undefined, async (page) => {
    await button(page, "Read codes with the camera").click();
    await page.getByText(/No camera was found on this device|lends no camera/).waitFor();
    const files = page.locator(".gather input[type=file]");
    const open = (/** @type {Buffer} */ buffer) =>
      files.setInputFiles({ name: "code.bmp", mimeType: "image/bmp", buffer });
    await open(bmp(Buffer.alloc(WIDTH * HEIGHT, 180)));
    await page.getByText("No QR code was found in that picture.").waitFor();
    await open(bmp(otter ?? Buffer.alloc(0)));
    await page.getByText("1 answer came in.").waitFor();
    assert.deepEqual(await page.locator(".wall .answer .open b").allTextContents(), ["Otter"]);
  });
});
