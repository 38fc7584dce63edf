// Serves dist/ on localhost: node scripts/serve.mjs [--port N]. Without a port it takes 8017 or, if taken, any free one.
import { createServer } from "node:http";
import { fileURLToPath } from "node:url";
import sirv from "sirv";

const dist = fileURLToPath(new URL("../dist", import.meta.url));

/** The same policy as in index.html, and what only a header can say. */
export const headers = {
  "Content-Security-Policy":
    "default-src 'self'; script-src 'self' 'wasm-unsafe-eval'; object-src 'none'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
  "X-Content-Type-Options": "nosniff",
  "Referrer-Policy": "no-referrer",
  "Cache-Control": "no-cache",
};

/** Starts a server for `folder`; resolves to it and its address. */
export function serve(port = 0, folder = dist) {
  const files = sirv(folder, {
    dev: true,
    etag: true,
    setHeaders: (response) => {
      for (const [name, value] of Object.entries(headers)) response.setHeader(name, value);
    },
  });
  const server = createServer((request, response) =>
    files(request, response, () => {
      response.statusCode = 404;
      response.end("not found");
    }),
  );
  return new Promise((resolve, reject) => {
    server.once("error", reject);
    server.listen(port, "127.0.0.1", () => {
      const address = server.address();
      resolve({ server, address: `http://localhost:${typeof address === "object" && address ? address.port : port}/` });
    });
  });
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  const flag = process.argv.indexOf("--port");
  const wanted = flag > 0 ? Number(process.argv[flag + 1]) : 8017;
  const { address } = await serve(wanted).catch(() => serve(0));
  console.log(`Riffloom is at ${address}  (Ctrl-C stops it)`);
}
