// The core's module, compiled once for the page and its workers.

import { where } from "./where.js";

/** How long to wait before it is fetched again where it did not come, in milliseconds. */
const AGAIN = [400, 2000];

/**
 * Compiles what stands at an address below the page's own; tried three times.
 * @param {string} path
 * @returns {Promise<WebAssembly.Module>}
 */
export async function compiled(path) {
  for (const wait of AGAIN) {
    try {
      return await compiledOnce(path);
    } catch (error) {
      console.info("The core did not come, and is fetched again:", error);
      await new Promise((done) => setTimeout(done, wait));
    }
  }
  return compiledOnce(path);
}

/** @param {string} path */
async function compiledOnce(path) {
  const response = await fetch(where(path));
  if (!response.ok) throw new Error(`${path}: ${response.status}`);
  // Where a server calls the module something else, the browser does not compile it as it comes.
  if (response.headers.get("content-type") !== "application/wasm")
    return WebAssembly.compile(await response.arrayBuffer());
  return WebAssembly.compileStreaming(response);
}
