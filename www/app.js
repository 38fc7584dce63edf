// Boot only: start the core, keep the page for use without a network.
import init, { version } from "./pkg/riffloom.js";
import { keepOffline } from "./offline.js";

await init({ module_or_path: "riffloom_bg.wasm" });
const core = document.querySelector("#core");
if (core) core.textContent = `The core is ready (${version()}).`;
performance.mark("riffloom:ready");
keepOffline(() => {});
