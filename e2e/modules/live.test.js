// Parts that stay as new as the case, in a real browser: what changed is brought in, what is being done stays.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { startChromium } from "../bay/chromium.js";
import { stage } from "../bay/stage.js";

let browser;
before(async () => {
  browser = await startChromium();
});
after(() => browser.close());

const list = (names) => `<section data-part id="findings"><h2>Findings</h2><ul>${names.map((name) =>
  `<li data-key="${name}"><details><summary>${name}</summary>why</details></li>`).join("")}</ul>
<form data-form="f"><label>Line <input name="words" value=""></label><label>Where <input name="at" value="here"></label></form></section>
<div class="tall"></div><p id="outside">outside</p>`;

/** One event, then silence: the browser asks again after a while by itself. */
const events = (head) => ({ contentType: "text/event-stream", body: `retry: 600000\nevent: changed\ndata: ${head}\n\n` });

test("new findings come in; the cursor, what is typed, open folds and the scroll stay", async () => {
  let tell;
  const told = new Promise((resolve) => {
    tell = resolve;
  });
  const answer = async (_, address) => {
    if (!address.pathname.endsWith("/events")) return undefined;
    await told;
    return events(2);
  };
  const { page, context, state } = await stage(browser, list(["a", "b"]), { answer });
  await page.evaluate(() => {
    document.querySelector(".tall").style.height = "3000px";
    document.querySelector('[data-key="b"] details').open = true;
    window.same = document.querySelector('[data-key="b"]');
  });
  await page.getByLabel("Line").fill("being typ");
  await page.evaluate(() => scrollTo(0, 40));
  state.body = list(["new", "b"]).replace('value="here"', 'value="there"').replace("outside", "changed");
  state.head = 2;
  tell();
  await page.locator('[data-key="new"]').waitFor();
  // Typing brings the field into view; what counts is where the page stands before.
  const scroll = await page.evaluate(() => scrollY);
  await page.keyboard.type("ed");
  const after = await page.evaluate(() => ({
    names: Array.from(document.querySelectorAll("[data-key]"), (item) => item.dataset.key),
    open: document.querySelector('[data-key="b"] details').open,
    same: document.querySelector('[data-key="b"]') === window.same,
    head: document.body.dataset.head,
    outside: document.getElementById("outside").textContent,
  }));
  assert.deepEqual(after, { names: ["new", "b"], open: true, same: true, head: "2", outside: "outside" });
  assert.equal(scroll, 40);
  assert.equal(await page.getByLabel("Line").inputValue(), "being typed");
  assert.equal(await page.getByLabel("Where").inputValue(), "there");
  await context.close();
});

test("a fold that gives way while the server works comes back as it was left", async () => {
  const folds = `<section data-part id="offers">${["a", "b"].map((key) =>
    `<details data-key="offer ${key}"><summary>${key}</summary>what is done</details>`).join("")}</section>`;
  const working = '<section data-part id="offers"><div class="working">Working.</div></section>';
  const tells = [];
  const answer = (_, address) => address.pathname.endsWith("/events")
    ? new Promise((resolve) => {
      tells.push((head) => resolve(events(head)));
    })
    : undefined;
  const { page, context, state } = await stage(browser, folds, { answer });
  await page.locator("summary", { hasText: "b" }).click();
  state.body = working;
  state.head = 2;
  tells[0](2);
  await page.locator(".working").waitFor();
  // The page looks again by itself while it says that it works.
  state.body = folds;
  await page.locator("summary", { hasText: "b" }).waitFor();
  const open = await page.evaluate(() => Array.from(document.querySelectorAll("details"), (fold) => fold.open));
  assert.deepEqual(open, [false, true]);
  await context.close();
});

test("no page, or an old copy of one, is not taken for what is new: it is asked for again", async () => {
  const bad = [{ status: 502, body: "bad gateway" }, { contentType: "text/html", body: `<html data-stale="2026-05-02T10:00:00Z"><body data-head="0">${list(["old"])}</body></html>` }];
  let tell;
  const told = new Promise((resolve) => {
    tell = resolve;
  });
  const answer = async (_, address, state) => {
    if (address.pathname.endsWith("/found") && state.head > 1) return bad.shift();
    if (!address.pathname.endsWith("/events")) return undefined;
    await told;
    return events(2);
  };
  const { page, context, state } = await stage(browser, list(["a"]), { answer });
  await page.evaluate(() => {
    window.seen = [];
    new MutationObserver(() => window.seen.push(document.querySelector("[data-key]")?.dataset.key)).observe(document.body, { childList: true, subtree: true });
  });
  state.body = list(["new"]);
  state.head = 2;
  tell();
  await page.locator('[data-key="new"]').waitFor();
  assert.deepEqual(bad, []);
  assert.ok(!(await page.evaluate(() => window.seen)).includes("old"));
  await context.close();
});

test("an event for what is shown already asks for nothing", async () => {
  let pages = 0;
  const answer = (_, address) => {
    if (address.pathname.endsWith("/events")) return events(1);
    if (address.pathname.endsWith("/found")) pages += 1;
    return undefined;
  };
  const { page, context } = await stage(browser, list(["a"]), { answer });
  await page.waitForTimeout(400);
  assert.equal(pages, 1);
  await context.close();
});

test("a part with an address of its own comes before the page, and one change is one look at it", async () => {
  const asked = [];
  let give;
  const late = new Promise((resolve) => {
    give = resolve;
  });
  let tell;
  const told = new Promise((resolve) => {
    tell = resolve;
  });
  const soon = list(["a"]).replace("<section", '<section data-soon="/case/test/found/now"');
  const answer = async (request, address, state) => {
    if (address.pathname.endsWith("/events")) {
      await told;
      return { contentType: "text/event-stream", body: "retry: 600000\nevent: changed\ndata: 2\n\nevent: changed\ndata: 2\n\n" };
    }
    if (address.pathname.endsWith("/now")) {
      asked.push("part");
      return { contentType: "text/html", body: list(["new"]) };
    }
    if (address.pathname.endsWith("/found")) {
      asked.push("page");
      if (state.head > 1) await late;
    }
    return undefined;
  };
  const { page, context, state } = await stage(browser, soon, { answer });
  state.body = list(["new", "more"]).replace("<section", '<section data-soon="/case/test/found/now"');
  state.head = 2;
  tell();
  await page.locator('[data-key="new"]').waitFor();
  assert.deepEqual(asked, ["page", "part", "page"], "the part is there before the page has come");
  assert.equal(await page.locator('[data-key="more"]').count(), 0);
  give();
  await page.locator('[data-key="more"]').waitFor();
  await page.waitForTimeout(300);
  assert.deepEqual(asked, ["page", "part", "page"]);
  await context.close();
});

test("who contradicts somebody else is told at once, with the way to choose, and not that it was added", async () => {
  let message = "devices.a.rated: there stands 15 A (Ben), you say 20 A; choose one";
  const answer = (request, address) => {
    if (!address.pathname.endsWith("/entries")) return undefined;
    const [{ id }] = request.postDataJSON();
    return { contentType: "application/json", body: JSON.stringify([{ id, seq: 2, outcome: "conflict", message }]) };
  };
  const form = '<form data-form="f" method="post"><input type="hidden" name="kind" value="note"><label>Words <input name="words"></label><button>Keep</button></form>';
  const { page, context } = await stage(browser, form, { answer });
  await page.getByLabel("Words").fill("x");
  await page.getByRole("button", { name: "Keep" }).click();
  const told = page.getByRole("alert").filter({ hasText: "Two entries say different things here." });
  // The answer may come before or after it is told what was entered: it ends the same.
  await page.locator("#told").getByText("Kept beside the other").waitFor();
  assert.equal(await page.locator("#told").getByText("Noted").count(), 0);
  await told.getByText("Devices.a.rated: there stands 15 A (Ben), you say 20 A; choose one.").waitFor();
  assert.equal(await told.getByRole("link", { name: "Choose" }).getAttribute("href"), "/case/test/history#conflicts");
  // The next one does not take the first away before it is read.
  message = "devices.b.rated: there stands 5 A (Ben), you say 6 A; choose one";
  await page.getByLabel("Words").fill("y");
  await page.getByRole("button", { name: "Keep" }).click();
  await told.getByText("Devices.b.rated").waitFor();
  await told.getByText("Devices.a.rated").waitFor();
  await told.getByRole("button", { name: "Later" }).click();
  assert.equal(await page.locator("#clash").count(), 0);
  await context.close();
});

test("a line is looked at while it is typed; only the last answer counts", async () => {
  const asked = [];
  const answer = async (_, address) => {
    if (!address.pathname.endsWith("/preview")) return undefined;
    asked.push(address.searchParams.get("text"));
    const text = asked.at(-1);
    if (text === "w1") await new Promise((resolve) => setTimeout(resolve, 500));
    return { contentType: "text/html", body: `<p>means ${text}</p>` };
  };
  const form = `<form data-form="x"><input type="hidden" name="section" value="wires">
<label>Line <input name="text" data-preview="/case/test/preview" data-preview-into="means"></label></form><div id="means"></div>`;
  const { page, context } = await stage(browser, form, { answer });
  await page.getByLabel("Line").pressSequentially("w1", { delay: 20 });
  await page.waitForTimeout(250);
  await page.getByLabel("Line").pressSequentially("2", { delay: 20 });
  await page.getByText("means w12").waitFor();
  await page.waitForTimeout(500);
  assert.equal(await page.locator("#means").innerText(), "means w12");
  assert.deepEqual(asked, ["w1", "w12"]);
  await context.close();
});
