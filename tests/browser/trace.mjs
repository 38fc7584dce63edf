// What the browser's threads did while something was done to a page.

/**
 * All trace events of `categories` while `act` runs.
 * @param {import("playwright-core").Browser} browser
 * @param {string[]} categories
 * @param {() => Promise<void>} act
 * @returns {Promise<any[]>}
 */
export async function traced(browser, categories, act) {
  const devtools = await browser.newBrowserCDPSession();
  /** @type {any[]} */
  const events = [];
  devtools.on("Tracing.dataCollected", ({ value }) => events.push(...value));
  await devtools.send("Tracing.start", {
    transferMode: "ReportEvents",
    traceConfig: { includedCategories: categories },
  });
  await act();
  const complete = new Promise((resolve) => devtools.once("Tracing.tracingComplete", resolve));
  await devtools.send("Tracing.end");
  await complete;
  return events;
}

/**
 * The events that are presses of a key.
 * @param {any[]} events
 */
export function keyPresses(events) {
  return events.filter(
    (event) => event.name === "EventDispatch" && event.args?.data?.type === "keydown" && event.ph === "X",
  );
}

/**
 * What the main thread spends on each key press in `act`, from the press to the frame that shows it, in milliseconds:
 * `laidOut` until script, style and layout are done, `drawn` until the frame is handed over.
 * @param {import("playwright-core").Browser} browser
 * @param {() => Promise<void>} act
 */
export async function frameCosts(browser, act) {
  const events = await traced(browser, ["devtools.timeline", "disabled-by-default-devtools.timeline", "toplevel"], act);
  const presses = keyPresses(events);
  const { pid, tid } = presses[0];
  const spans = events
    .filter((event) => event.ph === "X" && event.pid === pid && event.tid === tid)
    .sort((a, b) => a.ts - b.ts || b.dur - a.dur);
  return presses.map((press) => {
    const shown = spans.find((span) => span.name === "Commit" && span.ts > press.ts);
    const end = shown ? shown.ts + shown.dur : Infinity;
    const within = spans.filter((span) => span.ts >= press.ts && span.ts < end);
    // Time for which the thread had a processor, where the system counts it: a busy machine then measures alike.
    const spent = (/** @type {any[]} */ parts) => parts.reduce((sum, part) => sum + (part.tdur ?? part.dur), 0) / 1000;
    const laid = within.filter((span) => span.name === "UpdateLayoutTree" || span.name === "Layout");
    const tasks = within.filter((span) => span.name === "RunTask");
    return { laidOut: spent([press, ...laid]), drawn: spent([press, ...tasks]) };
  });
}

/**
 * What the main thread spends from a click on `button` until the page has drawn what is to be seen in `list` then, in
 * milliseconds.
 * @param {import("playwright-core").Page} page
 * @param {import("playwright-core").Locator} button
 * @param {string} list a selector
 * @param {boolean} changes whether the list must have changed, or need only be in sight
 */
export async function whenShown(page, button, list, changes) {
  const browser = page.context().browser();
  if (!browser) throw new Error("the page belongs to no browser that can be traced");
  const shown = await page.evaluateHandle(([list, changes]) => {
    let clicked = false;
    let changed = !changes;
    addEventListener(
      "click",
      () => {
        clicked = true;
        performance.mark("clicked");
      },
      { capture: true, once: true },
    );
    const watched = document.querySelector(list);
    if (watched) new MutationObserver(() => (changed = true)).observe(watched, { childList: true, subtree: true });
    const drawn = new Promise((resolve) => {
      const { port1, port2 } = new MessageChannel();
      port1.onmessage = () => resolve(performance.mark("shown"));
      const look = () => {
        const there = clicked && changed && watched?.checkVisibility() && watched.childElementCount > 0;
        // A message that is sent while a frame is made comes when it is drawn.
        if (there) port2.postMessage("");
        else requestAnimationFrame(look);
      };
      requestAnimationFrame(look);
    });
    return { drawn };
  }, /** @type {const} */ ([list, changes]));
  const events = await traced(browser, ["blink.user_timing"], async () => {
    await button.click();
    await shown.evaluate(({ drawn }) => drawn);
  });
  const [clicked, drawn] = ["clicked", "shown"].map((name) => events.find((event) => event.name === name));
  return (drawn.tts !== undefined ? drawn.tts - clicked.tts : drawn.ts - clicked.ts) / 1000;
}
