// Seconds since the page first showed that the server is working, beside the word.
//
// A reload goes on counting. Does not know what is worked on.

const TICK_MS = 500;

let timer;

/** Counts in every `[data-elapsed]` for as long as there is one. `head` is the entry the work is for. */
export function startElapsed(head, root = document, clock = Date.now, storage = sessionStorage) {
  const key = `working:${location.pathname}`;
  clearInterval(timer);
  const show = () => {
    const places = root.querySelectorAll("[data-elapsed]");
    if (places.length === 0) {
      clearInterval(timer);
      storage.removeItem(key);
      return;
    }
    const kept = JSON.parse(storage.getItem(key) ?? "{}");
    const since = kept.head === head ? kept.since : clock();
    if (kept.head !== head) storage.setItem(key, JSON.stringify({ head, since }));
    for (const place of places) {
      place.setAttribute("data-own", "");
      place.textContent = `${Math.max(0, Math.round((clock() - since) / 1000))} s`;
    }
  };
  show();
  timer = setInterval(show, TICK_MS);
}
