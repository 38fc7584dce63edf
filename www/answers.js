// How a worker answers the page.

/**
 * Has each message answered. What breaks meanwhile is told to the page as an error of the worker: a promise that fails
 * is not.
 * @template Asked
 * @param {(asked: Asked) => Promise<void>} answer
 */
export function answers(answer) {
  self.addEventListener("message", (event) => answer(/** @type {MessageEvent} */ (event).data).catch(reportError));
}
