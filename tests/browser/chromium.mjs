// Starts Chromium and a server of the built page: for the browser tests, the bench and the pictures.
import { existsSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { chromium } from "playwright-core";
import { serve } from "../../scripts/serve.mjs";

const dist = fileURLToPath(new URL("../../dist", import.meta.url));
const BROWSERS = ["/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome"];

const FLAGS = [
  "--no-sandbox",
  "--disable-gpu",
  "--disable-quic",
  "--no-first-run",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-sync",
  // Foreign hosts lead nowhere, also for a service worker, whose requests escape the page's listeners.
  "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE localhost",
];

/**
 * Starts Chromium; the variable CHROMIUM names another one.
 * @param {import("playwright-core").LaunchOptions} options
 */
export function launch({ args = [], ...options } = {}) {
  const executablePath = process.env.CHROMIUM ?? BROWSERS.find((path) => existsSync(path));
  if (!executablePath) throw new Error("no Chromium found: run scripts/setup test, or set CHROMIUM to its path");
  return chromium.launch({ executablePath, args: [...FLAGS, ...args], ...options });
}

/** Serves a folder on a free port. `stop` breaks every connection, `start` comes back at the same address. */
export async function openSite(folder = dist) {
  let { server, address } = await serve(0, folder);
  const port = Number(new URL(address).port);
  return {
    address,
    async stop() {
      const closed = new Promise((resolve) => server.close(resolve));
      server.closeAllConnections();
      await closed;
    },
    async start() {
      ({ server } = await serve(port, folder));
    },
  };
}
