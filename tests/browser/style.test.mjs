// No rule of one view's sheet can reach into another view: every selector begins at a root that is the sheet's own.
//
// Chromium reads the sheets, so what is checked is what a browser makes of them.
import assert from "node:assert/strict";
import { readdirSync, readFileSync } from "node:fs";
import { after, test } from "node:test";
import { fileURLToPath } from "node:url";
import { openProfile } from "./lib.mjs";

const folder = fileURLToPath(new URL("../../www/style/", import.meta.url));

/** Sheets of what several views draw with: another view's sheet may name their classes, below its own root. */
const SHARED = ["base", "panel", "form", "strip", "cloth", "pad", "ticks"];

/** What a view's selectors begin with; `.name` where nothing is said. */
const ROOTS = /** @type {Record<string, string[]>} */ ({
  noscript: ["body"],
  head: [".top", ".name", ".tabs", ".kept", "#pass", "#help", "#large"],
  listen: [".ear", ".ear-text", ".ear-on", ".ear-meter", ".ear-room", ".ear-delay", ".tuner"],
  free: [".free", ".looks-back"],
  pass: [".passing"],
  vary: [".ways", ".varied"],
  keys: [".instrument"],
  words: [".words", ".first-minute"],
  help: ["#help-more", ".help-close"],
  notebook: [".notebook", ".choruses"],
  past: [".today", ".look-back"],
  drill: [".drill", ".places", ".drilling", ".finding", ".staying"],
  practice: [".how", ".to-play", ".after", '[data-tab="practice"]'],
  starters: [".starters", ".starters-door"],
  staff: [".staff", ".staff-music", ".staff-ways", ".staff-about", ".print-dialog"],
  engraved: [".engraved"],
  sheet: [".sheet", ".printing"],
  verse: [".verse", ".sung"],
  lesson: [".lesson", ".has-lesson"],
  class: [".class-room", ".class-paper", ".printing-class"],
  chorus: [".chorus", ".drag-ghost", '[data-tab="chorus"]'],
});

/** What the whole page is doing, which may stand before a root: attributes and classes of its body. */
const STATE = /^(?:(?:\[data-(?:tab|sight)="[a-z]+"\]|\.(?:playing|beginning|with-neck)|:not\(\.playing\))+ )/;

/** An empty page: no view is needed for this. */
const { page, context } = await openProfile("http://localhost/");
after(() => context.close());

/**
 * The selectors of a sheet, each by itself.
 * @param {string} text
 * @returns {Promise<string[]>}
 */
function selectors(text) {
  return page.evaluate((text) => {
    const sheet = new CSSStyleSheet();
    sheet.replaceSync(text);
    const within = (/** @type {CSSRuleList} */ rules) =>
      /** @type {string[]} */ (
        [...rules].flatMap((rule) => {
          if (rule instanceof CSSStyleRule) return rule.selectorText.split(/,\s*(?![^(]*\))/);
          return rule instanceof CSSGroupingRule ? within(rule.cssRules) : [];
        })
      );
    return within(sheet.cssRules);
  }, text);
}

/** Whether a selector begins with this root, whatever else is said of the same element. */
function beginsWith(/** @type {string} */ selector, /** @type {string} */ root) {
  const [first = ""] = selector.split(/[ >+~]/);
  return new RegExp(`${escaped(root)}(?![\\w-])`).test(first.replace(/:not\(.*?\)/g, ""));
}

const escaped = (/** @type {string} */ text) => text.replace(/[.*+?^${}()|[\]\\]/g, "\\$&");

/**
 * Every selector that could reach what another sheet draws, and why.
 * @param {Record<string, string>} sheets
 */
async function findings(sheets) {
  const found = [];
  /** @type {Map<string, string>} */
  const owners = new Map();
  for (const [name, text] of Object.entries(sheets)) {
    const roots = ROOTS[name] ?? [`.${name}`];
    for (const whole of await selectors(text)) {
      const own = roots.some((root) => beginsWith(whole, root));
      const selector = own ? whole : whole.replace(STATE, "");
      if (!SHARED.includes(name) && !own && !roots.some((root) => beginsWith(selector, root)))
        found.push(`${name}.css: “${whole}” begins with none of ${roots.join(", ")}`);
      const [first = ""] = selector.split(/[ >+~:]/);
      const leads = /[.#][\w-]+/.exec(first)?.[0];
      if (!leads) continue;
      const owner = owners.get(leads) ?? name;
      if (owner !== name)
        found.push(`${name}.css: “${whole}” begins with ${leads}, as a selector of ${owner}.css does`);
      owners.set(leads, owner);
    }
  }
  return found;
}

test("no view's styles reach into another view", async () => {
  const names = readdirSync(folder)
    .filter((name) => name.endsWith(".css"))
    .map((name) => name.slice(0, -4));
  const sheets = Object.fromEntries(
    names
      .filter((name) => !["page", "tokens"].includes(name))
      .map((name) => [name, readFileSync(`${folder}${name}.css`, "utf8")]),
  );
  assert.deepEqual(await findings(sheets), []);
});

test("a class that two sheets begin with is found, and one that begins outside its view", async () => {
  const found = await findings({
    past: ".look-back .legend { color: red } .legend { display: inline-flex }",
    words: "@media (max-width: 700px) { .legend li { display: flex } } .playing .words p { color: red }",
  });
  assert.deepEqual(found, [
    "past.css: “.legend” begins with none of .today, .look-back",
    "words.css: “.legend li” begins with none of .words, .first-minute",
    "words.css: “.legend li” begins with .legend, as a selector of past.css does",
  ]);
});
