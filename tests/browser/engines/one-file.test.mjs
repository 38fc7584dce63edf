// The page as one file in Firefox and in WebKit: opened as a stick is, with no server. What it does there is held to in depth
// in Chromium (../one-file.test.mjs).
import assert from "node:assert/strict";
import { copyFileSync, mkdtempSync, rmSync } from "node:fs";
import { homedir } from "node:os";
import { join } from "node:path";
import { describe, test } from "node:test";
import { fileURLToPath, pathToFileURL } from "node:url";
import { Person, pictured } from "./engine.mjs";
import { openFirefox } from "./firefox.mjs";
import { openWebkit } from "./webkit.mjs";

const built = fileURLToPath(new URL("../../../dist/riffloom.html", import.meta.url));
const NOTES = "#strip [role=option]";

describe("the one file", { concurrency: true }, () => {
  test("in Firefox", { timeout: 180_000 }, (t) => visit(t, openFirefox));
  test("in WebKit", { timeout: 180_000 }, (t) => visit(t, openWebkit));
});

/**
 * @param {import("node:test").TestContext} t
 * @param {() => Promise<import("./engine.mjs").Engine>} open
 */
async function visit(t, open) {
  // Not among the files that pass: a browser in a box of its own sees others there.
  const stick = mkdtempSync(join(homedir(), "riffloom-"));
  t.after(() => rmSync(stick, { recursive: true }));
  const file = join(stick, "riffloom.html");
  copyFileSync(built, file);
  const browser = await open();
  t.after(() => browser.close());
  t.diagnostic(browser.name);
  await browser.resize(1366, 620);
  const name = `one file in ${browser.name.replace(/\W+/g, " ")}`;
  await pictured(browser, name, () => use(new Person(browser), String(pathToFileURL(file))));
}

/**
 * @param {Person} person
 * @param {string} address
 */
async function use(person, address) {
  await person.open(address);
  await person.click("hear a riff: Porch light");
  await person.until(() => document.querySelector("#play")?.textContent === "Stop", "the riff is played");
  await person.until(() => document.querySelector("#play")?.textContent !== "Stop", "the riff is over");
  await person.click("New riff");
  await person.key(67);
  await person.key(70);
  const written = await person.names(NOTES);
  assert.equal(written.length, 2, written.join(" | "));
  await person.saved();
  await person.reload();
  assert.deepEqual(await person.names(NOTES), written);
  for (const [name, filled] of /** @type {[string, string][]} */ ([
    ["Practice", "#setting *"],
    ["Chorus", "#chorus-riffs *"],
    ["Notebook", "#notebook *"],
    ["Just play", "#free *"],
  ])) {
    await person.click(name);
    await person.until((selector) => document.querySelector(selector) !== null, name, filled);
  }
  await person.click("Riff");
  // What works beside the page has an instance of the core of its own there.
  await person.click("Pass it on");
  await person.click("Make the file");
  await person.until(
    () => [...document.querySelectorAll("a[download]")].some((link) => link.textContent?.startsWith("Save ")),
    "a sound file",
  );
}
