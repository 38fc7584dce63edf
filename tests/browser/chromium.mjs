// Starts Chromium and a server of the built page: for the browser tests, the bench and the pictures.
import { existsSync, readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { chromium } from "playwright-core";
import { serve } from "../../scripts/serve.mjs";

const dist = fileURLToPath(new URL("../../dist", import.meta.url));
const BROWSERS = ["/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome"];

export const FLAGS = [
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

/** Where Chromium is; the variable CHROMIUM names another one. */
export function browserPath() {
  const found = process.env.CHROMIUM ?? BROWSERS.find((path) => existsSync(path));
  if (!found) throw new Error("no Chromium found: run scripts/setup test, or set CHROMIUM to its path");
  return found;
}

/**
 * Starts Chromium.
 * @param {import("playwright-core").LaunchOptions} options
 */
export function launch(options = {}) {
  return chromium.launch(complete(options));
}

/** @param {import("playwright-core").LaunchOptions} options */
function complete({ args = [], ...options }) {
  return { executablePath: browserPath(), args: [...FLAGS, ...args], ...options };
}

/**
 * Starts a Chromium that several processes use, each with profiles of its own; `wsEndpoint` is where.
 */
export function launchShared() {
  return chromium.launchServer(complete({}));
}

/** The browser of the whole run, whose address is in the variable SHARED_CHROMIUM; a fresh one where there is none. */
export function sharedBrowser() {
  const address = process.env.SHARED_CHROMIUM;
  return address ? chromium.connect(address) : launch();
}

/**
 * Serves a folder on a free port, and beside it the recorder's module (see tap.mjs), which a browser may keep for good.
 * `stop` breaks every connection, `start` comes back at the same address.
 */
export async function openSite(folder = dist) {
  let { server, address } = await serve(0, folder);
  const port = Number(new URL(address).port);
  offerTap(server);
  return {
    address,
    async stop() {
      const closed = new Promise((resolve) => server.close(resolve));
      server.closeAllConnections();
      await closed;
    },
    async start() {
      ({ server } = await serve(port, folder));
      offerTap(server);
    },
  };
}

/** What tests ask for beside the page: the recorder's module, and the core's glue, to be used without the page. */
const BESIDE = {
  "/__tap__.js": new URL("tap-worklet.js", import.meta.url),
  "/__clock__.js": new URL("clock-worklet.js", import.meta.url),
  "/__core__.js": new URL("core-page.js", import.meta.url),
  ...Object.fromEntries(
    ["pkg/riffloom.js", "pkg/doors.js", "core.js", "rooms.js", "where.js"].map((name) => [
      `/__core__/${name}`,
      new URL(`../../www/${name}`, import.meta.url),
    ]),
  ),
};

/** A worklet's module is fetched where no page listener reaches, so the server itself has to know it. */
function offerTap(/** @type {import("node:http").Server} */ server) {
  const [site] = /** @type {import("node:http").RequestListener[]} */ (server.listeners("request"));
  server.removeAllListeners("request");
  server.on("request", (request, response) => {
    const beside = Object.entries(BESIDE).find(([path]) => path === request.url)?.[1];
    if (!beside) return site(request, response);
    response.writeHead(200, { "Content-Type": "text/javascript", "Cache-Control": "max-age=86400, immutable" });
    response.end(readFileSync(beside));
  });
}
