// Boot only: open the notebook, mount the views, keep the page for use without a network.
import { keepOffline } from "./offline.js";
import { Places } from "./places.js";
import { open } from "./session.js";
import { say } from "./views/dom.js";
import { focusWhatIsClicked } from "./views/focus.js";
import { mountHelp } from "./views/help.js";
import { mountAlong } from "./views/along.js";
import { mountForm } from "./views/form.js";
import { mountKeys } from "./views/keys.js";
import { mountMessage } from "./views/message.js";
import { mountNow } from "./views/now.js";
import { mountShare, openFromAddress } from "./views/share.js";
import { mountStrip } from "./views/strip.js";
import { mountTabs } from "./views/tabs.js";
import { mountTaking } from "./views/taking.js";
import { mountTools } from "./views/tools.js";
import { mountTune } from "./views/tune.js";
import { mountVaried } from "./views/vary.js";
import { mountWords } from "./views/words.js";

focusWhatIsClicked();
const session = await open();
const message = mountMessage(session);
/** Drawn in the frame of the press itself: what is being written, and the words about it. */
const [strip, words, keys] = [mountStrip(session), mountWords(session), mountKeys(session)];
const atOnce = [mountTools(session), mountVaried(session), strip.update, words.update];
/** Drawn in the frame after it, so that a slow laptop shows the note without waiting for all the bars. */
const afterwards = [mountTune(session), mountForm(session), keys.update];
mountTabs(session);
mountTaking(session);
const places = new Places(session, afterwards);
mountShare(session, places);
mountHelp(session, places);

let owes = false;
/** What a link asked last. */
let asked = "";

/** A link that was made for another instrument asks once what is played here. @param {import("./pkg/riffloom.js").TuneView} tune */
function askFor({ madeForText, madeFor }) {
  if (madeForText === asked) return;
  asked = madeForText;
  if (asked)
    message.ask(
      asked,
      madeFor.map(({ value, text }) => [text, () => session.do({ do: "set-instrument", instrument: value })]),
    );
}

/** @param {import("./session.js").Changed} changed */
function update(changed) {
  for (const view of atOnce) view(changed);
  if (changed.tune) askFor(changed.tune);
  if (changed.spoken) say(changed.spoken);
  if (changed.message) message.say(changed.message, changed.offer);
  else if (changed.save.length + changed.forget.length > 0)
    message.withdraw(changed.save.every((id) => id === "tune") && changed.forget.length === 0);
  if (!owes) requestAnimationFrame(() => setTimeout(drawRest));
  owes = true;
}

/** All of the page, whatever it showed before. */
function drawAll() {
  update(session.screen);
  for (const view of afterwards) view(session.screen);
}

function drawRest() {
  if (!owes) return;
  owes = false;
  const rest = session.rest();
  if (rest.tune) askFor(rest.tune);
  for (const view of [...atOnce, ...afterwards]) view(rest);
  session.dispatchEvent(new CustomEvent("drawn"));
}

// What is shown next was not drawn before: nobody sees it as it was.
session.addEventListener("gone", drawRest);
session.addEventListener("gone", showWhatComes);
session.addEventListener("changed", (event) => update(/** @type {CustomEvent} */ (event).detail));
session.addEventListener("anew", drawAll);
drawAll();
// After the form's own listener, so that the bar that sounds is marked on bars drawn anew.
mountNow(session);
mountAlong(session, { keys, strip, words });
openFromAddress(session);
performance.mark("riffloom:ready");
places.comeAll().finally(() => {
  performance.mark("riffloom:whole");
  keepOffline(message.offerNewVersion);
});

/** Draws the part of the page that is shown as soon as it has come: until then it is an empty frame. */
async function showWhatComes() {
  const shown = session.place;
  if (places.isHere(shown)) return;
  const here = await places.come(shown);
  if (!here) session.dispatchEvent(new CustomEvent("missing"));
  if (!here || session.place !== shown) return;
  owes = true;
  session.dispatchEvent(new CustomEvent("gone"));
}
