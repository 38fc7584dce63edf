// Ticks while the page is asked to: a worker's timer goes on when the page is in the background.

/** @type {ReturnType<typeof setInterval> | undefined} */
let timer;

self.addEventListener("message", (/** @type {MessageEvent} */ event) => {
  clearInterval(timer);
  timer = event.data > 0 ? setInterval(() => self.postMessage("tick"), event.data) : undefined;
});
