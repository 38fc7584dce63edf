// Bundles www/ into dist/: one script, one style sheet, workers and worklets beside them, and the service worker with
// the list of files and a version made from their contents.
import { createHash } from "node:crypto";
import { cpSync, existsSync, mkdirSync, readdirSync, readFileSync, renameSync, rmSync, statSync, writeFileSync } from "node:fs";
import { basename, join } from "node:path";
import { fileURLToPath } from "node:url";
import { build } from "esbuild";

const root = fileURLToPath(new URL("..", import.meta.url));
const [www, dist, next] = ["www", "dist", "target/dist-next"].map((folder) => join(root, folder));

/** What is copied as it is. */
const COPIED = ["index.html", "manifest.webmanifest", "icons"];
/** The oldest engines that the page is written for. */
const ENGINES = ["chrome111", "firefox115", "safari16.4"];

rmSync(next, { recursive: true, force: true });
mkdirSync(next, { recursive: true });
/** @type {import("esbuild").BuildOptions} */
const how = {
  absWorkingDir: www,
  outdir: next,
  outbase: www,
  bundle: true,
  minify: true,
  format: "esm",
  target: ENGINES,
  legalComments: "none",
  logLevel: "warning",
};
// The page's script is cut where it imports a room's; what it shares with the workers comes once for all of them.
const entryPoints = ["app.js", ...scripts("rooms"), ...scripts("workers"), "style/page.css", "style/noscript.css", ...sheets()];
const { metafile } = await build({ ...how, entryPoints, splitting: true, chunkNames: "shared/[name]-[hash]", metafile: true });
for (const name of COPIED) cpSync(join(www, name), join(next, name), { recursive: true });
cpSync(join(www, "pkg/riffloom_bg.wasm"), join(next, "riffloom_bg.wasm"));
cpSync(join(www, "pkg/rooms"), join(next, "rooms"), { recursive: true });
fetchEarly();
nameGuard();
stampServiceWorker();
// In one go, so that a page opened meanwhile gets the old version or the new one.
rmSync(dist, { recursive: true, force: true });
renameSync(next, dist);

/** The sheets of the rooms. */
function sheets() {
  return readdirSync(join(www, "style/rooms")).map((name) => `style/rooms/${name}`);
}

/** @param {string} folder */
function scripts(folder) {
  if (!existsSync(join(www, folder))) return [];
  return readdirSync(join(www, folder)).filter((name) => name.endsWith(".js")).map((name) => `${folder}/${name}`);
}

/** @param {string} name a picture for a home screen, which the browser fetches when the page is installed? */
function isForInstalling(name) {
  return /^icons\/.*\.png$/.test(name);
}

/** Has the page ask for what its script imports, and for the module, while the script itself is still on its way. */
function fetchEarly() {
  const output = (/** @type {string} */ path) => Object.entries(metafile.outputs).find(([name]) => name.endsWith(path))?.[1];
  const imported = output("/app.js")?.imports.filter(({ kind }) => kind === "import-statement") ?? [];
  const links = imported.map(({ path }) => `<link rel="modulepreload" href="shared/${basename(path)}" />`);
  links.push('<link rel="preload" href="riffloom_bg.wasm" as="fetch" type="application/wasm" crossorigin />');
  const page = readFileSync(join(next, "index.html"), "utf8");
  const place = /( *)<script type="module"/;
  if (!place.test(page)) throw new Error("www/index.html has no script");
  writeFileSync(join(next, "index.html"), page.replace(place, (script, space) => links.map((link) => `${space}${link}\n`).join("") + script));
}

/** Puts the hash of the only script that stands in index.html into the policy there. */
function nameGuard() {
  const page = readFileSync(join(next, "index.html"), "utf8");
  const [guard, ...others] = [...page.matchAll(/<script>(.*?)<\/script>/gs)].map(([, text = ""]) => text);
  const named = page.replace("sha256-GUARD", `sha256-${createHash("sha256").update(guard ?? "").digest("base64")}`);
  if (!guard || others.length > 0 || named === page) throw new Error("www/index.html has no place for the hash of its one script");
  writeFileSync(join(next, "index.html"), named);
}

/** Writes sw.js with the list of all other files that the page uses, and a version that changes when any of them, or sw.js, does. */
function stampServiceWorker() {
  const worker = readFileSync(join(www, "sw.js"), "utf8");
  const files = readdirSync(next, { recursive: true, encoding: "utf8" })
    .filter((name) => statSync(join(next, name)).isFile())
    .map((name) => name.replaceAll("\\", "/"))
    .sort();
  const hash = createHash("sha256").update(worker);
  for (const name of files) hash.update(name).update(readFileSync(join(next, name)));
  const stamped = worker
    .replace('"VERSION"', JSON.stringify(hash.digest("hex").slice(0, 16)))
    .replace('["FILES"]', JSON.stringify(["./", ...files.filter((name) => name !== "index.html" && !isForInstalling(name))]));
  if (/"VERSION"|\["FILES"\]/.test(stamped) || stamped === worker) throw new Error("www/sw.js has no place for the list");
  writeFileSync(join(next, "sw.js"), stamped);
}
