// The link of the bay cut while 20 readings and 3 photos are entered: all of it is there afterwards, once.
//
// The link is a relay that tears down what stands and refuses what comes. It stays cut for CUT_S seconds of real time:
// 60 when the whole is tested (CUT_S=60), 15 otherwise, which changes nothing but how often the queue tries in vain.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { addLine, count, go, openBay, ready, recordOf, sent } from "../bay/bay.js";
import { SCREENS } from "../bay/chromium.js";
import { picture } from "../bay/picture.js";

const CUT_S = Number(process.env.CUT_S ?? 15);
let bay;
before(async () => {
  bay = await openBay();
});
after(() => bay.close());

test(`20 readings and 3 photos while the link is cut for ${CUT_S} s`, async () => {
  const { context, page } = await bay.device(SCREENS.phone);
  await go(page, `/case/${bay.dunlin}/found`);
  await page.evaluate(() => navigator.serviceWorker.ready);
  await page.reload();
  await ready(page);
  // The pages of the case are kept a moment after the page is there.
  await kept(page, ["arrival", "found", "suspects", "way-in", "hand-over"]);

  const photosBefore = await photosOf(page);
  bay.link.cut();
  const cut = Date.now();
  const lines = Array.from({ length: 20 }, (_, index) => `cut${index} = "rest: 12.${40 + index} V between house.+ and house.-, multimeter"`);
  for (const line of lines.slice(0, 10)) await addLine(page, "readings", line);
  await page.getByRole("button", { name: "10 waiting" }).waitFor();
  // Another page of the case, without a link: the kept one, with its time; what waits is on it.
  await page.goto(`/case/${bay.dunlin}/arrival`);
  await ready(page);
  await page.getByText("No link to the server. This page is as it was at").waitFor();
  assert.equal(await page.locator("[data-waits]").count(), 10);
  for (const name of ["one", "two", "three"]) {
    await page.locator("#photos input[type=file]").setInputFiles({ name: `${name}.jpg`, mimeType: "image/png", buffer: await picture(page, name) });
    await page.getByRole("button", { name: "Keep photo" }).tap();
    await page.getByRole("dialog").waitFor({ state: "detached" });
  }
  await page.getByRole("button", { name: "13 waiting" }).waitFor();
  await page.goto(`/case/${bay.dunlin}/found`);
  await ready(page);
  for (const line of lines.slice(10)) await addLine(page, "readings", line);
  await page.getByRole("button", { name: "23 waiting" }).waitFor();
  await page.waitForTimeout(Math.max(0, CUT_S * 1000 - (Date.now() - cut)));
  assert.equal(await page.evaluate(() => document.documentElement.dataset.waiting), "23");

  bay.link.mend();
  await page.waitForFunction(() => document.documentElement.dataset.waiting === "0", undefined, { timeout: 180000 });
  await sent(page);
  const record = await recordOf(page, bay.dunlin);
  for (const line of lines) assert.equal(count(record, line), 1, line);
  const places = lines.map((line) => record.indexOf(line));
  assert.deepEqual([...places].sort((a, b) => a - b), places, "in the order they were made");
  assert.equal(await photosOf(page), photosBefore + 3, "three photos, once each");
  await context.close();
});

test("an answer is lost on its way: the message is sent again and counts once", async () => {
  const { context, page } = await bay.device(SCREENS.laptop);
  await go(page, `/case/${bay.dunlin}/found`);
  let cutOnce = true;
  await page.route("**/entries", async (route) => {
    if (!cutOnce) return route.continue();
    cutOnce = false;
    // The server takes it, and its answer is lost on the way.
    await route.fetch();
    return route.abort("connectionreset");
  });
  await addLine(page, "readings", 'lost = "rest: 12.61 V between house.+ and house.-, multimeter"');
  await sent(page);
  assert.equal(cutOnce, false);
  assert.equal(count(await recordOf(page, bay.dunlin), "\nlost = "), 1);
  await context.close();
});

/** Waits until the worker has copies of these pages of Dunlin. */
async function kept(page, names) {
  for (let round = 0; round < 200; round += 1) {
    const there = await page.evaluate(async () => {
      const keys = await (await caches.open("pages")).keys();
      return keys.map((key) => new URL(key.url).pathname);
    });
    if (names.every((name) => there.includes(`/case/${bay.dunlin}/${name}`))) return;
    await page.waitForTimeout(100);
  }
  assert.fail("the pages were not kept");
}

/** How many photos the case has, by the page the server gives. */
async function photosOf(page) {
  const response = await page.request.get(`/case/${bay.dunlin}/arrival`);
  return count(await response.text(), 'class="taken"');
}
