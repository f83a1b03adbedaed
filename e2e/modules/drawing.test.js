// Drawings and photos under fingers, mouse and keys, in a real browser.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { SCREENS, startChromium } from "../bay/chromium.js";
import { stage } from "../bay/stage.js";

let browser;
before(async () => {
  browser = await startChromium();
});
after(() => browser.close());

const svg = (words) => `<svg xmlns="http://www.w3.org/2000/svg" class="drawing" viewBox="0 0 400 300" width="400pt" height="300pt"><title>${words}</title>
<style>.drawing{color:red}</style><script>window.bad = true</script>
<g class="device" data-device="charger"><title>charger: 30 A</title><rect x="100" y="100" width="60" height="40" class="f-ground s-ink" fill="#ffffff" stroke="#15181c"/></g>
<g class="wire" data-wire="w1"><title>w1: 4 mm2</title><path d="M160 120L300 120" class="s-ink" fill="none" stroke="#15181c" stroke-width="1"/></g></svg>`;
const FIGURE = `<figure data-drawing-src="/case/test/drawing/wiring.svg"><div class="stage"></div><p><button type="button"
 data-show="/case/test/drawing/wiring.svg">Wires</button><button type="button" data-show="/case/test/drawing/wiring-findings.svg">Findings</button></p></figure>`;
const answer = (_, address) => {
  if (address.pathname.includes("/drawing/")) return { contentType: "image/svg+xml", body: svg(address.pathname.split("/").pop()) };
  if (address.pathname.includes("/item/")) return { contentType: "text/html", body: `<h1>${address.pathname}</h1>` };
  return undefined;
};
const SIZE = ".stage { height: 300px !important; width: 360px; touch-action: none }";

async function shown(screen) {
  const set = await stage(browser, FIGURE, { answer, screen });
  await set.page.locator(".stage svg").waitFor();
  await set.page.evaluate((rule) => {
    const sheet = new CSSStyleSheet();
    sheet.replaceSync(rule);
    document.adoptedStyleSheets = [sheet];
  }, SIZE);
  await set.page.waitForTimeout(100);
  const box = async () => (await set.page.locator(".stage svg").getAttribute("viewBox")).split(" ").map(Number);
  return { ...set, box };
}

test("keys: nearer, move, fit, from item to item, open", async () => {
  const { page, context, box, troubles } = await shown(SCREENS.laptop);
  await page.locator(".stage").focus();
  const whole = await box();
  await page.keyboard.press("+");
  await page.waitForTimeout(50);
  const near = await box();
  assert.ok(Math.abs(near[2] - whole[2] / 1.4) < 0.01, `${near} of ${whole}`);
  await page.keyboard.press("ArrowRight");
  await page.waitForTimeout(50);
  assert.ok((await box())[0] > near[0]);
  await page.keyboard.press("0");
  await page.waitForTimeout(50);
  assert.deepEqual(await box(), whole);
  await page.keyboard.press("n");
  assert.equal(await page.locator("#said").innerText(), "charger: 30 A");
  await page.keyboard.press("n");
  await page.keyboard.press("Enter");
  await page.waitForURL("**/case/test/item/w1");
  assert.deepEqual(troubles, []);
  assert.equal(await page.evaluate(() => window.bad), undefined);
  await context.close();
});

test("the wheel goes nearer at the mouse, dragging moves, a click on a thin line opens it", async () => {
  const { page, context, box } = await shown(SCREENS.laptop);
  const place = await page.locator(".stage").boundingBox();
  const spot = await page.locator('[data-wire="w1"] path').boundingBox();
  await page.locator(".stage").focus();
  await page.mouse.move(spot.x + 20, spot.y);
  await page.mouse.wheel(0, -300);
  await page.waitForTimeout(80);
  const near = await box();
  assert.ok(near[2] < 400);
  await page.mouse.move(place.x + 200, place.y + 150);
  await page.mouse.down();
  await page.mouse.move(place.x + 150, place.y + 150, { steps: 5 });
  await page.mouse.up();
  await page.waitForTimeout(50);
  assert.ok((await box())[0] > near[0]);
  assert.ok(page.url().endsWith("/found"), "a drag opens nothing");
  await page.keyboard.press("0");
  await page.waitForTimeout(50);
  const line = await page.locator('[data-wire="w1"] path').boundingBox();
  await page.mouse.click(line.x + 60, line.y + 9);
  await page.waitForURL("**/case/test/item/w1");
  await context.close();
});

test("two fingers pinch; a tap opens", async () => {
  const { page, context, box } = await shown(SCREENS.phone);
  const whole = await box();
  const place = await page.locator(".stage").boundingBox();
  const client = await context.newCDPSession(page);
  const touch = (type, points) => client.send("Input.dispatchTouchEvent", {
    type, touchPoints: points.map(([x, y], id) => ({ x: place.x + x, y: place.y + y, id })) });
  await touch("touchStart", [[160, 150], [200, 150]]);
  for (const out of [10, 20, 30, 40]) await touch("touchMove", [[160 - out, 150], [200 + out, 150]]);
  await touch("touchEnd", []);
  await page.waitForTimeout(80);
  const near = await box();
  // The fingers went from 40 to 120 px apart: three times nearer.
  assert.ok(Math.abs(whole[2] / near[2] - 3) < 0.15, `${whole[2] / near[2]}`);
  await page.getByRole("button", { name: "Fit the whole drawing" }).tap();
  await page.waitForTimeout(80);
  const device = await page.locator('[data-device="charger"] rect').boundingBox();
  await page.touchscreen.tap(device.x + device.width / 2, device.y + device.height / 2);
  await page.waitForURL("**/case/test/item/charger");
  await context.close();
});

test("another drawing is shown by a key, which says that it is pressed", async () => {
  const { page, context } = await shown(SCREENS.laptop);
  await page.getByRole("button", { name: "Findings" }).click();
  await page.waitForFunction(() => document.querySelector(".stage svg title").textContent === "wiring-findings.svg");
  assert.equal(await page.getByRole("button", { name: "Findings" }).getAttribute("aria-pressed"), "true");
  assert.equal(await page.getByRole("button", { name: "Wires" }).getAttribute("aria-pressed"), "false");
  await context.close();
});

test("a file that is no picture is refused before anything is asked, and the next picture takes the words away", async () => {
  const body = `<label>Photo <input type="file" accept="image/*" data-photo-on="charger"></label>`;
  const { page, context, troubles } = await stage(browser, body, { screen: SCREENS.phone });
  const file = (name, mimeType, words) => ({ name, mimeType, buffer: Buffer.from(words) });
  // One that says so of itself is no picture for it.
  for (const [name, type] of [["notes.txt", "text/plain"], ["shot.jpg", "image/jpeg"]]) {
    await page.getByLabel("Photo").setInputFiles(file(name, type, "not a picture"));
    await page.getByRole("alert").filter({ hasText: `${name}\u201d is no picture that this device can show` }).waitFor();
    assert.equal(await page.getByRole("alert").count(), 1);
    assert.equal(await page.getByRole("dialog").count(), 0);
  }
  const drawn = '<svg xmlns="http://www.w3.org/2000/svg" width="40" height="30"><rect width="40" height="30" fill="red"/></svg>';
  await page.getByLabel("Photo").setInputFiles(file("drawn.svg", "image/svg+xml", drawn));
  await page.getByRole("dialog").locator("img").waitFor();
  await page.waitForFunction(() => document.querySelector("dialog img").naturalWidth === 40);
  assert.equal(await page.getByRole("alert").count(), 0);
  await page.getByRole("button", { name: "Throw photo away" }).click();
  assert.deepEqual(troubles, []);
  await context.close();
});

test("a photo is made smaller, gets an arrow beside it, and waits with both", async () => {
  const sent = [];
  const photo = (request, address) => {
    if (!address.pathname.endsWith("/photos")) return undefined;
    sent.push(request.postDataBuffer().toString("latin1"));
    const id = /name="id"\r\n\r\n([^\r]+)/.exec(sent.at(-1))[1];
    return { contentType: "application/json", body: JSON.stringify({ id, seq: 2, outcome: "taken", message: "" }) };
  };
  const body = `<label>Photo <input type="file" accept="image/*" data-photo-on="charger"></label>`;
  const { page, context, troubles } = await stage(browser, body, { answer: photo, screen: SCREENS.phone });
  const bytes = await page.evaluate(async () => {
    const canvas = document.createElement("canvas");
    [canvas.width, canvas.height] = [4000, 3000];
    const pen = canvas.getContext("2d");
    pen.fillStyle = "green";
    pen.fillRect(0, 0, 4000, 3000);
    const blob = await new Promise((resolve) => canvas.toBlob(resolve, "image/png"));
    return Array.from(new Uint8Array(await blob.arrayBuffer()));
  });
  await page.getByLabel("Photo").setInputFiles({ name: "shot.png", mimeType: "image/png", buffer: Buffer.from(bytes) });
  const picture = page.getByRole("dialog").locator("img");
  await picture.waitFor();
  await page.waitForFunction(() => document.querySelector("dialog img").naturalWidth > 0);
  assert.deepEqual(await picture.evaluate((img) => [img.naturalWidth, img.naturalHeight]), [2560, 1920]);
  const box = await picture.boundingBox();
  await page.mouse.move(box.x + box.width * 0.25, box.y + box.height * 0.5);
  await page.mouse.down();
  await page.mouse.move(box.x + box.width * 0.75, box.y + box.height * 0.5, { steps: 8 });
  await page.mouse.up();
  await page.getByLabel("Words beside it").fill("burnt here");
  await page.getByRole("button", { name: "Keep photo" }).tap();
  await page.getByRole("dialog").waitFor({ state: "detached" });
  await page.waitForFunction(() => document.documentElement.dataset.waiting === "0" && document.getElementById("said")?.textContent === "everything is sent");
  assert.equal(sent.length, 1);
  const field = (name) => new RegExp(`name="${name}"\r\n\r\n([^\r]*)`).exec(sent[0])?.[1];
  assert.equal(field("on"), "charger");
  assert.equal(field("words"), "burnt here");
  const points = field("arrow").match(/[\d.]+/g).map(Number);
  [0.25, 0.5, 0.75, 0.5].forEach((share, index) => assert.ok(Math.abs(points[index] - share) < 0.01, field("arrow")));
  assert.ok(sent[0].includes('filename="shot.jpg"') && sent[0].includes("\xff\xd8\xff"), "a JPEG");
  assert.deepEqual(troubles, []);
  await context.close();
});
