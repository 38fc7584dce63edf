// Bundles www/ into dist/: one script, one style sheet, workers and worklets beside them, and the service worker with
// the list of files and a version made from their contents.
import { createHash } from "node:crypto";
import { cpSync, existsSync, mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { build } from "esbuild";

const root = fileURLToPath(new URL("..", import.meta.url));
const [www, dist] = [join(root, "www"), join(root, "dist")];
rmSync(dist, { recursive: true, force: true });
mkdirSync(dist, { recursive: true });

const workers = existsSync(join(www, "workers")) ? readdirSync(join(www, "workers")).map((name) => `workers/${name}`) : [];
await build({
  absWorkingDir: www,
  entryPoints: ["app.js", "style/page.css", ...workers],
  outdir: dist,
  bundle: true,
  minify: true,
  format: "esm",
  target: ["chrome111", "firefox115", "safari16.4"],
  loader: { ".wasm": "file" },
  legalComments: "none",
  logLevel: "warning",
});
for (const name of ["index.html", "manifest.webmanifest", "icons"]) cpSync(join(www, name), join(dist, name), { recursive: true });
cpSync(join(www, "pkg/riffloom_bg.wasm"), join(dist, "riffloom_bg.wasm"));

const files = readdirSync(dist, { recursive: true, withFileTypes: true })
  .filter((entry) => entry.isFile())
  .map((entry) => join(entry.parentPath, entry.name).slice(dist.length + 1))
  .sort();
const hash = createHash("sha256");
for (const name of files) hash.update(name).update(readFileSync(join(dist, name)));
const version = hash.digest("hex").slice(0, 16);
const worker = readFileSync(join(www, "sw.js"), "utf8")
  .replace('"VERSION"', JSON.stringify(version))
  .replace('["FILES"]', JSON.stringify(["./", ...files.filter((name) => name !== "index.html")]));
writeFileSync(join(dist, "sw.js"), worker);
