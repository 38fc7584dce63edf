// Boot only: open the notebook, mount the views, keep the page for use without a network.
import { keepOffline } from "./offline.js";
import { open } from "./session.js";
import { mountDrill } from "./views/drill.js";
import { focusWhatIsClicked } from "./views/focus.js";
import { mountForm } from "./views/form.js";
import { mountKeys } from "./views/keys.js";
import { mountMessage } from "./views/message.js";
import { mountNotebook } from "./views/notebook.js";
import { mountPast } from "./views/past.js";
import { mountNow } from "./views/now.js";
import { mountPractice } from "./views/practice.js";
import { mountShare, openFromAddress } from "./views/share.js";
import { mountStrip } from "./views/strip.js";
import { mountTabs } from "./views/tabs.js";
import { mountTaking } from "./views/taking.js";
import { mountTools } from "./views/tools.js";
import { mountTune } from "./views/tune.js";
import { mountVaried } from "./views/vary.js";
import { mountWords } from "./views/words.js";
import { mountFree } from "./views/free.js";
import { mountChorus } from "./views/chorus.js";
import { mountChoruses } from "./views/choruses.js";

focusWhatIsClicked();
const session = await open();
const message = mountMessage(session);
/** Drawn in the frame of the press itself: what is being written, and the words about it. */
const atOnce = [mountTools, mountVaried, mountStrip, mountWords].map((mount) => mount(session));
/** Drawn in the frame after it, so that a slow laptop shows the note without waiting for all the bars. */
const afterwards = [mountTune, mountForm, mountKeys, mountNotebook, mountChorus, mountChoruses, mountFree].map((mount) => mount(session));
mountTabs(session);
mountTaking(session);
mountPractice(session);
mountDrill(session);
mountPast(session);
mountShare(session);

let owes = false;

/** @param {import("./session.js").Changed} changed */
function update(changed) {
  for (const view of atOnce) view(changed);
  if (changed.message) message.say(changed.message, changed.offer);
  else if (changed.save.length + changed.forget.length > 0) message.withdraw();
  if (!owes) requestAnimationFrame(() => setTimeout(drawRest));
  owes = true;
}

function drawRest() {
  if (!owes) return;
  owes = false;
  const rest = session.rest();
  for (const view of [...atOnce, ...afterwards]) view(rest);
  session.dispatchEvent(new CustomEvent("drawn"));
}

// What is shown next was not drawn before: nobody sees it as it was.
session.addEventListener("gone", drawRest);
session.addEventListener("changed", (event) => update(/** @type {CustomEvent} */ (event).detail));
update(session.screen);
for (const view of afterwards) view(session.screen);
// After the form's own listener, so that the bar that sounds is marked on bars drawn anew.
mountNow(session);
openFromAddress(session);
performance.mark("riffloom:ready");
keepOffline(message.offerNewVersion);
