// Tests the built page in Chromium: all tests, or those of the files that are named. One browser serves all files, each
// test with a profile of its own. Files run side by side, but those with tests that measure time run afterwards, by
// themselves. A file that failed runs once more by itself, since a page that shares its processors, also with what the
// machine does besides, may only have been waited for too briefly: what failed at first is told, and the second run counts.
import { spawn } from "node:child_process";
import { readdirSync, readFileSync } from "node:fs";
import { availableParallelism } from "node:os";
import { basename } from "node:path";
import { fileURLToPath } from "node:url";
import { launchShared } from "../tests/browser/chromium.mjs";

const folder = fileURLToPath(new URL("../tests/browser/", import.meta.url));
const named = process.argv.slice(2);
const files =
  named.length > 0
    ? named
    : readdirSync(folder)
        .filter((name) => name.endsWith(".test.mjs"))
        .map((name) => folder + name);
const isTimed = (/** @type {string} */ file) => /timed: true|timedTest\(/.test(readFileSync(file, "utf8"));

const browser = await launchShared();
const untimed = files.filter((file) => !isTimed(file));
/** @type {string[]} */
const again = [];
let failed = 0;
await Promise.all(
  Array.from({ length: Math.max(2, Math.floor(availableParallelism() / 2)) }, async () => {
    for (let file = untimed.shift(); file !== undefined; file = untimed.shift()) await first(file);
  }),
);
await alone(again.splice(0));
for (const file of files.filter(isTimed)) await first(file);
await alone(again);
await browser.close();
process.exitCode = failed;

/** Runs a file for the first time. @param {string} file */
async function first(file) {
  const { code, said } = await run(file);
  if (code === 0) return console.log(said);
  again.push(file);
  // Not as a count: the second run's counts.
  console.log(said.replaceAll(/^/gm, "  | "));
}

/** Runs once more what failed, a file at a time. @param {string[]} files */
async function alone(files) {
  for (const file of files) {
    const { code, said } = await run(file);
    console.log(said);
    console.log(`ran again by itself: ${basename(file)}, ${code === 0 ? "and passed" : "and failed"}`);
    failed ||= code;
  }
}

/**
 * Runs the tests of a file: its exit code (0 where all pass), and what it said.
 * @param {string} file
 * @returns {Promise<{ code: number, said: string }>}
 */
function run(file) {
  const env = { ...process.env, SHARED_CHROMIUM: browser.wsEndpoint() };
  const tests = spawn(process.execPath, ["--test", "--test-reporter=spec", file], {
    env,
    stdio: ["inherit", "pipe", "inherit"],
  });
  let said = "";
  tests.stdout.setEncoding("utf8").on("data", (text) => {
    said += text;
  });
  return new Promise((resolve) => tests.on("close", (code) => resolve({ code: code ?? 1, said })));
}
