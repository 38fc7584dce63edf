// Keeps the page for use without a network, and tells when a newer version is there.

import { isOneFile } from "./where.js";

/**
 * Registers the service worker. `onNewVersion` is called with a function that changes to the new version and loads
 * the page again: call that when the person asks for it, never in the middle of a take.
 *
 * Where there is no service worker (a private window) the page works without; the one file needs none.
 * @param {(change: () => void) => void} onNewVersion
 */
export async function keepOffline(onNewVersion) {
  if (isOneFile || !("serviceWorker" in navigator)) return;
  try {
    const registration = await navigator.serviceWorker.register("sw.js", { updateViaCache: "none" });
    const offer = () => {
      const { waiting } = registration;
      // Without a controller this is the first visit: nothing older is running.
      if (waiting && navigator.serviceWorker.controller) onNewVersion(() => changeTo(waiting));
    };
    offer();
    registration.addEventListener("updatefound", () => {
      registration.installing?.addEventListener("statechange", offer);
    });
  } catch (error) {
    console.info("This page will not be there without a network:", error);
  }
}

/** @param {ServiceWorker} worker */
function changeTo(worker) {
  navigator.serviceWorker.addEventListener("controllerchange", () => location.reload(), { once: true });
  worker.postMessage("take over");
}
