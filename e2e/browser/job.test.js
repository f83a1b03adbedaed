// The whole job by hand, on a phone and on a laptop: arrival, ten things typed in, readings until the suspect is the
// right one, way in, report opened and its text read. Program, files and browser are real.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import path from "node:path";
import { after, before, test } from "node:test";

import { addLine, count, go, newCase, openBay, recordOf, sent, station, unfold } from "../bay/bay.js";
import { SCREENS } from "../bay/chromium.js";
import { DEFECT, ITEMS, shown } from "../bay/van.js";

let bay;
before(async () => {
  bay = await openBay();
});
after(() => bay.close());

for (const [name, screen] of [["phone", SCREENS.phone], ["laptop", SCREENS.laptop]]) {
  test(`the whole job on a ${name}`, async () => {
    const { context, page, troubles } = await bay.device(screen, { acceptDownloads: true });
    const title = `Work lamp ${name}`;
    const caseId = await newCase(page, title, "The work lamp is dim.");
    await arrival(page);
    await asFound(page, caseId);
    await noticed(page);
    await readings(page, screen);
    await wayIn(page);
    await report(page, title);
    assert.deepEqual(troubles, []);
    await context.close();
  });
}

async function arrival(page) {
  for (const [label, value] of [["Whose rules", "europe"], ["House voltage", "12 V"]]) {
    const field = page.getByLabel(label);
    await field.selectOption(value);
    await field.locator("xpath=ancestor::form").getByRole("button", { name: "Keep" }).click();
  }
  const seen = page.getByLabel("Who sees it");
  await seen.fill("by TM on 2026-06-11");
  await seen.press("Enter");
  await sent(page);
  await page.getByText("Does it smell of gas").locator("xpath=..").getByRole("button", { name: "No", exact: true }).click();
  await sent(page);
}

async function asFound(page, caseId) {
  await station(page, "As found");
  for (const [section, line] of ITEMS) await addLine(page, section, line);
  await sent(page);
  const record = await recordOf(page, caseId);
  for (const [, line] of ITEMS) assert.equal(count(record, line), 1, line);
  await page.locator(".stage svg [data-device='lamp']").waitFor();
  assert.equal(await page.locator("#faults").count(), 0, "every line is understood");
}

async function noticed(page) {
  await station(page, "Arrival");
  await unfold(page, "Add a state");
  const states = page.locator("#states");
  await states.getByLabel("Name").fill("night");
  await states.getByLabel("What is on").fill("lamp");
  await states.getByLabel("House battery").fill("80 %");
  await states.getByRole("button", { name: "Add" }).click();
  await sent(page);
  await unfold(page, "Add what was noticed");
  const symptoms = page.locator("#symptoms");
  await symptoms.getByLabel("In words").fill("the lamp is dim");
  await symptoms.getByLabel("Which device").fill("lamp");
  await symptoms.getByLabel("In which state").selectOption("night");
  await symptoms.getByLabel("In one word").selectOption("weak");
  await symptoms.getByText("I saw it", { exact: true }).click();
  await symptoms.getByRole("button", { name: "Add", exact: true }).click();
  await sent(page);
}

/** Answers what is asked, as the meter in the van would; at least three readings, until the repair is named. */
async function readings(page, screen) {
  await station(page, "Suspects");
  let taken = 0;
  for (let round = 0; round < 8; round += 1) {
    await page.locator("#next").waitFor();
    if ((await page.locator("#next").innerText()).startsWith("Repair")) break;
    if (await answer(page, screen)) taken += 1;
  }
  while (taken < 3) {
    const more = ["house.+ and house.-", "lamp.+ and lamp.-", "lamp.- and bar"][taken];
    await station(page, "As found");
    const line = `night: %value% between ${more}`;
    await addLine(page, "readings", `r${taken} = "${line.replace("%value%", `${shown(line).value.toFixed(2)} V`)}"`);
    taken += 1;
    await sent(page);
  }
  await station(page, "Suspects");
  await page.locator("#ranking li").first().waitFor();
  const first = await page.locator("#ranking li").first().innerText();
  assert.ok(first.includes(DEFECT), `the first suspect is ${first}`);
}

async function answer(page, screen) {
  const before = await page.locator("#next").innerText();
  const form = page.locator("#answer form").first();
  const line = await form.locator("[name=template]").inputValue();
  const field = form.locator("[data-pad]");
  const reads = (await field.count()) > 0;
  if (reads) {
    const { unit, value } = shown(line);
    const digits = Math.abs(value).toFixed(value < 0.2 ? 4 : 2);
    if (screen.hasTouch) await byPad(page, field, digits, value < 0, unit);
    else await field.fill(`${value < 0 ? "-" : ""}${digits}`);
    await form.getByRole("button", { name: "Enter the reading" }).click();
  } else if (await form.getByRole("button", { name: "Looks good" }).count()) {
    const isBad = line.includes(DEFECT);
    await form.getByRole("button", { name: isBad ? "Looks bad" : "Looks good" }).click();
  } else {
    await form.getByRole("button", { name: "weak", exact: true }).click();
  }
  await page.waitForFunction((words) => {
    const now = document.getElementById("next")?.innerText;
    return now && now !== words && !document.querySelector("main .working");
  }, before);
  await sent(page);
  return reads;
}

async function byPad(page, field, digits, isNegative, unit) {
  await field.tap();
  const keys = [...digits];
  if (isNegative) keys.push("sign");
  for (const key of keys) await page.locator(`.pad [data-key="${key}"]`).tap();
  await page.locator(`.pad [data-unit="${unit}"]`).tap();
}

async function wayIn(page) {
  await station(page, "Way in");
  await page.getByLabel("To reach").fill("lamp");
  await page.locator("form.card").getByRole("button", { name: "Way in" }).click();
  await page.locator("#steps").getByText("kick board").first().waitFor();
  await page.waitForSelector("html[data-ready]");
  await page.locator("#steps").getByRole("button", { name: "Out" }).click();
  await page.locator("#steps .step.ticked").waitFor();
}

async function report(page, title) {
  await station(page, "Hand over");
  const [download] = await Promise.all([
    page.waitForEvent("download", { timeout: 120000 }),
    page.getByRole("button", { name: "Make the pack" }).click(),
  ]);
  const folder = await mkdtemp(path.join(tmpdir(), "unbury-pack-"));
  const file = path.join(folder, "pack.zip");
  await download.saveAs(file);
  const python = "import sys, zipfile; zipfile.ZipFile(sys.argv[1]).extractall(sys.argv[2])";
  execFileSync("python3", ["-c", python, file, folder]);
  const pdf = execFileSync("find", [folder, "-name", "report.pdf"]).toString().trim();
  assert.ok(pdf, "the pack holds a report");
  const text = execFileSync("pdftotext", ["-layout", pdf, "-"]).toString();
  for (const words of [title, "The work lamp is dim", "lamp", "f2"]) assert.ok(text.includes(words), `the report says "${words}"`);
  await rm(folder, { recursive: true, force: true });
}
