// A page of our own making with the real modules in a real browser, and a case behind it that lives in this test.
//
// For what a module does by itself; the whole program is tested in browser/. Answers come from `answer(request)`.
import { readFile } from "node:fs/promises";

const ASSETS = new URL("../../crates/web/assets/", import.meta.url);
const ORIGIN = "http://127.0.0.1:9";
const KINDS = { js: "text/javascript", css: "text/css" };
/** As strict as the program's own. */
const POLICY = "default-src 'self'; img-src 'self' blob: data:; object-src 'none'; base-uri 'none'";

/** A page with `body` in a case; `answer(request)` may give `{status, contentType, body}` for any other address. */
export async function stage(browser, body, { answer = () => undefined, screen = {}, path = "/case/test/found" } = {}) {
  const context = await browser.newContext({ ...screen, serviceWorkers: "block" });
  const troubles = [];
  const state = { body, head: 1 };
  await context.route(`${ORIGIN}/**`, async (route) => {
    const address = new URL(route.request().url());
    if (address.pathname.startsWith("/assets/")) {
      const name = address.pathname.slice("/assets/".length);
      const contentType = KINDS[name.split(".").pop()];
      return route.fulfill({ contentType, body: await readFile(new URL(name, ASSETS)) });
    }
    const said = await answer(route.request(), address, state);
    if (said) return route.fulfill(said);
    if (address.pathname === path) return route.fulfill({ contentType: "text/html", body: whole(state), headers: { "content-security-policy": POLICY } });
    return route.fulfill({ status: 404, body: "nothing here" });
  });
  const page = await context.newPage();
  page.on("pageerror", (error) => troubles.push(String(error)));
  page.on("console", (message) => {
    if (/Content Security Policy/.test(message.text())) troubles.push(message.text());
  });
  await page.goto(ORIGIN + path);
  await page.waitForSelector("html[data-ready]");
  return { page, context, state, troubles, origin: ORIGIN };
}

function whole({ body, head }) {
  return `<!DOCTYPE html><html lang="en"><head><meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1"><title>Stage</title><script src="/assets/light.js"></script>
<link rel="stylesheet" href="/assets/unbury.css"><link rel="stylesheet" href="/assets/added.css"><script type="module" src="/assets/unbury.js"></script></head>
<body data-case="test" data-head="${head}"><main id="main">${body}</main></body></html>`;
}
