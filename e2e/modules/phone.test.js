// What a phone needs: what was entered is seen and can be taken back, folds open for links, seconds are counted, the
// near name is put in by a touch, a drawing begins where it can be read.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { SCREENS, startChromium } from "../bay/chromium.js";
import { stage } from "../bay/stage.js";

let browser;
before(async () => {
  browser = await startChromium();
});
after(() => browser.close());

/** A journal in the test that takes everything. */
function journal() {
  const taken = [];
  const answer = (request, address) => {
    if (address.pathname.endsWith("/preview")) return { contentType: "text/html", body: '<button type="button" data-put="fridge" data-for="frige">Write fridge</button>' };
    if (!address.pathname.endsWith("/entries")) return undefined;
    const answers = request.postDataJSON().map(({ id, change }) => {
      if (!taken.some((entry) => entry.id === id)) taken.push({ id, change });
      return { id, seq: taken.length, outcome: "taken", message: "" };
    });
    return { contentType: "application/json", body: JSON.stringify(answers) };
  };
  return { taken, answer };
}

const LINE = `<form data-form="line"><input type="hidden" name="kind" value="line"><input type="hidden" name="section" value="wires">
<textarea aria-label="The line" name="text" rows="1" data-one-line data-preview="/case/test/preview" data-preview-into="preview"></textarea>
<button>Add</button><div id="preview"></div></form>`;

test("what was added is said where it is seen, and taken back by an entry of its own", async () => {
  const book = journal();
  const { page, context, troubles } = await stage(browser, LINE, { answer: book.answer, screen: SCREENS.phone });
  await page.getByLabel("The line").fill('w9 = "a.+ to b.+"');
  await page.getByRole("button", { name: "Add" }).tap();
  const told = page.getByRole("status").filter({ hasText: "Added" });
  await told.getByText('w9 = "a.+ to b.+"').waitFor();
  await told.getByRole("button", { name: "Take back" }).tap();
  await page.getByText("Taken back").waitFor();
  await page.waitForFunction(() => document.documentElement.dataset.waiting === "0");
  assert.equal(book.taken.length, 2);
  assert.deepEqual(book.taken[1].change, { undo: { entry: book.taken[0].id } });
  assert.deepEqual(troubles, []);
  await context.close();
});

test("the name that was meant is put in for the whole name only", async () => {
  const { page, context } = await stage(browser, LINE, { answer: journal().answer, screen: SCREENS.phone });
  await page.getByLabel("The line").fill('frige-feed = "frige.+ to frige.-"');
  await page.getByRole("button", { name: "Write fridge" }).tap();
  assert.equal(await page.getByLabel("The line").inputValue(), 'frige-feed = "fridge.+ to fridge.-"');
  await context.close();
});

test("a link to what is folded opens it, also a second time", async () => {
  const body = `<a href="#deep">there</a><details class="fold"><summary>outer</summary><details class="fold"><summary>inner</summary>
<p id="deep">found</p></details></details>`;
  const { page, context } = await stage(browser, body);
  for (let round = 0; round < 2; round += 1) {
    await page.getByRole("link", { name: "there" }).click();
    await page.getByText("found").waitFor();
    await page.getByText("outer").click();
    await page.getByText("found").waitFor({ state: "hidden" });
  }
  await context.close();
});

test("while the server works seconds are counted, and a reload goes on counting", async () => {
  const { page, context } = await stage(browser, '<div class="busy"><span data-elapsed></span></div>');
  const seconds = async () => Number.parseInt(await page.locator("[data-elapsed]").innerText(), 10);
  await page.waitForTimeout(2600);
  assert.ok((await seconds()) >= 2);
  await page.reload();
  await page.waitForSelector("html[data-ready]");
  assert.ok((await seconds()) >= 2);
  await context.close();
});

test("a drawing too large for a phone begins at what matters, as near as it takes to read it", async () => {
  const svg = `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 2000 1000"><g data-device="a"><rect x="10" y="10" width="60" height="40"/></g>
<g data-device="fridge"><rect x="1500" y="700" width="60" height="40"/><text x="1500" y="700" font-size="10">fridge</text></g></svg>`;
  const answer = (_, address) => (address.pathname.endsWith(".svg") ? { contentType: "image/svg+xml", body: svg } : undefined);
  const figure = '<figure data-drawing-src="/case/test/drawing/wiring.svg" data-near="nobody,fridge"><div class="stage"></div></figure>';
  for (const [screen, isNear] of [[SCREENS.phone, true], [SCREENS.laptop, false]]) {
    const { page, context } = await stage(browser, figure, { answer, screen });
    await page.locator(".stage svg").waitFor();
    await page.waitForTimeout(150);
    const [x, y, width, height] = (await page.locator(".stage svg").getAttribute("viewBox")).split(" ").map(Number);
    const across = await page.locator(".stage").evaluate((node) => node.clientWidth);
    if (isNear) {
      assert.ok(x < 1500 && x + width > 1560 && y < 700 && y + height > 740, `${[x, y, width, height]}`);
      assert.ok(Math.abs((10 * across) / width - 11) < 0.5, "letters are 11 px high");
    } else assert.ok(width >= 1990, "all of it");
    await context.close();
  }
});

test("by thumb alone: Enter on the pad goes to the next figure, and sends the last", async () => {
  const book = journal();
  const form = `<form data-form="dead"><input type="hidden" name="kind" value="tick"><input type="hidden" name="list" value="dead"><input type="hidden" name="step" value="main">
<input type="hidden" name="template" value="known %known%; points %points%"><label>Known <input name="known" required data-pad="V mV"></label>
<label>Points <input name="points" required data-pad="V mV"></label><button name="done" value="yes">Proved</button></form>`;
  const { page, context } = await stage(browser, form, { answer: book.answer, screen: SCREENS.phone });
  await page.getByLabel("Known").tap();
  await page.locator('.pad [data-key="9"]').tap();
  await page.getByRole("button", { name: "Enter" }).tap();
  await page.getByLabel("Points").and(page.locator(":focus")).waitFor();
  assert.equal(await page.locator(".pad").count(), 1);
  await page.locator('.pad [data-key="0"]').tap();
  await page.getByRole("button", { name: "Enter" }).tap();
  await page.waitForFunction(() => document.documentElement.dataset.waiting === "0");
  for (let tries = 0; book.taken.length === 0 && tries < 100; tries += 1) await page.waitForTimeout(50);
  assert.equal(book.taken[0].change.tick.reading, "known 9 V; points 0 V");
  assert.equal(book.taken[0].change.tick.done, true);
  await context.close();
});
