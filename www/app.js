// Boot only: open the notebook, keep the page for use without a network.
import { open } from "./session.js";
import { keepOffline } from "./offline.js";

const session = await open();
const core = document.querySelector("#core");
if (core) core.textContent = `${session.screen.notebook?.summary}`;
performance.mark("riffloom:ready");
keepOffline(() => {});
