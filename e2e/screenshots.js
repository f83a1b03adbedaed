// Pictures of every page at three widths, light and dark, and the few that the README shows.
//
// `node screenshots.js FOLDER [NAME...]`; the README's go to docs/figures. Needs `pngquant` for those, so that the
// repository stays small. Knows pages and sizes; what is on them is the program's business.
import { execFileSync } from "node:child_process";
import { mkdir } from "node:fs/promises";
import path from "node:path";
import { fileURLToPath } from "node:url";

import { openBay } from "./bay/bay.js";
import { SCREENS } from "./bay/chromium.js";
import { complete, pagesOf } from "./bay/pages.js";

const FIGURES = fileURLToPath(new URL("../docs/figures/", import.meta.url));
/** Page, screen, scheme, height of the cut-out: what the README shows. */
const README = [
  ["next-check", "phone", "light", 1100],
  ["as-found", "laptop", "light", 900],
  ["make-dead", "phone", "dark", 1100],
];
/** Tallest picture of a page in CSS pixels; what is below repeats what is above. */
const TALLEST_PX = 6000;

const [folder, ...wanted] = process.argv.slice(2);
if (!folder) throw new Error("say where the pictures go");
await mkdir(folder, { recursive: true });
const bay = await openBay();
try {
  for (const [screen, size] of Object.entries(SCREENS)) {
    for (const scheme of ["light", "dark"]) {
      const { context, page } = await bay.device({ ...size, deviceScaleFactor: 1 }, { colorScheme: scheme, serviceWorkers: "block", reducedMotion: "reduce" });
      for (const [name, address] of Object.entries(pagesOf(bay.dunlin, bay.lamp))) {
        if (wanted.length > 0 && !wanted.includes(name)) continue;
        await page.goto(address);
        await complete(page);
        await page.waitForTimeout(150);
        await shot(page, path.join(folder, `${name}-${screen}-${scheme}.png`));
      }
      await context.close();
    }
  }
  if (wanted.length === 0) await forReadme();
} finally {
  await bay.close();
}

async function shot(page, file) {
  const height = await page.evaluate(() => document.documentElement.scrollHeight);
  const { width } = page.viewportSize();
  await page.screenshot({ path: file, fullPage: true, clip: { x: 0, y: 0, width, height: Math.min(height, TALLEST_PX) } });
}

async function forReadme() {
  for (const [name, screen, scheme, height] of README) {
    const size = SCREENS[screen];
    const { context, page } = await bay.device({ ...size, viewport: { width: size.viewport.width, height }, deviceScaleFactor: 1.5 },
      { colorScheme: scheme, serviceWorkers: "block", reducedMotion: "reduce" });
    await page.goto(pagesOf(bay.dunlin, bay.lamp)[name]);
    await complete(page);
    await page.waitForTimeout(150);
    const file = path.join(FIGURES, `app-${name}.png`);
    await page.screenshot({ path: file });
    execFileSync("pngquant", ["--force", "--skip-if-larger", "--quality", "40-80", "--output", file, file]);
    await context.close();
  }
}
