// Two people on one case: each sees what the other enters, and nobody loses what is being typed.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { addLine, count, go, openBay, ready, recordOf, sent } from "../bay/bay.js";
import { SCREENS } from "../bay/chromium.js";

let bay;
before(async () => {
  bay = await openBay();
});
after(() => bay.close());

test("what one enters appears at the other, who goes on typing", async () => {
  const one = await bay.device(SCREENS.phone);
  const two = await bay.device(SCREENS.laptop);
  await Promise.all([go(one.page, `/case/${bay.dunlin}/found`), go(two.page, `/case/${bay.dunlin}/found`)]);
  const typing = two.page.locator("#add [data-first]");
  await typing.click();
  await typing.pressSequentially('mine = "rest: 12.6');
  const before = await two.page.locator("#list summary", { hasText: "Devices" }).innerText();
  await addLine(one.page, "devices", 'second-fan = { kind = "fan", behind = "nothing", power = "20 W" }');
  await two.page.waitForFunction((was) => {
    const now = Array.from(document.querySelectorAll("#list summary"), (node) => node.innerText).find((text) => text.startsWith("Devices"));
    return now && now !== was;
  }, before);
  await typing.pressSequentially(" V\"");
  assert.equal(await typing.inputValue(), 'mine = "rest: 12.6 V"');
  assert.equal(await two.page.evaluate(() => document.activeElement?.matches("#add [data-first]")), true);
  await Promise.all([one.context.close(), two.context.close()]);
});

test("both change different fields of one device without a link: both stand", async () => {
  const one = await bay.device(SCREENS.phone);
  const two = await bay.device(SCREENS.laptop);
  await Promise.all([go(one.page, `/case/${bay.dunlin}/arrival`), go(two.page, `/case/${bay.dunlin}/arrival`)]);
  await Promise.all([
    change(one.page, "What it is", "tall van with a kiln"),
    change(two.page, "Who sees it", "by TM on 2026-06-11"),
  ]);
  const record = await recordOf(one.page, bay.dunlin);
  assert.equal(count(record, "tall van with a kiln"), 1);
  assert.equal(count(record, "by TM on 2026-06-11"), 1);
  await Promise.all([one.context.close(), two.context.close()]);
});

test("both change one field: the second is told, and both answers are kept to choose from", async () => {
  const one = await bay.device(SCREENS.phone);
  const two = await bay.device(SCREENS.laptop);
  await go(one.page, `/case/${bay.dunlin}/arrival`);
  await go(two.page, `/case/${bay.dunlin}/arrival`);
  // Two does not hear of it: its queue is held until one has entered.
  await two.page.route("**/entries", async (route) => {
    await change(one.page, "What it is", "a tall van");
    return route.continue();
  }, { times: 1 });
  await change(two.page, "What it is", "a box on wheels");
  const told = two.page.locator("#clash");
  await told.getByText("a tall van").waitFor();
  await told.getByText("a box on wheels").waitFor();
  await told.getByRole("link", { name: "Choose" }).waitFor();
  await go(two.page, `/case/${bay.dunlin}/history`);
  await two.page.getByText("a tall van").first().waitFor();
  await two.page.getByText("a box on wheels").first().waitFor();
  await Promise.all([one.context.close(), two.context.close()]);
});

test("one hears of the other's answer while typing another: both are kept to choose from", async () => {
  const one = await bay.device(SCREENS.phone);
  const two = await bay.device(SCREENS.laptop);
  await Promise.all([go(one.page, `/case/${bay.dunlin}/arrival`), go(two.page, `/case/${bay.dunlin}/arrival`)]);
  await two.page.getByLabel("In the owner's words").fill("the kiln trips the shore lead");
  const head = Number(await two.page.getAttribute("[data-head]", "data-head"));
  const theirs = one.page.getByLabel("In the owner's words");
  await theirs.fill("the lights dim at night");
  await theirs.locator("xpath=ancestor::form").getByRole("button", { name: "Keep" }).click();
  await sent(one.page);
  await two.page.waitForFunction((before) => Number(document.querySelector("[data-head]").dataset.head) > before, head);
  const mine = two.page.getByLabel("In the owner's words");
  assert.equal(await mine.inputValue(), "the kiln trips the shore lead");
  // It is told for some seconds only: to be waited for from the beginning.
  const isTold = two.page.locator("#told").getByText("Kept beside the other").waitFor();
  await mine.locator("xpath=ancestor::form").getByRole("button", { name: "Keep" }).click();
  const told = two.page.locator("#clash");
  await Promise.all([
    isTold, told.getByText("the lights dim at night").waitFor(), told.getByText("the kiln trips the shore lead").waitFor(),
  ]);
  assert.equal(count(await recordOf(one.page, bay.dunlin), "the lights dim at night"), 1);
  // What was sent has given way to what stands.
  await two.page.waitForFunction(() => document.querySelector("#complaint textarea").value === "the lights dim at night");
  await Promise.all([one.context.close(), two.context.close()]);
});

test("one edits the whole record while the other adds a line: both are in it", async () => {
  const one = await bay.device(SCREENS.phone);
  const two = await bay.device(SCREENS.laptop);
  await Promise.all([go(one.page, `/case/${bay.dunlin}/found`), go(two.page, `/case/${bay.dunlin}/found`)]);
  await two.page.locator("#text summary").click();
  const record = two.page.getByLabel("The record");
  await record.focus();
  const head = Number(await two.page.getAttribute("[data-head]", "data-head"));
  await addLine(one.page, "devices", 'third-fan = { kind = "fan", behind = "nothing", power = "21 W" }');
  await sent(one.page);
  await two.page.waitForFunction((before) => Number(document.querySelector("[data-head]").dataset.head) > before, head);
  await record.press("Control+Home");
  await record.pressSequentially("# looked at twice\n");
  await two.page.locator("#text").getByRole("button", { name: "Keep" }).click();
  await sent(two.page);
  const text = await recordOf(one.page, bay.dunlin);
  assert.equal(count(text, "# looked at twice"), 1);
  assert.equal(count(text, "third-fan"), 1);
  await Promise.all([one.context.close(), two.context.close()]);
});

async function change(page, label, value) {
  const field = page.getByLabel(label);
  await field.fill(value);
  await field.press("Enter");
  await sent(page);
  await ready(page);
}
