// Tests the built page in Chromium: all tests, or those of the files that are named. One browser serves all files, each
// test with a profile of its own. Files run side by side, but those with tests that measure time run afterwards, by
// themselves.
import { spawn } from "node:child_process";
import { readdirSync, readFileSync } from "node:fs";
import { availableParallelism } from "node:os";
import { fileURLToPath } from "node:url";
import { launchShared } from "../tests/browser/chromium.mjs";

const folder = fileURLToPath(new URL("../tests/browser/", import.meta.url));
const named = process.argv.slice(2);
const files = named.length > 0 ? named : readdirSync(folder).filter((name) => name.endsWith(".test.mjs")).map((name) => folder + name);
const isTimed = (/** @type {string} */ file) => readFileSync(file, "utf8").includes("timed: true");

const browser = await launchShared();
const untimed = await runs(files.filter((file) => !isTimed(file)), Math.max(2, Math.floor(availableParallelism() / 2)));
const timed = await runs(files.filter(isTimed), 1);
await browser.close();
process.exitCode = untimed || timed;

/**
 * Resolves to 0 where all pass.
 * @param {string[]} files
 * @param {number} sideBySide
 * @returns {Promise<number>}
 */
function runs(files, sideBySide) {
  if (files.length === 0) return Promise.resolve(0);
  const env = { ...process.env, SHARED_CHROMIUM: browser.wsEndpoint() };
  const tests = spawn(process.execPath, ["--test", `--test-concurrency=${sideBySide}`, "--test-reporter=spec", ...files], { env, stdio: "inherit" });
  return new Promise((resolve) => tests.on("exit", (code) => resolve(code ?? 1)));
}
