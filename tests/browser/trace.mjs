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
  await devtools.send("Tracing.start", { transferMode: "ReportEvents", traceConfig: { includedCategories: categories } });
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
  return events.filter((event) => event.name === "EventDispatch" && event.args?.data?.type === "keydown" && event.ph === "X");
}
