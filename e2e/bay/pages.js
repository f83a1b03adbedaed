// Every page of the app, by name, with Dunlin as the case.
const CASE = "/case/dunlin";

export const PAGES = {
  cases: "/",
  "new-case": "/new",
  arrival: `${CASE}/arrival`,
  "make-dead": `${CASE}/dead`,
  "as-found": `${CASE}/found`,
  suspects: `${CASE}/suspects`,
  "way-in": `${CASE}/way-in?to=charger`,
  "put-right": `${CASE}/put-right`,
  prove: `${CASE}/prove`,
  "hand-over": `${CASE}/hand-over`,
  "sheet-of-a-device": `${CASE}/item/charger`,
  "sheet-of-a-wire": `${CASE}/item/c2`,
  "sheet-of-a-part": `${CASE}/item/splash`,
  history: `${CASE}/history`,
  "links-for-the-owner": `${CASE}/links`,
  "no-such-case": "/case/nobody/arrival",
};

/** Waits until a page shows what it is going to show. */
export async function complete(page) {
  await page.waitForSelector("html[data-ready]");
  await page.waitForFunction(() => !document.querySelector("main .working"), undefined, { timeout: 120000 });
  await page.waitForFunction(() => Array.from(document.querySelectorAll("figure[data-drawing-src]"))
    .filter((figure) => figure.checkVisibility()).every((figure) => figure.querySelector(".stage svg, .stage p")));
}
