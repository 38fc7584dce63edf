// The built page with a watch on it: what goes wrong is told to the server, so that it is known whatever the engine.
import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { serve } from "../../../scripts/serve.mjs";

const dist = fileURLToPath(new URL("../../../dist", import.meta.url));
const watch = fileURLToPath(new URL("watch.js", import.meta.url));

/** Serves a copy of the page that begins with watch.js. `stop` breaks every connection. */
export async function openWatchedSite() {
  const folder = mkdtempSync(join(tmpdir(), "riffloom-"));
  cpSync(dist, folder, { recursive: true });
  cpSync(watch, join(folder, "watch.js"));
  const [page, worker] = [join(folder, "index.html"), join(folder, "sw.js")];
  writeFileSync(page, readFileSync(page, "utf8").replace('<link rel="manifest"', '<script src="watch.js"></script>$&'));
  writeFileSync(worker, readFileSync(worker, "utf8").replace('"app.js"', '"watch.js",$&'));
  const { server, address } = await serve(0, folder);
  /** @type {string[]} */
  const problems = [];
  const [site] = /** @type {import("node:http").RequestListener[]} */ (server.listeners("request"));
  server.removeAllListeners("request");
  server.on("request", (request, response) => {
    if (request.url !== "/__problem__") return site(request, response);
    let told = "";
    request.on("data", (data) => (told += data));
    request.on("end", () => {
      problems.push(told);
      response.end();
    });
  });
  const stop = async () => {
    if (!server.listening) return;
    const closed = new Promise((resolve) => server.close(resolve));
    server.closeAllConnections();
    await closed;
    rmSync(folder, { recursive: true });
  };
  return { address, problems, stop };
}
