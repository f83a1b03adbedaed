// The worker that keeps pages and assets on the device, so that the open case can be used while the server is away.
//
// Assets come from the device first: their names carry no version, so each version of the program has a store of its
// own (the server puts VERSION and ASSETS in). Pages come from the server if it answers soon, else as last seen, marked
// with the time. Photos never change and are kept once seen. Entries, events and log-in are never touched. Knows no case.

const VERSION = "__VERSION__";
const ASSETS = "__ASSETS__".split(" ");
const ASSET_STORE = `assets-${VERSION}`;
const PAGE_STORE = "pages";
const PHOTO_STORE = "photos";
const KEPT_AT = "x-kept-at";
const PATIENCE_MS = 4000;
const MOST_PAGES = 160;
const MOST_PHOTOS = 300;

addEventListener("install", (event) => {
  event.waitUntil((async () => {
    const store = await caches.open(ASSET_STORE);
    await store.addAll(ASSETS.map((asset) => new Request(asset, { cache: "no-cache" })));
    await skipWaiting();
  })());
});

addEventListener("activate", (event) => {
  event.waitUntil((async () => {
    const old = (await caches.keys()).filter((name) => name.startsWith("assets-") && name !== ASSET_STORE);
    await Promise.all(old.map((name) => caches.delete(name)));
    await clients.claim();
  })());
});

addEventListener("message", (event) => {
  if (event.data?.keep) event.waitUntil(keepAll(event.data.keep));
  if (event.data?.forget) event.waitUntil(forget());
});

addEventListener("fetch", (event) => {
  const { request } = event;
  const address = new URL(request.url);
  if (request.method !== "GET" || address.origin !== location.origin) return;
  if (ASSETS.includes(address.pathname)) event.respondWith(asset(request));
  else if (/^\/case\/[^/]+\/photo\//.test(address.pathname)) event.respondWith(photo(request));
  else if (isPage(address.pathname)) event.respondWith(page(event));
});

/** Pages and drawings of cases, and the list of cases. */
function isPage(path) {
  if (path === "/") return true;
  return path.startsWith("/case/") && !/\/(events|entries|photos|form|preview|export|now)$/.test(path)
    && !path.endsWith(".zip") && !path.endsWith(".pdf");
}

async function asset(request) {
  const store = await caches.open(ASSET_STORE);
  const kept = await store.match(request, { ignoreSearch: true });
  return kept ?? fetch(request);
}

async function photo(request) {
  const store = await caches.open(PHOTO_STORE);
  const kept = await store.match(request);
  if (kept) return kept;
  const fresh = await fetch(request);
  if (fresh.ok) {
    await store.put(request, fresh.clone());
    await trim(store, MOST_PHOTOS);
  }
  return fresh;
}

async function page(event) {
  const { request } = event;
  const fetching = fetch(request).then((fresh) => {
    event.waitUntil(keep(request.url, fresh.clone()));
    return fresh;
  });
  event.waitUntil(fetching.catch(() => undefined));
  const kept = await (await caches.open(PAGE_STORE)).match(keyOf(request.url));
  if (!kept) return fetching.catch(() => notKept(request));
  const soon = await Promise.race([fetching.catch(() => undefined), after(PATIENCE_MS)]);
  // A server that is there but cannot answer (a proxy's "bad gateway") is as good as away.
  return soon && soon.status < 500 ? soon : marked(kept);
}

function after(ms) {
  return new Promise((resolve) => setTimeout(resolve, ms));
}

function keyOf(url) {
  return url.split("#")[0];
}

async function keep(url, response) {
  if (response.redirected && new URL(response.url).pathname === "/login") return forget();
  if (!response.ok || response.redirected || response.headers.get("cache-control")?.includes("no-store, private")) return undefined;
  const type = response.headers.get("content-type") ?? "";
  if (!type.includes("text/html") && !type.includes("image/svg")) return undefined;
  const headers = new Headers(response.headers);
  headers.set(KEPT_AT, new Date().toISOString());
  const store = await caches.open(PAGE_STORE);
  await store.put(keyOf(url), new Response(await response.blob(), { headers }));
  return trim(store, MOST_PAGES);
}

async function trim(store, most) {
  const keys = await store.keys();
  await Promise.all(keys.slice(0, Math.max(0, keys.length - most)).map((key) => store.delete(key)));
}

/** A kept page with the time it was kept, for the page to show. */
async function marked(kept) {
  const type = kept.headers.get("content-type") ?? "";
  if (!type.includes("text/html")) return kept;
  const at = kept.headers.get(KEPT_AT);
  const text = (await kept.text()).replace(/<html\b/, `<html data-stale="${at}"`);
  return new Response(text, { headers: kept.headers });
}

function notKept(request) {
  if (request.mode !== "navigate") return Response.error();
  const text = `<!DOCTYPE html><html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<title>No link · Unbury</title><link rel="stylesheet" href="/assets/unbury.css"></head><body><main id="main"><h1>No link to the server</h1>
<p>This page was not looked at on this device before, so there is no copy of it here. What you entered is kept and goes when the link is back.</p>
<p><a href="/">List of cases</a></p></main></body></html>`;
  return new Response(text, { status: 503, headers: { "content-type": "text/html; charset=utf-8" } });
}

async function keepAll(urls) {
  for (const url of urls) {
    try {
      await keep(url, await fetch(url, { credentials: "same-origin" }));
    } catch {
      return;
    }
  }
}

/** Nobody is logged in: what the last person looked at is not for the next. */
async function forget() {
  await Promise.all([caches.delete(PAGE_STORE), caches.delete(PHOTO_STORE)]);
}
