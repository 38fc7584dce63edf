// Tests the built page in Chromium: all tests, or those of the files that are named. One browser serves all files, each
// test with a profile of its own. Tests run side by side, but those that measure time run afterwards, by themselves. A file
// that failed runs once more by itself, since a page that shares its processors, also with what the machine does besides,
// may only have been waited for too briefly: what failed at first is told, and the second run counts.
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

/**
 * A file, or its tests of one kind.
 * @typedef {{ file: string, kind?: "timed" | "untimed" }} Run
 */
/** @type {{ first: Run[], untimed: Run[], timed: Run[] }} */
const runs = { first: [], untimed: [], timed: [] };
for (const file of files) {
  const text = readFileSync(file, "utf8");
  const count = (/** @type {RegExp} */ what) => text.match(what)?.length ?? 0;
  const timed = count(/timed: true|timedTest\(/g);
  // Begun first, so that nothing waits for it in the end.
  const queue = text.includes("takesMinutes: true") ? runs.first : runs.untimed;
  if (timed > 0) runs.timed.push({ file, kind: "timed" });
  if (timed === 0) queue.push({ file });
  else if (count(/browserTest\(/g) > count(/timed: true/g)) queue.push({ file, kind: "untimed" });
}

const browser = await launchShared();
const untimed = [...runs.first, ...runs.untimed];
/** @type {Run[]} */
const again = [];
let failed = 0;
await Promise.all(
  Array.from({ length: Math.max(2, Math.floor(availableParallelism() / 2)) }, async () => {
    for (let run = untimed.shift(); run; run = untimed.shift()) await first(run);
  }),
);
await alone(again.splice(0));
for (const run of runs.timed) await first(run);
await alone(again);
await browser.close();
process.exitCode = failed;

/** Runs tests for the first time. @param {Run} run */
async function first(run) {
  const { code, said } = await result(run);
  if (code === 0) return console.log(said);
  again.push(run);
  // Not as a count: the second run's counts.
  console.log(said.replaceAll(/^/gm, "  | "));
}

/** Runs once more what failed, a file at a time. @param {Run[]} runs */
async function alone(runs) {
  for (const run of runs) {
    const { code, said } = await result(run);
    console.log(said);
    console.log(`ran again by itself: ${basename(run.file)}, ${code === 0 ? "and passed" : "and failed"}`);
    failed ||= code;
  }
}

/**
 * Runs tests: the exit code (0 where all pass), what was said, and how long it took.
 * @param {Run} run
 * @returns {Promise<{ code: number, said: string }>}
 */
function result({ file, kind }) {
  const env = { ...process.env, SHARED_CHROMIUM: browser.wsEndpoint(), ...(kind && { TESTS_OF_KIND: kind }) };
  const began = performance.now();
  const tests = spawn(process.execPath, ["--test", "--test-reporter=spec", file], {
    env,
    stdio: ["inherit", "pipe", "inherit"],
  });
  let said = "";
  tests.stdout.setEncoding("utf8").on("data", (text) => {
    said += text;
  });
  return new Promise((resolve) =>
    tests.on("close", (code) => {
      const seconds = ((performance.now() - began) / 1000).toFixed(1);
      resolve({ code: code ?? 1, said: `${said}${basename(file)}${kind ? `, ${kind}` : ""}: ${seconds} s\n` });
    }),
  );
}
