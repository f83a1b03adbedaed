// Keeps the page as new as the case: listens to the server's events and brings in the parts that changed.
//
// Parts are elements with `data-part` and an id; only those are made anew. Does not know what they show.

import { rememberBegun } from "./drafts.js";
import { pauseMs } from "./queue-rules.js";
import { swap } from "./swap.js";

const SOON_MS = 30;
const AGAIN_MS = 700;
const LATER_MS = 4000;
const WORKING = "main .working";

/**
 * Starts listening. `events` is the address of the events; `onFresh(document)` is told each time the page
 * was brought up to date, `onLink(there)` when the events come or stop. Gives `{refresh, stop}`; `refresh(number)`
 * brings the page up to that entry, without a number in any case.
 */
export function startLive({ events, onFresh = nothing, onLink = nothing }) {
  const state = { head: headOf(document), wanted: 0, forced: false, running: undefined, failures: 0, later: undefined };

  function refresh(number) {
    if (number === undefined) state.forced = true;
    else state.wanted = Math.max(state.wanted, number);
    state.running ??= work().finally(() => {
      state.running = undefined;
    });
    return state.running;
  }

  async function work() {
    while (state.forced || state.wanted > state.head) {
      const isForced = state.forced;
      state.forced = false;
      await first();
      const page = await freshPage(location.href);
      if (!page) {
        askLater(isForced);
        return;
      }
      state.failures = 0;
      state.head = Math.max(state.head, headOf(page));
      // An entry that the page does not have yet is told of by an event.
      state.wanted = Math.min(state.wanted, state.head);
      replaceParts(page);
      onFresh(page);
      lookAgain();
    }
  }

  /** No page came: what was told of is not to be forgotten for that. */
  function askLater(isForced) {
    state.failures += 1;
    clearTimeout(state.later);
    state.later = setTimeout(() => void refresh(isForced ? undefined : state.wanted), pauseMs(state.failures));
  }

  /** The server is still working on what the page shows: it will be there soon. */
  function lookAgain() {
    if (document.querySelector(WORKING)) setTimeout(() => void refresh(), AGAIN_MS);
  }

  lookAgain();
  const listening = listen(events, {
    onOpen: (again) => {
      onLink(true);
      // What happened while nobody listened is told by no event.
      if (again) void refresh();
    },
    onAway: () => onLink(false),
    onChanged: (number) => {
      if (number > state.head) setTimeout(() => void refresh(number), SOON_MS);
    },
  });
  return {
    refresh,
    head: () => state.head,
    stop: () => {
      clearTimeout(state.later);
      listening.stop();
    },
  };
}

/** Listens to the server's events; begins anew when the browser has given up, as it does after an answer of another sort. */
function listen(events, { onOpen, onAway, onChanged }) {
  let source;
  let later;
  let wasAway = document.documentElement.hasAttribute("data-stale");
  function stop() {
    clearTimeout(later);
    source?.close();
  }
  function begin() {
    stop();
    source = new EventSource(events);
    source.addEventListener("open", () => {
      onOpen(wasAway);
      wasAway = false;
    });
    source.addEventListener("error", () => {
      wasAway = true;
      onAway();
      if (source.readyState === EventSource.CLOSED) later = setTimeout(begin, LATER_MS);
    });
    source.addEventListener("changed", (event) => onChanged(Number(event.data)));
  }
  begin();
  addEventListener("online", begin);
  addEventListener("pagehide", stop);
  return { stop };
}

/** What has an address of its own is asked for first: it is small, and it is what one waits for. */
async function first() {
  const parts = Array.from(document.querySelectorAll("[data-soon][id]"));
  await Promise.all(parts.map(async (part) => {
    const fresh = (await freshPage(part.getAttribute("data-soon")))?.getElementById(part.id);
    if (fresh) swap(part, fresh);
  }));
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
    const page = new DOMParser().parseFromString(await response.text(), "text/html");
    // A copy that was kept on the device is older than what is shown.
    return page.documentElement.hasAttribute("data-stale") ? undefined : page;
  } catch {
    return undefined;
  }
}

/** Makes every part of the page like the one of the same id in `page`. */
export function replaceParts(page) {
  const root = page.querySelector("[data-head]");
  const here = document.querySelector("[data-head]");
  const known = rememberFolds();
  rememberBegun(headOf(document));
  if (root && here) here.setAttribute("data-head", root.getAttribute("data-head"));
  for (const part of document.querySelectorAll("[data-part][id]")) {
    if (part.parentElement?.closest("[data-part]")) continue;
    const fresh = page.getElementById(part.id);
    if (fresh) swap(part, fresh);
  }
  for (const fold of document.querySelectorAll(FOLDS)) {
    const { key } = fold.dataset;
    if (!known.has(key) && folds.has(key)) fold.open = folds.get(key);
  }
}

/** How each named fold was left: what gives way to "Working" comes back as it was. */
const folds = new Map();
const FOLDS = "details[data-key]";

/** Notes how the folds of the page stand; the names of those that are there. */
function rememberFolds() {
  const there = Array.from(document.querySelectorAll(FOLDS));
  for (const fold of there) folds.set(fold.dataset.key, fold.open);
  return new Set(there.map((fold) => fold.dataset.key));
}
