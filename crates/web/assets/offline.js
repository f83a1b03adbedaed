// Keeps the open case usable without a link: starts the worker that keeps pages, tells it which to keep, and says
// on the page when what is shown is not fresh.
//
// Does nothing where the browser has no worker for the page (plain http from another machine). Does not know how
// pages are kept; that is service.js.

import { make } from "./dom.js";

const KEEP_AFTER_MS = 1500;

/** Starts it. Links with `data-keep` are pages of the open case. */
export function startOffline() {
  sayStale();
  if (!("serviceWorker" in navigator)) return;
  navigator.serviceWorker.register("/service.js", { scope: "/" }).then(
    () => navigator.serviceWorker.ready.then((worker) => setTimeout(() => tellWhatToKeep(worker), KEEP_AFTER_MS)),
    () => undefined,
  );
}

function tellWhatToKeep(registration) {
  if (document.documentElement.hasAttribute("data-stale")) return;
  const here = [location.href, ...Array.from(document.querySelectorAll("a[data-keep]"), (link) => link.href)];
  const drawings = Array.from(document.querySelectorAll("figure[data-drawing-src]"), (figure) => new URL(figure.dataset.drawingSrc, location.href).href);
  registration.active?.postMessage({ keep: [...new Set([...here, ...drawings])] });
}

/** The worker marks an older copy with the time it was kept; the page says so. */
function sayStale() {
  const at = document.documentElement.getAttribute("data-stale");
  if (!at) return;
  const when = new Date(at);
  const day = when.toDateString() === new Date().toDateString() ? "" : `${when.toLocaleDateString()} `;
  const time = when.toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" });
  const words = `No link to the server. This page is as it was at ${day}${time}; what you enter is kept on this device.`;
  document.querySelector("main")?.before(make("p", { class: "stale", role: "status", "data-added": true }, words));
}
