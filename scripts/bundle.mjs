// Bundles www/ into dist/: one script, one style sheet, workers and worklets beside them, and the service worker with
// the list of files and a version made from their contents.
import { createHash } from "node:crypto";
import {
  cpSync,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  statSync,
  writeFileSync,
} from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { nodeResolve } from "@rollup/plugin-node-resolve";
import { build, transform } from "esbuild";
import { rollup } from "rollup";
import { oneFile } from "./one-file.mjs";

const root = fileURLToPath(new URL("..", import.meta.url));
const [www, dist, next] = ["www", "dist", "target/dist-next"].map((folder) => join(root, folder));

/** What is copied as it is. */
const COPIED = ["index.html", "manifest.webmanifest", "icons"];
/** The page as one file, for places without a network; it is no part of the page that is served. */
const ONE_FILE = "riffloom.html";
/** The sheet of paper as one file, into which `riffloom sheet` puts what is to be printed; no part of the page either. */
const SHEET_FILE = "sheet.html";
/** The oldest engines that the page is written for. */
const ENGINES = ["chrome111", "firefox115", "safari16.4"];

/** The signs of music that the page draws, of the hundreds in the engraver's font (names: SMuFL). */
const GLYPHS =
  /^(noteheadWhole|noteheadHalf|noteheadBlack|noteheadXBlack|unpitchedPercussionClef1|flag\d+(th|nd)(Up|Down)|rest(Whole|Half|Quarter|\d+(th|nd))|accidental(Flat|Natural|Sharp|DoubleSharp|DoubleFlat)|[cfg]Clef|timeSig\d|articAccent(Above|Below))$/;

/** @type {import("esbuild").TransformOptions} */
const SMALL = { minify: true, format: "esm", target: ENGINES, legalComments: "none" };
const minify = {
  name: "minify",
  /** @param {string} code */
  renderChunk: (code) => transform(code, SMALL),
};

/** Finds the engraver's modules one by one, and leaves of its font what is drawn: together half of its weight. */
const engraver = {
  name: "engraver",
  /** @param {string} source */
  resolveId: (source) =>
    source.startsWith("vexflow/")
      ? join(root, "node_modules/vexflow/build/esm/src", source.slice("vexflow/".length))
      : null,
  /** @param {string} id */
  async load(id) {
    if (!id.endsWith("bravura_glyphs.js")) return null;
    const { BravuraFont: font } = await import(id);
    const glyphs = Object.fromEntries(Object.entries(font.glyphs).filter(([name]) => GLYPHS.test(name)));
    return `export const BravuraFont = ${JSON.stringify({ ...font, glyphs })};`;
  },
};

rmSync(next, { recursive: true, force: true });
mkdirSync(next, { recursive: true });
const chunks = await bundleScripts();
await build({
  absWorkingDir: www,
  outdir: next,
  outbase: www,
  bundle: true,
  minify: true,
  target: ENGINES,
  legalComments: "none",
  logLevel: "warning",
  entryPoints: ["style/page.css", "style/noscript.css", ...sheets()],
});
for (const name of COPIED) cpSync(join(www, name), join(next, name), { recursive: true });
cpSync(join(www, "pkg/riffloom_bg.wasm"), join(next, "riffloom_bg.wasm"));
cpSync(join(www, "pkg/rooms"), join(next, "rooms"), { recursive: true });
// Beside the other things that come when they are asked for.
if (existsSync(join(www, "listen-model.bin")))
  cpSync(join(www, "listen-model.bin"), join(next, "rooms/listen-model.bin"));
fetchEarly();
nameGuard();
const served = filesIn(next);
writeFileSync(
  join(next, ONE_FILE),
  oneFile(
    next,
    await wholeScripts(),
    served.filter((name) => /\.(wasm|bin)$|^style\/rooms\//.test(name)),
  ),
);
writeFileSync(join(next, SHEET_FILE), await sheetFile());
stampServiceWorker(served);
// In one go, so that a page opened meanwhile gets the old version or the new one.
rmSync(dist, { recursive: true, force: true });
renameSync(next, dist);

/**
 * Cuts the page's script where it imports a room's. What opens the page is one file, and what it shares with the workers
 * another, which comes once for all of them: fewer files pack better and come sooner.
 */
async function bundleScripts() {
  const workers = scripts("workers");
  const entries = ["app.js", ...scripts("rooms"), ...workers, ...scripts("audio")];
  const input = Object.fromEntries(entries.map((name) => [name.replace(/\.js$/, ""), join(www, name)]));
  const bundle = await read(input);
  const { output } = await bundle.write({
    dir: next,
    entryFileNames: "[name].js",
    chunkFileNames: "shared/[name]-[hash].js",
    manualChunks(id, { getModuleInfo }) {
      const isReached = (/** @type {string} */ from) =>
        reached(join(www, from), (each) => getModuleInfo(each)?.importedIds ?? []).has(id);
      if (!isReached("app.js")) return null;
      return workers.some(isReached) ? "core" : "first";
    },
    plugins: [minify],
  });
  return output.filter((each) => each.type === "chunk");
}

/** The scripts that the page starts, each in one piece with all that it imports. */
async function wholeScripts() {
  const names = ["app.js", ...scripts("workers"), ...scripts("audio")];
  const whole = names.map(async (name) => {
    const bundle = await read(join(www, name));
    // From a file a browser starts no worker that is a module.
    const format = name.startsWith("workers/") ? "iife" : "es";
    const { output } = await bundle.generate({ inlineDynamicImports: true, format });
    return [name, (await transform(output[0].code, { ...SMALL, format: undefined })).code];
  });
  return Object.fromEntries(await Promise.all(whole));
}

/** The sheet of paper: its layout, its engraver and its styles, and an empty place for what is to be laid out. */
async function sheetFile() {
  const bundle = await read(join(www, "sheet-file.js"));
  const { output } = await bundle.generate({ format: "iife" });
  const { code } = await transform(output[0].code, { ...SMALL, format: undefined });
  const styles = await build({
    absWorkingDir: www,
    entryPoints: ["sheet-file.css"],
    bundle: true,
    minify: true,
    write: false,
    target: ENGINES,
  });
  return [
    "<!doctype html>",
    '<html lang="en">',
    '<head><meta charset="utf-8"><title>Sheet</title>',
    `<style>${styles.outputFiles[0]?.text.trim()}</style></head>`,
    "<body>",
    '<script type="application/json" id="sheet-data">null</script>',
    `<script>${code.trim().replaceAll("</script", "<\\/script")}</script>`,
    "</body></html>",
    "",
  ].join("\n");
}

/** @param {import("rollup").InputOption} input */
function read(input) {
  return rollup({
    input,
    plugins: [engraver, nodeResolve()],
    // The module's glue and its doors know each other, as they must, and the engraver's modules look for a `this`.
    onLog: (level, log, say) =>
      !["CIRCULAR_DEPENDENCY", "THIS_IS_UNDEFINED"].includes(log.code ?? "") && say(level, log),
  });
}

/**
 * What is reached from a module, itself among it.
 * @param {string} id
 * @param {(id: string) => readonly string[]} imports what each imports at once
 * @param {Set<string>} [found]
 */
function reached(id, imports, found = new Set()) {
  if (found.has(id)) return found;
  found.add(id);
  for (const each of imports(id)) reached(each, imports, found);
  return found;
}

/** The sheets of the rooms. */
function sheets() {
  return readdirSync(join(www, "style/rooms")).map((name) => `style/rooms/${name}`);
}

/** @param {string} folder */
function scripts(folder) {
  if (!existsSync(join(www, folder))) return [];
  return readdirSync(join(www, folder))
    .filter((name) => name.endsWith(".js"))
    .map((name) => `${folder}/${name}`);
}

/** @param {string} name a picture for a home screen, which the browser fetches when the page is installed? */
function isForInstalling(name) {
  return /^icons\/.*\.png$/.test(name);
}

/** Has the page ask for what its script imports, and for the module, while the script itself is still on its way. */
function fetchEarly() {
  const early = (/** @type {string} */ name) => chunks.find(({ fileName }) => fileName === name)?.imports ?? [];
  const imported = new Set(early("app.js").flatMap((name) => [name, ...early(name)]));
  const links = [...imported].map((name) => `<link rel="modulepreload" href="${name}" />`);
  links.push('<link rel="preload" href="riffloom_bg.wasm" as="fetch" type="application/wasm" crossorigin />');
  const page = readFileSync(join(next, "index.html"), "utf8");
  const place = /( *)<script type="module"/;
  if (!place.test(page)) throw new Error("www/index.html has no script");
  writeFileSync(
    join(next, "index.html"),
    page.replace(place, (script, space) => links.map((link) => `${space}${link}\n`).join("") + script),
  );
}

/** Puts the hash of the only script that stands in index.html into the policy there. */
function nameGuard() {
  const page = readFileSync(join(next, "index.html"), "utf8");
  const [guard, ...others] = [...page.matchAll(/<script>(.*?)<\/script>/gs)].map(([, text = ""]) => text);
  const named = page.replace(
    "sha256-GUARD",
    `sha256-${createHash("sha256")
      .update(guard ?? "")
      .digest("base64")}`,
  );
  if (!guard || others.length > 0 || named === page)
    throw new Error("www/index.html has no place for the hash of its one script");
  writeFileSync(join(next, "index.html"), named);
}

/** The files in a folder, by their paths below it. @param {string} folder */
function filesIn(folder) {
  return readdirSync(folder, { recursive: true, encoding: "utf8" })
    .filter((name) => statSync(join(folder, name)).isFile())
    .map((name) => name.replaceAll("\\", "/"))
    .sort();
}

/**
 * Writes sw.js with the list of all other files that the page uses, and a version that changes when any of them, or sw.js,
 * does.
 * @param {string[]} files
 */
function stampServiceWorker(files) {
  const worker = readFileSync(join(www, "sw.js"), "utf8");
  const hash = createHash("sha256").update(worker);
  for (const name of files) hash.update(name).update(readFileSync(join(next, name)));
  const stamped = worker
    .replace('"VERSION"', JSON.stringify(hash.digest("hex").slice(0, 16)))
    .replace(
      '["FILES"]',
      JSON.stringify(["./", ...files.filter((name) => name !== "index.html" && !isForInstalling(name))]),
    );
  if (/"VERSION"|\["FILES"\]/.test(stamped) || stamped === worker)
    throw new Error("www/sw.js has no place for the list");
  writeFileSync(join(next, "sw.js"), stamped);
}
