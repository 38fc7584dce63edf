// WebKit as GTK has it, by WebDriver (https://www.w3.org/TR/webdriver2/). It stands in for Safari and is not Safari.
import { spawn } from "node:child_process";
import { existsSync, mkdirSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { createServer } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";

const LIBRARIES = ["webkitgtk-6.0", "webkit2gtk-4.1", "webkit2gtk-4.0"];
/** Keys that are not letters, as the table "Normalized key values" of the specification has them. @type {Record<string, string>} */
const KEYS = {
  Backspace: "\uE003",
  Tab: "\uE004",
  Enter: "\uE007",
  Shift: "\uE008",
  Escape: "\uE00C",
  " ": " ",
  PageUp: "\uE00E",
  PageDown: "\uE00F",
  ArrowLeft: "\uE012",
  ArrowUp: "\uE013",
  ArrowRight: "\uE014",
  ArrowDown: "\uE015",
  Delete: "\uE017",
};

/** The small browser that comes with the library; the variable WEBKIT names another one. */
function program() {
  const folders = [
    "/usr/libexec",
    ...readdirSync("/usr/lib")
      .filter((name) => /-linux-gnu/.test(name))
      .map((name) => `/usr/lib/${name}`),
  ];
  const paths = folders.flatMap((folder) => LIBRARIES.map((library) => `${folder}/${library}/MiniBrowser`));
  const found = process.env.WEBKIT ?? paths.find((path) => existsSync(path));
  if (!found)
    throw new Error("no WebKit found: run scripts/setup engines, or set WEBKIT to the path of its MiniBrowser");
  return found;
}

/**
 * Starts a screen of its own, WebKit and its driver.
 * @param {{ dark?: boolean }} options
 * @returns {Promise<import("./engine.mjs").Engine>}
 */
export async function openWebkit({ dark = false } = {}) {
  const binary = program();
  const screen = await startScreen();
  const port = await freePort();
  const home = makeHome(dark);
  const env = { ...process.env, ...home.env, DISPLAY: screen.display };
  const driver = spawn("WebKitWebDriver", [`--port=${port}`], { stdio: "ignore", env });
  driver.on("error", (error) => console.error(error.message));
  const stop = () => {
    driver.kill();
    screen.stop();
    home.remove();
  };
  try {
    await answers(port);
    const browser = { binary, args: ["--automation"] };
    const session = await ask(port, "POST", "/session", {
      capabilities: { alwaysMatch: { "webkitgtk:browserOptions": browser } },
    });
    return engine(port, session, stop);
  } catch (error) {
    stop();
    throw error;
  }
}

/**
 * @param {number} port
 * @param {{ sessionId: string, capabilities: { browserName: string, browserVersion: string } }} session
 * @param {() => void} stop
 * @returns {import("./engine.mjs").Engine}
 */
function engine(port, { sessionId, capabilities }, stop) {
  const post = (/** @type {string} */ what, /** @type {object} */ body = {}) =>
    ask(port, "POST", `/session/${sessionId}${what}`, body);
  const perform = (/** @type {object} */ source) => post("/actions", { actions: [source] });
  /** @type {import("./engine.mjs").Engine["run"]} */
  const run = async (body, ...rest) => {
    const script = `const done = arguments[arguments.length - 1];
      (async () => (${body})(...arguments[0]))().then((value) => done({ value }), (error) => done({ error: String(error) }));`;
    const { value, error } = await post("/execute/async", { script, args: [rest] });
    if (error) throw new Error(error);
    return value;
  };
  return {
    name: `WebKit ${capabilities.browserVersion}`,
    run,
    goto: (address) => post("/url", { url: address }),
    reload: () => post("/refresh"),
    mouse: (moves) =>
      perform({ type: "pointer", id: "mouse", parameters: { pointerType: "mouse" }, actions: moves.map(action) }),
    press: (key, shift) => {
      const values = shift ? [KEYS[shift], KEYS[key] ?? key] : [KEYS[key] ?? key];
      const steps = [
        ...values.map((value) => ["keyDown", value]),
        ...values.toReversed().map((value) => ["keyUp", value]),
      ];
      return perform({ type: "key", id: "keyboard", actions: steps.map(([type, value]) => ({ type, value })) });
    },
    async resize(width, height) {
      // The window has a bar of its own, so it is made larger by what is missing; it follows after a moment.
      for (let tries = 0; tries < 40; tries++) {
        const [across, down] = await run(() => [innerWidth, innerHeight]);
        if (across === width && down === height) return;
        if (tries % 10 === 0) {
          const window = await ask(port, "GET", `/session/${sessionId}/window/rect`);
          await post("/window/rect", {
            x: 0,
            y: 0,
            width: window.width + width - across,
            height: window.height + height - down,
          });
        }
        await new Promise((resolve) => setTimeout(resolve, 25));
      }
      throw new Error(`the window could not be made ${width} × ${height}`);
    },
    picture: async () => Buffer.from(await ask(port, "GET", `/session/${sessionId}/screenshot`), "base64"),
    async close() {
      await ask(port, "DELETE", `/session/${sessionId}`).catch(() => {});
      stop();
    },
  };
}

/** @param {import("./engine.mjs").Move} move */
function action(move) {
  if (move === "down") return { type: "pointerDown", button: 0 };
  if (move === "up") return { type: "pointerUp", button: 0 };
  if ("to" in move) return { type: "pointerMove", duration: 0, ...move.to };
  return { type: "pause", duration: move.wait };
}

/**
 * @param {number} port
 * @param {string} method
 * @param {string} path
 * @param {object} [body]
 */
async function ask(port, method, path, body) {
  const response = await fetch(`http://127.0.0.1:${port}${path}`, { method, body: body && JSON.stringify(body) });
  const { value } = /** @type {any} */ (await response.json());
  if (!response.ok) throw new Error(`${path}: ${value.error}: ${value.message}`);
  return value;
}

/** @param {number} port */
async function answers(port) {
  for (let tries = 0; tries < 200; tries++) {
    if (await ask(port, "GET", "/status").catch(() => null)) return;
    await new Promise((resolve) => setTimeout(resolve, 50));
  }
  throw new Error("WebKit's driver does not answer");
}

/**
 * A place for settings and for what is kept. The bar of the window is made as small as it goes: the window could not be
 * as narrow as a phone otherwise.
 * @param {boolean} dark
 */
function makeHome(dark) {
  const folder = mkdtempSync(join(tmpdir(), "riffloom-webkit-"));
  for (const version of ["gtk-3.0", "gtk-4.0"]) {
    mkdirSync(join(folder, version));
    writeFileSync(
      join(folder, version, "gtk.css"),
      "toolbar *, headerbar *, box > button, entry { min-width: 0; padding: 0; margin: 0; border: 0; }\n",
    );
  }
  const env = {
    XDG_CONFIG_HOME: folder,
    XDG_DATA_HOME: folder,
    XDG_CACHE_HOME: folder,
    GTK_THEME: dark ? "Adwaita:dark" : "Adwaita",
  };
  return { env, remove: () => rmSync(folder, { recursive: true, force: true }) };
}

/** A screen that nobody looks at; it takes the first number that is free and tells it. */
async function startScreen() {
  const server = spawn("Xvfb", ["-displayfd", "1", "-screen", "0", "2000x1400x24", "-nolisten", "tcp"], {
    stdio: ["ignore", "pipe", "ignore"],
  });
  const number = await new Promise((resolve, reject) => {
    server.once("error", reject);
    server.once("exit", () => reject(new Error("Xvfb does not start")));
    server.stdout.once("data", (data) => resolve(String(data).trim()));
  });
  return { display: `:${number}`, stop: () => void server.kill() };
}

/** @returns {Promise<number>} */
function freePort() {
  return new Promise((resolve, reject) => {
    const server = createServer();
    server.once("error", reject);
    server.listen(0, "127.0.0.1", () => {
      const address = server.address();
      server.close(() => resolve(address && typeof address === "object" ? address.port : 0));
    });
  });
}
