// Serves dist/ on this machine: node scripts/serve.mjs [--port N]. Without a port it takes 8017 or the next free one.
import { readFileSync, statSync } from "node:fs";
import { createServer } from "node:http";
import { extname, join, relative } from "node:path";
import { fileURLToPath } from "node:url";
import { brotliCompressSync, constants } from "node:zlib";
import sirv from "sirv";

const dist = fileURLToPath(new URL("../dist", import.meta.url));
/** A browser keeps a notebook for each address, so the port is the same from day to day where it can be. */
const PORTS = Array.from({ length: 10 }, (_, index) => 8017 + index);

/**
 * The policy of the page, as its index.html states it, and what only a header can say.
 * @param {string} folder
 */
function headers(folder) {
  const page = readFileSync(join(folder, "index.html"), "utf8");
  const policy = /http-equiv="Content-Security-Policy"\s+content="([^"]+)"/.exec(page);
  if (!policy) throw new Error("index.html states no Content-Security-Policy");
  return {
    "Content-Security-Policy": `${policy[1]}; frame-ancestors 'none'`,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cache-Control": "no-cache",
  };
}

/**
 * Starts a server for `folder`; resolves to it and its address. Port 0 is any free one.
 * @param {number} [port]
 * @param {string} [folder]
 * @returns {Promise<{ server: import("node:http").Server, address: string }>}
 */
export function serve(port = 0, folder = dist) {
  const said = Object.entries(headers(folder));
  const files = sirv(folder, { dev: true, etag: true });
  const server = createServer((request, response) => {
    for (const [name, value] of said) response.setHeader(name, value);
    if (!sendPacked(folder, request, response)) files(request, response);
  });
  return new Promise((resolve, reject) => {
    server.once("error", reject);
    server.listen(port, "127.0.0.1", () => {
      const bound = server.address();
      resolve({ server, address: `http://localhost:${bound && typeof bound === "object" ? bound.port : port}/` });
    });
  });
}

/** Packed once for each version of a file. @type {Map<string, Buffer>} */
const packed = new Map();

/** What is sent packed, and its type. @type {Record<string, string>} */
const PACKED = {
  ".html": "text/html;charset=utf-8",
  ".js": "text/javascript",
  ".css": "text/css",
  ".wasm": "application/wasm",
  ".svg": "image/svg+xml",
  ".webmanifest": "application/manifest+json",
};

/**
 * Sends a file as brotli, as hosts of pages do, to a browser that takes it. Gives whether it did.
 * @param {string} folder
 * @param {import("node:http").IncomingMessage} request
 * @param {import("node:http").ServerResponse} response
 */
function sendPacked(folder, request, response) {
  const { pathname } = new URL(request.url ?? "/", "http://localhost");
  const file = join(folder, pathname.endsWith("/") ? `${pathname}index.html` : pathname);
  const type = PACKED[extname(file)];
  const takes =
    request.headers["accept-encoding"]?.includes("br") && (request.method === "GET" || request.method === "HEAD");
  const about =
    takes && type && !relative(folder, file).startsWith("..") ? statSync(file, { throwIfNoEntry: false }) : undefined;
  if (!type || !about?.isFile()) return false;
  const version = `${file} ${about.size} ${about.mtimeMs}`;
  const tag = `"${about.size.toString(36)}-${about.mtimeMs.toString(36)}"`;
  response.setHeader("ETag", tag);
  response.setHeader("Vary", "Accept-Encoding");
  if (request.headers["if-none-match"] === tag) {
    response.writeHead(304).end();
    return true;
  }
  const bytes =
    packed.get(version) ?? brotliCompressSync(readFileSync(file), { params: { [constants.BROTLI_PARAM_QUALITY]: 9 } });
  packed.set(version, bytes);
  response.writeHead(200, { "Content-Type": type, "Content-Encoding": "br", "Content-Length": bytes.length });
  response.end(request.method === "HEAD" ? undefined : bytes);
  return true;
}

/** @param {number[]} ports */
async function serveOnOneOf(ports) {
  for (const port of ports) {
    try {
      return await serve(port);
    } catch (error) {
      if (/** @type {NodeJS.ErrnoException} */ (error).code !== "EADDRINUSE") throw error;
    }
  }
  throw new Error(`no free port among ${ports.join(", ")}; choose one with --port`);
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  const flag = process.argv.indexOf("--port");
  const { address } = await serveOnOneOf(flag > 0 ? [Number(process.argv[flag + 1])] : PORTS);
  console.log(`Riffloom is at ${address}  (Ctrl-C stops it)`);
}
