// Rules that every page keeps: accessibility, size of targets, no scrolling two ways, weight, no script or style in
// the page itself; and the way through with keys alone.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { go, openBay, ready, sent } from "../bay/bay.js";
import { SCREENS } from "../bay/chromium.js";
import { complete, pagesOf } from "../bay/pages.js";
import { faultsOf } from "../bay/rules.js";

/** What a first look may weigh without photos, in bytes over the wire. */
const MOST_BYTES = 150 * 1000;
/** Targets for gloved fingers, in CSS pixels: our own, above WCAG 2.2, 2.5.8 (24) and 2.5.5 (44). */
const LEAST_TARGET_PX = 48;
/** WCAG 2.2, 1.4.10: no two-way scrolling at this width. */
const NARROWEST_PX = 320;

let bay;
before(async () => {
  bay = await openBay();
});
after(() => bay.close());

test("no page breaks an accessibility rule seriously, in light, in dark, in sun and in a dim van", async () => {
  const faults = [];
  for (const [screen, light, scheme] of [["phone", "auto", "light"], ["laptop", "auto", "dark"], ["phone", "sun", "dark"], ["laptop", "dim", "light"]]) {
    const { context, page } = await bay.device(SCREENS[screen], { colorScheme: scheme, serviceWorkers: "block" });
    await page.addInitScript((kept) => localStorage.setItem("light", kept), light);
    for (const [name, path] of Object.entries(pagesOf(bay.dunlin, bay.lamp))) {
      await page.goto(path);
      await complete(page);
      for (const fault of await faultsOf(page)) faults.push(`${name} (${screen}, ${light}, ${scheme}): ${fault}`);
    }
    await context.close();
  }
  assert.deepEqual(faults, []);
});

test("every target is large enough for a glove, and nothing scrolls two ways on the narrowest screen", async () => {
  const faults = [];
  const screen = { ...SCREENS.phone, viewport: { width: NARROWEST_PX, height: 640 } };
  const { context, page } = await bay.device(screen, { serviceWorkers: "block" });
  for (const [name, path] of Object.entries(pagesOf(bay.dunlin, bay.lamp))) {
    await page.goto(path);
    await complete(page);
    const { width, small } = await page.evaluate((least) => {
      for (const fold of document.querySelectorAll("details")) fold.open = true;
      const wanted = "button, .button, input:not([type=hidden], [type=radio], [type=checkbox]), select, textarea, summary:not(.small), .choice";
      const shown = Array.from(document.querySelectorAll(wanted)).filter((node) => node.checkVisibility());
      const small = shown.filter((node) => {
        const { width: w, height: h } = node.getBoundingClientRect();
        return Math.round(Math.min(w, h)) < least;
      });
      return { width: document.scrollingElement.scrollWidth, small: small.slice(0, 3).map((node) => node.outerHTML.slice(0, 120)) };
    }, LEAST_TARGET_PX);
    if (width > NARROWEST_PX) faults.push(`${name} is ${width} px wide`);
    for (const html of small) faults.push(`${name}: too small: ${html}`);
  }
  assert.deepEqual(faults, []);
  await context.close();
});

test("a first look at any page weighs less than 150 kB, everything that is loaded with it included", async (t) => {
  const faults = [];
  const weights = {};
  for (const [name, path] of Object.entries(pagesOf(bay.dunlin, bay.lamp))) {
    const { context, page } = await bay.device(SCREENS.phone, { serviceWorkers: "block" });
    const client = await context.newCDPSession(page);
    await client.send("Network.enable");
    let bytes = 0;
    const photos = new Set();
    client.on("Network.responseReceived", ({ requestId, response }) => {
      if (response.mimeType === "image/jpeg") photos.add(requestId);
    });
    client.on("Network.loadingFinished", ({ requestId, encodedDataLength }) => {
      if (!photos.has(requestId)) bytes += encodedDataLength;
    });
    await page.goto(path);
    await complete(page);
    weights[name] = Math.round(bytes / 1000);
    if (bytes > MOST_BYTES) faults.push(`${name}: ${bytes} bytes`);
    await context.close();
  }
  t.diagnostic(`kB at the first look: ${JSON.stringify(weights)}`);
  assert.deepEqual(faults, []);
});

test("with keys alone: a line, an item of the drawing, a reading; focus is always seen, and nothing holds it", async () => {
  const { context, page } = await bay.device(SCREENS.laptop);
  await go(page, "/");
  await tabTo(page, /Dunlin/);
  await page.keyboard.press("Enter");
  await ready(page);
  await tabTo(page, /\bAs found\b/);
  await page.keyboard.press("Enter");
  await page.waitForURL("**/found");
  await ready(page);
  await tabTo(page, /^(The line|wires)/);
  await tabTo(page, /The line/);
  await page.keyboard.type('k9 = "bench-box.6 to unknown, 1.5 mm2, red"');
  await page.keyboard.press("Enter");
  await sent(page);
  await page.locator(".stage svg").waitFor();
  await tabTo(page, /^Drawing\. Arrows/);
  await page.keyboard.press("n");
  await page.keyboard.press("Enter");
  await page.waitForURL("**/item/*");
  await ready(page);
  await go(page, `/case/${bay.lamp}/found`);
  await tabTo(page, /\bSuspects\b/);
  await page.keyboard.press("Enter");
  await page.waitForURL("**/suspects");
  await complete(page);
  const before = await page.locator("#readings .count").innerText();
  await tabTo(page, /^Reading/);
  await page.keyboard.type("0,02");
  await page.keyboard.press("Enter");
  await page.waitForFunction((was) => document.querySelector("#readings .count").innerText !== was, before);
  await roundTrip(page);
  await context.close();
});

/** Tabs until the focus is on something so named; each stop must show that it has the focus. */
async function tabTo(page, name, most = 250) {
  for (let step = 0; step < most; step += 1) {
    await page.keyboard.press("Tab");
    const { words, seen } = await page.evaluate(focused);
    assert.ok(seen, `the focus on "${words}" is seen`);
    if (name.test(words)) return;
  }
  assert.fail(`no way by keys to ${name}`);
}

function focused() {
  const node = document.activeElement;
  const label = node.getAttribute("aria-label") ?? node.labels?.[0]?.innerText ?? node.innerText ?? "";
  const rings = [node, node.closest(".choice")].filter(Boolean).map((one) => getComputedStyle(one));
  const seen = node === document.body || rings.some((style) => style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2);
  return { words: label.trim(), seen };
}

/** From the first stop to the last and out again: nothing keeps the focus. */
async function roundTrip(page, most = 500) {
  await page.evaluate(() => document.activeElement.blur());
  for (let step = 0; step < most; step += 1) {
    await page.keyboard.press("Tab");
    if (step > 0 && (await page.evaluate(() => document.activeElement === document.body))) return;
  }
  assert.fail("the focus never leaves the page");
}
