// The door of a workshop where people log in: the first lead, a wrong password, a technician, a link for the owner.
// Every page on the way keeps the accessibility rules and fits a phone.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { openBay } from "../bay/bay.js";
import { SCREENS } from "../bay/chromium.js";
import { faultsOf } from "../bay/rules.js";

let bay;
before(async () => {
  bay = await openBay({ door: true });
});
after(() => bay.close());

test("the first lead begins, adds a technician, gives the owner a link; each sees what is theirs", async () => {
  const lead = await bay.device(SCREENS.phone, { serviceWorkers: "block" });
  const faults = [];
  const look = async ({ page }, name) => {
    for (const fault of await faultsOf(page)) faults.push(`${name}: ${fault}`);
    const wide = await page.evaluate(() => document.scrollingElement.scrollWidth - innerWidth);
    if (wide > 0) faults.push(`${name} is ${wide} px too wide`);
  };
  const [, code] = /this code:\s+(\S+)/.exec(bay.server.said());
  await lead.page.goto("/");
  await look(lead, "first person");
  await lead.page.getByLabel("Code").fill(code);
  await lead.page.getByLabel("Your name").fill("Ana");
  await lead.page.getByLabel("Password").fill("correct horse");
  await lead.page.getByRole("button", { name: "Begin" }).click();
  await lead.page.getByRole("heading", { name: "Cases" }).waitFor();
  await lead.page.goto("/people");
  await lead.page.getByLabel("Name, as it stands").fill("Ben");
  await lead.page.getByLabel("Password").fill("battery staple");
  await lead.page.getByRole("button", { name: "Let them log in" }).click();
  await lead.page.getByText("Remove", { exact: true }).waitFor();
  await look(lead, "people");
  await lead.page.goto("/password");
  await look(lead, "new password");
  await lead.page.goto(`/case/${bay.dunlin}/links`);
  await lead.page.getByRole("button", { name: /link/i }).first().click();
  const owner = await lead.page.locator("a[href*='/owner/']").first().getAttribute("href");
  await look(lead, "links");

  const other = await bay.device(SCREENS.phone, { serviceWorkers: "block" });
  await other.page.goto(new URL(owner).pathname);
  await other.page.getByText("The report").first().waitFor();
  assert.equal(await other.page.locator("form").count(), 0, "an owner can change nothing");
  await look(other, "what the owner sees");
  await other.page.goto("/keep");
  await other.page.getByLabel("Name").fill("Ben");
  await other.page.getByLabel("Password").fill("wrong");
  await look(other, "log in");
  await other.page.getByRole("button", { name: "Log in" }).click();
  await other.page.getByRole("alert").waitFor();
  await look(other, "wrong password");
  await other.page.getByLabel("Name").fill("Ben");
  await other.page.getByLabel("Password").fill("battery staple");
  await other.page.getByRole("button", { name: "Log in" }).click();
  await other.page.getByText("Only a lead may do this").waitFor();
  await look(other, "not allowed");
  await other.page.goto("/");
  assert.equal(await other.page.getByRole("link", { name: "Keep and move" }).count(), 0);
  assert.deepEqual(faults, []);
  assert.deepEqual([...lead.troubles, ...other.troubles], []);
  await Promise.all([lead.context.close(), other.context.close()]);
});
