// Every page of the app, by name.

/** Name and address of each, for the case of this id; `lamp` is one in which a check is worth its minutes. */
export function pagesOf(id, lamp) {
  const home = `/case/${id}`;
  return {
    cases: "/",
    "new-case": "/new",
    arrival: `${home}/arrival`,
    "make-dead": `${home}/dead`,
    "as-found": `${home}/found`,
    suspects: `${home}/suspects`,
    "next-check": `/case/${lamp}/suspects`,
    "way-in": `${home}/way-in?to=charger`,
    "put-right": `${home}/put-right`,
    prove: `${home}/prove`,
    "hand-over": `${home}/hand-over`,
    "sheet-of-a-device": `${home}/item/charger`,
    "sheet-of-a-wire": `${home}/item/c2`,
    "sheet-of-a-part": `${home}/item/splash`,
    history: `${home}/history`,
    "links-for-the-owner": `${home}/links`,
    people: "/people",
    "new-password": "/password",
    "keep-and-move": "/keep",
    "no-such-case": "/case/nobody/arrival",
  };
}

/** Waits until a page shows what it is going to show. */
export async function complete(page) {
  await page.waitForSelector("html[data-ready]");
  await page.waitForFunction(() => !document.querySelector("main .working"), undefined, { timeout: 120000 });
  await page.waitForFunction(() => Array.from(document.querySelectorAll("figure[data-drawing-src]"))
    .filter((figure) => figure.checkVisibility()).every((figure) => figure.querySelector(".stage svg, .stage p")));
}
