// The page's shell in a real Chromium: without a network one visit is enough, and what opens then says that it has no data; it can
// be installed, its icons are those of the drawing, and a newer page is offered and never forced.

import { cpSync, readFileSync, renameSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import type { Browser } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { freePort } from "../support/free-port.ts";
import { launchChromium } from "./chromium.ts";
import { scratchFolder, startScripted } from "./feedpoint.ts";
import { drawIcon, ICONS } from "./icons.ts";

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

describe("the installed page", () => {
  let browser: Browser;
  let folder: Awaited<ReturnType<typeof scratchFolder>>;
  beforeAll(async () => {
    [browser, folder] = await Promise.all([launchChromium(), scratchFolder()]);
  });
  afterAll(async () => {
    await browser.close();
    await folder.remove();
  });

  it("can be installed as Chromium judges it, with icons of the sizes that it names", async () => {
    const feedpoint = await startScripted(folder.path, 1);
    try {
      const page = await browser.newPage();
      await page.goto(feedpoint.address);
      await page.waitForSelector("h1", WAIT);
      const session = await page.context().newCDPSession(page);
      const { installabilityErrors } = await session.send("Page.getInstallabilityErrors");
      // A window of the test runner is a private one, which installs nothing; all else must be in order.
      expect(installabilityErrors.filter(({ errorId }) => errorId !== "in-incognito")).toEqual([]);
      const { errors } = await session.send("Page.getAppManifest");
      expect(errors).toEqual([]);
      const sizes = await page.evaluate(async () => {
        const manifest = (await (await fetch("/manifest.webmanifest")).json()) as {
          icons: { src: string; sizes: string }[];
        };
        return Promise.all(
          manifest.icons.map(async ({ src, sizes: named }) => {
            const image = new Image();
            image.src = src;
            await image.decode();
            return named === "any" || named === `${image.naturalWidth}x${image.naturalHeight}`;
          }),
        );
      });
      expect(sizes).toEqual([true, true, true, true]);
      await page.close();
    } finally {
      await feedpoint.stop();
    }
  });

  it.each(ICONS)("wears $name as the drawing is now", async (icon) => {
    const drawn = (await drawIcon(browser, icon)).toString("base64");
    const kept = readFileSync(`web/public/${icon.name}`).toString("base64");
    const page = await browser.newPage();
    /** The part of all bytes that differs by more than a shade: the edges may, between two versions of the browser. */
    const share = await page.evaluate(
      async (both) => {
        const [one, other] = await Promise.all(
          both.map(async (text) => {
            const image = new Image();
            image.src = `data:image/png;base64,${text}`;
            await image.decode();
            const canvas = new OffscreenCanvas(image.naturalWidth, image.naturalHeight);
            const context = canvas.getContext("2d");
            context?.drawImage(image, 0, 0);
            return context?.getImageData(0, 0, canvas.width, canvas.height).data ?? new Uint8ClampedArray();
          }),
        );
        if (one === undefined || other === undefined || one.length !== other.length) return 1;
        return one.filter((value, at) => Math.abs(value - (other[at] ?? 0)) > 24).length / one.length;
      },
      [drawn, kept],
    );
    expect(share).toBeLessThan(0.01);
    await page.close();
  });

  it("says that a newer page is served, and waits to be told to reload", async () => {
    const port = await freePort();
    const changed = join(folder.path, "changed-pages");
    cpSync("dist/web", changed, { recursive: true });
    const index = join(changed, "index.html");
    const script = /\/assets\/index-([\w-]+)\.js/.exec(readFileSync(index, "utf8"))?.[1] ?? "";
    renameSync(join(changed, `assets/index-${script}.js`), join(changed, "assets/index-younger.js"));
    writeFileSync(index, readFileSync(index, "utf8").replaceAll(script, "younger"));

    let feedpoint = await startScripted(folder.path, 1, port);
    const page = await browser.newPage();
    try {
      await page.goto(feedpoint.address);
      await page.waitForSelector(".age-fresh", WAIT);
      const mark = (): Promise<unknown> => page.evaluate(() => Reflect.get(window, "mark"));
      await page.evaluate(() => Reflect.set(window, "mark", "before"));
      // The same page again is nothing to speak of.
      await feedpoint.stop();
      const asked = page.waitForResponse((answer) => new URL(answer.url()).pathname === "/", WAIT);
      feedpoint = await startScripted(folder.path, 1, port);
      await (await asked).finished();
      expect(await page.locator(".newer").count()).toBe(0);
      await feedpoint.stop();
      feedpoint = await startScripted(folder.path, 1, port, changed);
      await page.waitForSelector(".newer", WAIT);
      expect(await mark()).toBe("before");
      await page.click(".newer button");
      await page.waitForFunction(
        () => document.querySelector('script[src="/assets/index-younger.js"]') !== null,
        null,
        WAIT,
      );
      await page.waitForSelector(".age-fresh", WAIT);
      expect(await mark()).toBeUndefined();
      expect(await page.locator(".newer").count()).toBe(0);
    } finally {
      await page.close();
      await feedpoint.stop();
    }
  });
});
