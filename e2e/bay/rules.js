// The accessibility rules engine on a page as it stands, every fold open.
import { readFile } from "node:fs/promises";

const ENGINE = new URL("../node_modules/axe-core/axe.min.js", import.meta.url);
let engine;

/** Serious and critical faults of a page, one line each. */
export async function faultsOf(page) {
  engine ??= await readFile(ENGINE, "utf8");
  await page.evaluate(engine);
  return page.evaluate(broken);
}

async function broken() {
  for (const fold of document.querySelectorAll("details")) fold.open = true;
  const tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];
  const { violations } = await globalThis.axe.run(document, { runOnly: tags });
  return violations
    .filter(({ impact }) => impact === "serious" || impact === "critical")
    .map(({ id, help, nodes }) => `${id}: ${help}: ${nodes.slice(0, 3).map((node) => node.html.slice(0, 140)).join(" | ")}`);
}
