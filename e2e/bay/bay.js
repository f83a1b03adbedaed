// What a technician does in the app, in words of the job: the hand of the whole-program tests.
import assert from "node:assert/strict";

import { startChromium } from "./chromium.js";
import { startLink } from "./link.js";
import { startServer } from "./server.js";

/** How long a page may take for anything: the debug build on a machine that builds beside it is slow. */
const PATIENCE_MS = 90000;

/** A browser, the program with Dunlin in it, and the link between them; `options` as of server.js. */
export async function openBay(options) {
  const server = await startServer(options);
  const browser = await startChromium();
  const link = await startLink(server.port);
  const address = `http://127.0.0.1:${link.port}`;
  return {
    browser,
    server,
    link,
    address,
    dunlin: server.dunlin,
    lamp: server.lamp,
    async device(screen, more = {}) {
      const context = await browser.newContext({ ...screen, ...more, baseURL: address });
      context.setDefaultTimeout(PATIENCE_MS);
      const page = await context.newPage();
      const troubles = [];
      page.on("pageerror", (error) => troubles.push(String(error)));
      page.on("console", (message) => {
        if (/Content Security Policy/.test(message.text())) troubles.push(message.text());
      });
      return { context, page, troubles };
    },
    async close() {
      await browser.close();
      await link.stop();
      await server.stop();
    },
  };
}

/** Goes to an address and waits for the modules. */
export async function go(page, path) {
  await page.goto(path);
  await ready(page);
}

export async function ready(page) {
  await page.waitForSelector("html[data-ready]");
}

/** Waits until the server has everything and the page shows it. */
export async function sent(page) {
  await page.waitForFunction(() => document.documentElement.dataset.waiting === "0" && !document.documentElement.hasAttribute("data-keeping") && document.getElementById("queue-sign")?.hidden
    && !document.querySelector("[data-waits]"));
}

/** Opens a case from a starter and gives its id. */
export async function newCase(page, title, complaint, starter = "Bare van") {
  await go(page, "/");
  await page.getByRole("link", { name: "New case" }).click();
  await ready(page);
  await page.getByLabel("Vehicle").fill(title);
  await page.getByLabel("Complaint").fill(complaint);
  await page.getByRole("radio", { name: starter }).check();
  await page.getByRole("button", { name: "Open the case" }).click();
  await page.getByRole("heading", { name: "Arrival", level: 1 }).waitFor();
  await ready(page);
  return new URL(page.url()).pathname.split("/")[2];
}

/** Goes to a station by the bar. */
export async function station(page, name) {
  await page.getByRole("navigation", { name: "Stations" }).getByRole("link", { name }).click();
  await page.getByRole("heading", { name, level: 1 }).waitFor();
  await ready(page);
}

/** Types a shorthand line at "as found". */
export async function addLine(page, section, text) {
  const form = page.locator("#add form");
  await form.getByText(section, { exact: true }).click();
  const line = form.locator("[data-first]");
  await line.fill(text);
  await line.press("Enter");
}

/** Opens a folded part. */
export async function unfold(page, title) {
  const summary = page.locator("summary", { hasText: title }).first();
  if (!(await summary.evaluate((node) => node.parentElement.open))) await summary.click();
}

/** The text of the record as the page "as found" shows it. */
export async function recordOf(page, caseId) {
  const response = await page.request.get(`/case/${caseId}/found`);
  assert.equal(response.status(), 200);
  const text = await response.text();
  const [, inside] = /<textarea[^>]*name="is"[^>]*>([\s\S]*?)<\/textarea>/.exec(text);
  return inside.replaceAll("&quot;", '"').replaceAll("&lt;", "<").replaceAll("&gt;", ">").replaceAll("&amp;", "&");
}

/** How often `words` stand in `text`. */
export function count(text, words) {
  return text.split(words).length - 1;
}
