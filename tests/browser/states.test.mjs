// No barrier in any state of the page that pictures are taken of: on a laptop and on the narrowest phone, light, dark, and
// in the colours of the system; and no state scrolls sideways. The rules are those of axe-core, which stand for the Web
// Content Accessibility Guidelines 2.2.
import assert from "node:assert/strict";
import { accessibilityFindings, browserTest, pageReady } from "./lib.mjs";
import { STATES } from "./states.mjs";

/** Other colours change nothing but contrast. */
const LOOKS = /** @type {const} */ ([
  { name: "light", media: { colorScheme: "light", forcedColors: "none" } },
  { name: "dark", media: { colorScheme: "dark", forcedColors: "none" }, rules: ["color-contrast"] },
  { name: "forced", media: { colorScheme: "light", forcedColors: "active" }, rules: ["color-contrast"] },
]);

for (const { size, context } of /** @type {const} */ ([
  { size: "a laptop", context: { viewport: { width: 1366, height: 768 }, reducedMotion: "reduce" } },
  {
    size: "the narrowest phone",
    context: { viewport: { width: 320, height: 568 }, reducedMotion: "no-preference", hasTouch: true },
  },
]))
  browserTest(`no barrier in any state on ${size}`, { context, takesMinutes: true }, async ({ page, site, t }) => {
    page.setDefaultTimeout(20_000);
    await page.goto(site.address);
    await pageReady(page);
    /** @type {string[]} */
    const found = [];
    for (const [state, goThere] of STATES) {
      await goThere(page).catch((error) => found.push(`${state}: no way there: ${String(error).split("\n")[0]}`));
      for (const { name, media, rules } of LOOKS) {
        await page.emulateMedia(media);
        const findings = await accessibilityFindings(page, rules ? { rules: [...rules] } : {});
        found.push(...findings.map((finding) => `${state}, ${name}: ${finding}`));
      }
      await page.emulateMedia({ colorScheme: "light", forcedColors: "none" });
      const across = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
      if (across > 0) found.push(`${state}: scrolls ${across} px sideways`);
    }
    t.diagnostic(`${STATES.length} states, ${LOOKS.length} looks`);
    assert.deepEqual(found, []);
  });
