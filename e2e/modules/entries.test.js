// Forms, queue, waiting list, drafts and pad in a real browser, before a case that the test plays.
import { setTimeout as delay } from "node:timers/promises";
import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { SCREENS, startChromium } from "../bay/chromium.js";
import { stage } from "../bay/stage.js";

let browser;
before(async () => {
  browser = await startChromium();
});
after(() => browser.close());

const NOTES = `<ul data-notes="case" data-part id="notes"></ul>
<form data-form="note" data-again><input type="hidden" name="kind" value="note">
<label>Note <input name="words" data-first></label><button>Keep</button></form>`;
const READING = `<p data-path="devices.charger.limit">unknown</p>
<form data-form="limit"><input type="hidden" name="kind" value="value"><input type="hidden" name="path" value="devices.charger.limit">
<input type="hidden" name="was" value="20 A"><p class="field"><label>Limit <input name="is" data-pad="A mA"></label></p>
<button class="send">Keep</button><button type="button" data-fill="unknown" data-field="is">Unknown</button></form>`;

/** A journal in the test; `mood.there` is the link. */
function journal(mood = { there: true }) {
  const taken = [];
  const answer = (request, address) => {
    if (!address.pathname.endsWith("/entries")) return undefined;
    if (!mood.there) return { status: 502, body: "away" };
    const answers = request.postDataJSON().map(({ id, change }) => {
      if (JSON.stringify(change).includes("nonsense")) return { id, seq: 0, outcome: "refused", message: "this is no line" };
      const outcome = taken.some((entry) => entry.id === id) ? "already" : "taken";
      if (outcome === "taken") taken.push({ id, change });
      return { id, seq: taken.length, outcome, message: "" };
    });
    return { contentType: "application/json", body: JSON.stringify(answers) };
  };
  return { taken, answer, mood };
}

/** Waits until so many entries have come: that nothing waits may also mean that nothing is kept yet. */
async function come(taken, count) {
  for (let tries = 0; taken.length < count && tries < 400; tries += 1) await delay(50);
}

test("a form becomes an entry, the field is empty and ready for the next", async () => {
  const book = journal();
  const { page, context, troubles } = await stage(browser, NOTES, { answer: book.answer });
  await page.getByLabel("Note").fill("rust at the stud");
  await page.keyboard.press("Enter");
  await page.getByLabel("Note").and(page.locator(":focus")).waitFor();
  await page.keyboard.type("and under the mat");
  await page.keyboard.press("Enter");
  await come(book.taken, 2);
  await page.waitForFunction(() => document.documentElement.dataset.waiting === "0");
  assert.deepEqual(book.taken.map((entry) => entry.change), [{ note: { words: "rust at the stud" } }, { note: { words: "and under the mat" } }]);
  assert.deepEqual(troubles, []);
  await context.close();
});

test("without a link entries stand on the page as waiting, outlive the page, and go once", async () => {
  const book = journal({ there: false });
  const { page, context } = await stage(browser, NOTES, { answer: book.answer });
  for (const words of ["one", "two"]) {
    await page.getByLabel("Note").fill(words);
    await page.keyboard.press("Enter");
  }
  await page.getByRole("button", { name: "no link, 2 waiting to be sent" }).waitFor();
  assert.deepEqual(await page.locator("#notes .waits .what").allInnerTexts(), ["one", "two"]);
  await page.reload();
  await page.locator("#notes .waits").nth(1).waitFor();
  book.mood.there = true;
  await page.evaluate(() => dispatchEvent(new Event("online")));
  await page.waitForFunction(() => document.documentElement.dataset.waiting === "0" && document.getElementById("queue-sign").hidden);
  assert.deepEqual(book.taken.map((entry) => entry.change.note.words), ["one", "two"]);
  assert.equal(await page.locator(".waits").count(), 0);
  await context.close();
});

test("a refused entry is kept with the reason, is put right in the list and goes", async () => {
  const book = journal();
  const { page, context } = await stage(browser, NOTES, { answer: book.answer });
  await page.getByLabel("Note").fill("nonsense");
  await page.keyboard.press("Enter");
  await page.getByRole("button", { name: "1 not taken" }).click();
  await page.getByText("Not taken: this is no line", { exact: true }).waitFor();
  await page.getByRole("dialog").getByLabel("note").fill("sense");
  await page.getByRole("button", { name: "Send again" }).click();
  await page.waitForFunction(() => document.getElementById("queue-sign").hidden);
  assert.deepEqual(book.taken.map((entry) => entry.change.note.words), ["sense"]);
  await context.close();
});

test("what is typed and not sent is there after a reload, and gone once sent", async () => {
  const book = journal();
  const { page, context } = await stage(browser, NOTES, { answer: book.answer });
  await page.getByLabel("Note").fill("half a sent");
  await page.reload();
  await page.waitForSelector("html[data-ready]");
  assert.equal(await page.getByLabel("Note").inputValue(), "half a sent");
  await page.getByLabel("Note").press("Enter");
  // Kept first, then sent: no sign of a queue may also mean that nothing is kept yet.
  await page.waitForFunction(() => document.querySelector("form[data-form] [name=words]").value === "");
  await page.waitForFunction(() => !document.documentElement.hasAttribute("data-keeping"));
  await page.waitForFunction(() => document.getElementById("queue-sign").hidden);
  await page.reload();
  await page.waitForSelector("html[data-ready]");
  assert.equal(await page.getByLabel("Note").inputValue(), "");
  await context.close();
});

test("by thumb: the pad opens at a tap, writes number and unit, and leaves the field's own keyboard away", async () => {
  const book = journal();
  const { page, context, troubles } = await stage(browser, READING, { answer: book.answer, screen: SCREENS.phone });
  await page.getByRole("textbox", { name: "Limit" }).tap();
  for (const key of ["3", "0", ".", "5"]) await page.locator(`.pad [data-key="${key}"]`).tap();
  assert.equal(await page.getByRole("textbox", { name: "Limit" }).inputValue(), "30.5 A");
  assert.equal(await page.getByRole("textbox", { name: "Limit" }).getAttribute("inputmode"), "none");
  await page.locator('.pad [data-unit="mA"]').tap();
  await page.locator(".send").tap();
  await come(book.taken, 1);
  await page.waitForFunction(() => document.getElementById("queue-sign").hidden && document.documentElement.dataset.waiting === "0");
  assert.deepEqual(book.taken[0].change, { value: { path: "devices.charger.limit", is: "30.5 mA", was: "20 A" } });
  assert.equal(await page.locator(".pad").count(), 0);
  await page.getByRole("textbox", { name: "Limit" }).tap();
  assert.equal(await page.locator('.pad [aria-pressed="true"]').innerText(), "mA");
  assert.deepEqual(troubles, []);
  await context.close();
});

test("unknown is one tap", async () => {
  const book = journal();
  const { page, context } = await stage(browser, READING, { answer: book.answer, screen: SCREENS.phone });
  await page.getByRole("button", { name: "Unknown" }).tap();
  await come(book.taken, 1);
  await page.waitForFunction(() => document.documentElement.dataset.waiting === "0");
  assert.equal(book.taken[0].change.value.is, "unknown");
  await context.close();
});

test("a pasted table becomes lines; one bad row stops it with the row's number", async () => {
  const book = journal();
  const form = `<form data-form="table" data-table><input type="hidden" name="kind" value="line"><input type="hidden" name="section" value="wires">
<label>Table <textarea name="text"></textarea></label><button>Keep</button></form>`;
  const { page, context } = await stage(browser, form, { answer: book.answer });
  await page.getByLabel("Table").fill("wire\tfrom\tto\nw1\ta.+\tb.+\nw2\ta.-\t");
  await page.getByRole("button", { name: "Keep" }).click();
  await page.getByText("line 3: w2: from where to where?").waitFor();
  assert.equal(book.taken.length, 0);
  await page.getByLabel("Table").fill("wire\tfrom\tto\nw1\ta.+\tb.+\nw2\ta.-\tunknown");
  await page.getByRole("button", { name: "Keep" }).click();
  await come(book.taken, 2);
  await page.waitForFunction(() => document.documentElement.dataset.waiting === "0" && document.querySelector("textarea").value === "");
  assert.deepEqual(book.taken.map((entry) => entry.change.line.text), ['w1 = "a.+ to b.+"', 'w2 = "a.- to unknown"']);
  await context.close();
});
