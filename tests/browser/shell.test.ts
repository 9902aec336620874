// The page's shell without a network, in a real Chromium: one visit is enough, and what opens then says that it has no data.

import { expect, it } from "vitest";
import { launchChromium } from "./chromium.ts";
import { scratchFolder, startScripted } from "./feedpoint.ts";

const WAIT = { timeout: 20_000 };

it("opens after a single visit although the daemon cannot be reached, and shows no number", async () => {
  const browser = await launchChromium();
  const folder = await scratchFolder();
  const feedpoint = await startScripted(folder.path, 1);
  try {
    const context = await browser.newContext({ locale: "en-GB" });
    const page = await context.newPage();
    await page.goto(feedpoint.address);
    await page.waitForSelector(".cutaway", WAIT);
    await page.evaluate(async () => {
      await navigator.serviceWorker.ready;
    });
    await page.waitForFunction(() => navigator.serviceWorker.controller?.state === "activated", null, WAIT);

    await context.setOffline(true);
    await page.reload();
    await page.waitForSelector("h1", WAIT);
    expect(await page.textContent("header .product")).toBe("Emberwire");
    expect(await page.textContent("h1")).not.toMatch(/\d/);
  } finally {
    await browser.close();
    await feedpoint.stop();
    await folder.remove();
  }
});
