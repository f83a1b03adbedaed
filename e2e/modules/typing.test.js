// Forms that are typed in while the case changes, in a real browser: nothing is chosen by itself, nothing chosen is
// dropped, and nobody's answer is written over unseen.
import { setTimeout as delay } from "node:timers/promises";
import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { startChromium } from "../bay/chromium.js";
import { stage } from "../bay/stage.js";

let browser;
before(async () => {
  browser = await startChromium();
});
after(() => browser.close());

/** A case that the test changes: `becomes(body, head)` is what another device did. Entries wait until `open()`. */
async function changing(body, { isOpen = true } = {}) {
  const taken = [];
  const waits = [];
  let release;
  const opened = isOpen ? undefined : new Promise((resolve) => {
    release = resolve;
  });
  const answer = async (request, address) => {
    if (address.pathname.endsWith("/events")) return new Promise((resolve) => waits.push(resolve));
    if (!address.pathname.endsWith("/entries")) return undefined;
    await opened;
    const answers = request.postDataJSON().map((entry) => {
      taken.push(entry);
      return { id: entry.id, seq: 1, outcome: "taken", message: "" };
    });
    return { contentType: "application/json", body: JSON.stringify(answers) };
  };
  const set = await stage(browser, `<section data-part id="part">${body}</section>`, { answer });
  return {
    ...set,
    taken,
    open: () => release(),
    /** Brings the page up to `fresh` as entry `head`. */
    async becomes(fresh, head) {
      set.state.body = `<section data-part id="part">${fresh}</section>`;
      set.state.head = head;
      for (let tries = 0; waits.length === 0 && tries < 100; tries += 1) await delay(50);
      // The browser asks again at once.
      waits.pop()({ contentType: "text/event-stream", body: `retry: 50\nevent: changed\ndata: ${head}\n\n` });
      await set.page.waitForFunction((number) => document.body.dataset.head === String(number), head);
    },
    async come(count) {
      for (let tries = 0; taken.length < count && tries < 200; tries += 1) await delay(50);
      return taken.map(({ change, base }) => ({ ...change, base }));
    },
  };
}

const hidden = (fields) => Object.entries(fields).map(([name, value]) => `<input type="hidden" name="${name}" value="${value}">`).join("");
const value = ({ is = "", name = "f", label = "Power", ...fields }) => `<form data-form="${name}${Object.values(fields).join()}">${hidden({ kind: "value", path: "devices.pump.power", ...fields })}
<label>${label} <input name="is" value="${is}"></label><button>Keep</button></form>`;
const states = (names) => `<form data-form="noticed ${names.length}">${hidden({ kind: "line", section: "symptoms", template: "%name% = %words% %state%" })}
<label>Words <input name="words"></label><label>State <select name="state"><option value="">not known</option>${names.map((name) => `<option>${name}</option>`).join("")}</select></label>
<label>Made <select name="made"><option>crimp</option><option selected>lug</option></select></label></form>`;

test("a list of choices that grows chooses nothing by itself, and no draft is made of it", async () => {
  const { page, context, becomes } = await changing(states([]));
  const chosen = () => page.evaluate(() => Array.from(document.querySelectorAll("select"), (select) => select.value));
  await becomes(states(["night"]), 2);
  assert.deepEqual(await chosen(), ["", "lug"]);
  await becomes(states(["day", "night"]), 3);
  assert.deepEqual(await chosen(), ["", "lug"]);
  assert.deepEqual(await page.evaluate(() => Object.keys(localStorage).filter((key) => key.startsWith("draft:"))), []);
  await context.close();
});

test("what was chosen stays chosen when the list grows, and over a reload of the longer list", async () => {
  const { page, context, becomes } = await changing(states(["night"]));
  await page.getByLabel("State").selectOption("night");
  await page.getByLabel("Made").selectOption("crimp");
  await page.getByLabel("Words").focus();
  await becomes(states(["day", "night"]), 2);
  assert.equal(await page.getByLabel("State").inputValue(), "night");
  await becomes(states(["day", "driving", "night"]), 3);
  assert.equal(await page.getByLabel("State").inputValue(), "night");
  await page.reload();
  await page.waitForSelector("html[data-ready]");
  assert.equal(await page.getByLabel("State").inputValue(), "night");
  assert.equal(await page.getByLabel("Made").inputValue(), "crimp");
  await becomes(states(["day"]), 4);
  assert.equal(await page.getByLabel("State").inputValue(), "", "what is not there any more is not chosen");
  await context.close();
});

test("a form that is typed in says what stood there when it was begun, also after a reload", async () => {
  for (const isReloaded of [false, true]) {
    const { page, context, becomes, come } = await changing(value({ is: "60 W", was: "60 W" }));
    await page.getByLabel("Power").fill("45 W");
    await becomes(value({ is: "55 W", was: "55 W" }), 2);
    await becomes(`${value({ is: "55 W", was: "55 W" })}<p>more</p>`, 3);
    if (isReloaded) {
      await page.reload();
      await page.waitForSelector("html[data-ready]");
      await becomes(`${value({ is: "55 W", was: "55 W" })}<p>yet more</p>`, 4);
    }
    assert.equal(await page.getByLabel("Power").inputValue(), "45 W");
    await page.getByRole("button", { name: "Keep" }).click();
    assert.deepEqual(await come(1), [{ value: { path: "devices.pump.power", is: "45 W", was: "60 W" }, base: 1 }]);
    await context.close();
  }
});

test("nor does the cursor alone let what stood there change unseen", async () => {
  const { page, context, becomes, come } = await changing(value({ is: "60 W", was: "60 W" }));
  await page.getByLabel("Power").focus();
  await becomes(value({ is: "55 W", was: "55 W" }), 2);
  assert.equal(await page.getByLabel("Power").inputValue(), "60 W");
  await page.getByLabel("Power").fill("45 W");
  await page.keyboard.press("Enter");
  assert.equal((await come(1))[0].value.was, "60 W");
  await context.close();
});

test("a piece of a line goes with what others made of the rest of the line; not where the piece itself changed", async () => {
  const piece = (is, before, after) => value({ is, was: before + is + after, before, after, label: "Length" });
  for (const [fresh, was] of [[piece("4 m", "a to b, red, ", ", fine"), "a to b, red, 4 m, fine"], [piece("3 m", "a to b, ", ", fine"), "a to b, 4 m, fine"]]) {
    for (const isReloaded of [false, true]) {
      const { page, context, becomes, come } = await changing(piece("4 m", "a to b, ", ", fine"));
      await page.getByLabel("Length").fill("5 m");
      await becomes(fresh, 2);
      if (isReloaded) {
        await page.reload();
        await page.waitForSelector("html[data-ready]");
        await becomes(`${fresh}<p>more</p>`, 3);
      }
      await page.getByRole("button", { name: "Keep" }).click();
      assert.deepEqual((await come(1))[0].value, { path: "devices.pump.power", is: was.replace("4 m", "5 m"), was });
      await context.close();
    }
  }
});

test("what was sent gives way to what stands then, also under the cursor", async () => {
  const { page, context, becomes, come } = await changing(value({ is: "60 W", was: "60 W" }));
  await page.getByLabel("Power").fill("45 W");
  await page.keyboard.press("Enter");
  await come(1);
  await becomes(value({ is: "55 W", was: "55 W" }), 2);
  await page.waitForFunction(() => document.querySelector("[name=is]").value === "55 W");
  await page.getByLabel("Power").fill("50 W");
  await page.keyboard.press("Enter");
  assert.deepEqual((await come(2))[1], { value: { path: "devices.pump.power", is: "50 W", was: "55 W" }, base: 2 });
  await context.close();
});

test("who corrects what they just sent does not contradict themselves", async () => {
  const { page, context, becomes, come, open } = await changing(value({ is: "60 W", was: "60 W" }), { isOpen: false });
  for (const words of ["45 W", "46 W"]) {
    await page.getByLabel("Power").fill(words);
    await page.keyboard.press("Enter");
    await page.waitForFunction(() => !document.documentElement.hasAttribute("data-keeping"));
  }
  await page.getByLabel("Power").fill("47 W");
  open();
  await come(2);
  await becomes(value({ is: "46 W", was: "46 W" }), 3);
  await page.keyboard.press("Enter");
  assert.deepEqual((await come(3)).map((entry) => [entry.value.was, entry.value.is]), [["60 W", "45 W"], ["45 W", "46 W"], ["46 W", "47 W"]]);
  await context.close();
});

test("a step and the whole record are sent on the entry that they were begun on", async () => {
  const tick = `<form data-form="t">${hidden({ kind: "tick", list: "dead", step: "main" })}<label>Reading <input name="reading"></label><button>Tick</button></form>`;
  const text = (words, base) => `<form data-form="text">${hidden({ kind: "text", base })}<label>Record <textarea name="is">${words}</textarea></label><button>Keep text</button></form>`;
  const { page, context, becomes, come } = await changing(tick + text("a = 1\n", 1));
  await page.getByLabel("Reading").fill("0 V");
  await page.getByLabel("Record").focus();
  await becomes(tick + text("a = 1\nb = 2\n", 2), 2);
  await page.getByLabel("Record").pressSequentially("c = 3\n");
  await becomes(`${tick}${text("a = 1\nb = 2\nd = 4\n", 3)}<p>more</p>`, 3);
  await page.getByRole("button", { name: "Tick" }).click();
  await page.getByRole("button", { name: "Keep text" }).click();
  const [first, second] = await come(2);
  assert.deepEqual([first.tick.reading, first.base], ["0 V", 1]);
  assert.ok(second.text.is.includes("c = 3") && !second.text.is.includes("b = 2"), second.text.is);
  assert.equal(second.base, 1);
  await context.close();
});

test("what is typed never goes over to the form of another thing that takes its place", async () => {
  const of = (...names) => names.map((name) => value({ path: `devices.${name}.power`, name, label: name })).join("");
  const { page, context, becomes, come } = await changing(of("fan", "pump"));
  await page.getByLabel("pump").fill("45 W");
  await becomes(of("fan", "lamp", "pump"), 2);
  assert.equal(await page.getByLabel("lamp").inputValue(), "");
  assert.equal(await page.getByLabel("pump").inputValue(), "45 W");
  await becomes(of("pump"), 3);
  assert.equal(await page.getByLabel("pump").inputValue(), "45 W");
  await page.getByRole("button", { name: "Keep" }).click();
  assert.deepEqual((await come(1))[0].value, { path: "devices.pump.power", is: "45 W" });
  await context.close();
});

test("the example in the field is that of what is chosen, also after a reload and when the page is new", async () => {
  const line = (more) => `<form data-form="line">${hidden({ kind: "line" })}<fieldset data-stays>
<label><input type="radio" name="section" value="wires" checked data-example="w1 = a to b"> wires</label>
<label><input type="radio" name="section" value="devices" data-example="pump = water pump"> devices</label></fieldset>
<label>Line <input name="text" data-first placeholder="w1 = a to b"></label></form>${more}`;
  const { page, context, becomes } = await changing(line(""));
  const shown = () => page.getByLabel("Line").getAttribute("placeholder");
  await page.getByLabel("devices").check();
  assert.equal(await shown(), "pump = water pump");
  await becomes(line("<p>more</p>"), 2);
  assert.equal(await shown(), "pump = water pump");
  await page.reload();
  await page.waitForSelector("html[data-ready]");
  assert.equal(await shown(), "pump = water pump");
  await page.getByLabel("wires").check();
  assert.equal(await shown(), "w1 = a to b");
  await context.close();
});

test("the arrows of a photo that is taken back do not stay on the one that takes its place", async () => {
  const photo = (fill, arrow) => `<span class="photo"><img alt="" src="data:image/svg+xml,${encodeURIComponent(`<svg xmlns="http://www.w3.org/2000/svg" width="100" height="50"><rect width="9" height="9" fill="${fill}"/></svg>`)}"${arrow ? ` data-arrow="${arrow}"` : ""}></span>`;
  const all = [photo("red", "M0.1 0.2L0.3 0.4"), photo("blue", ""), photo("green", "M0.5 0.2L0.9 0.4")];
  const { page, context, becomes } = await changing(all.join(""));
  const arrows = () => page.evaluate(() => Array.from(document.querySelectorAll(".photo"), (place) => place.querySelector("svg.arrows path")?.getAttribute("d").split("L")[0] ?? ""));
  await page.locator("svg.arrows").nth(1).waitFor();
  assert.deepEqual(await arrows(), ["M10 10", "", "M50 10"]);
  await becomes(all.slice(1).join(""), 2);
  await page.waitForFunction(() => document.querySelectorAll(".photo")[1]?.querySelector("svg.arrows"));
  assert.deepEqual(await arrows(), ["", "M50 10"]);
  assert.equal(await page.locator("svg.arrows").count(), 1);
  await context.close();
});
