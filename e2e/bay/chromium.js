// A Chromium for tests: Debian's, driven without any download.
import { existsSync } from "node:fs";

import { chromium } from "playwright-core";

const PLACES = [process.env.CHROMIUM, "/usr/bin/chromium", "/usr/bin/chromium-browser"];

/** Starts a browser. It ends with `close()`. */
export function startChromium() {
  const executablePath = PLACES.find((place) => place && existsSync(place));
  if (!executablePath) throw new Error("no chromium: install Debian's package chromium, or name one in CHROMIUM");
  return chromium.launch({
    executablePath,
    args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--disable-dev-shm-usage", "--no-first-run",
      "--disable-background-networking", "--disable-component-update", "--disable-sync"],
  });
}

/** Sizes of screens: a phone held upright, a tablet, a laptop. */
export const SCREENS = {
  phone: { viewport: { width: 360, height: 740 }, deviceScaleFactor: 2, isMobile: true, hasTouch: true },
  tablet: { viewport: { width: 820, height: 1180 }, hasTouch: true, isMobile: true },
  laptop: { viewport: { width: 1440, height: 900 } },
};
