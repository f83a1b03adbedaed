// Keeps the page as new as the case: listens to the server's events and brings in the parts that changed.
//
// Parts are elements with `data-part` and an id; only those are made anew. Does not know what they show.

import { swap } from "./swap.js";

const SOON_MS = 30;
const AGAIN_MS = 700;
const WORKING = "main .working";

/**
 * Starts listening. `events` is the address of the events; `onFresh(document)` is told each time the page
 * was brought up to date, `onLink(there)` when the events come or stop. Gives `{refresh, stop}`.
 */
export function startLive({ events, onFresh = nothing, onLink = nothing }) {
  let head = headOf(document);
  let running;
  let again = false;

  async function refresh() {
    if (running) {
      again = true;
      return running;
    }
    running = bring().finally(() => {
      running = undefined;
    });
    await running;
    if (again) {
      again = false;
      await refresh();
    }
    return undefined;
  }

  async function bring() {
    const page = await freshPage(location.href);
    if (!page) return;
    head = Math.max(head, headOf(page));
    replaceParts(page);
    onFresh(page);
    lookAgain();
  }

  /** The server is still working on what the page shows: it will be there soon. */
  function lookAgain() {
    if (document.querySelector(WORKING)) setTimeout(refresh, AGAIN_MS);
  }

  lookAgain();
  const source = new EventSource(events);
  source.addEventListener("open", () => onLink(true));
  source.addEventListener("error", () => onLink(false));
  source.addEventListener("changed", (event) => {
    if (Number(event.data) > head) setTimeout(refresh, SOON_MS);
  });
  addEventListener("pagehide", () => source.close());
  return { refresh, head: () => head, stop: () => source.close() };
}

function nothing() {}

/** The number of the last entry that a page shows. */
export function headOf(page) {
  return Number(page.querySelector("[data-head]")?.getAttribute("data-head") ?? 0);
}

async function freshPage(address) {
  try {
    const response = await fetch(address, {
      headers: { accept: "text/html" },
      credentials: "same-origin",
      cache: "no-store",
      redirect: "manual",
    });
    if (!response.ok) return undefined;
    return new DOMParser().parseFromString(await response.text(), "text/html");
  } catch {
    return undefined;
  }
}

/** Makes every part of the page like the one of the same id in `page`. */
export function replaceParts(page) {
  const root = page.querySelector("[data-head]");
  const here = document.querySelector("[data-head]");
  if (root && here) here.setAttribute("data-head", root.getAttribute("data-head"));
  for (const part of document.querySelectorAll("[data-part][id]")) {
    if (part.parentElement?.closest("[data-part]")) continue;
    const fresh = page.getElementById(part.id);
    if (fresh) swap(part, fresh);
  }
}
