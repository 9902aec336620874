// The view Now in a real Chromium on the real daemon with its simulated feedpoint: numbers live, faults shown, the line
// coming back by itself, and nothing that the content security policy has to stop.

import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { launchChromium } from "./chromium.ts";
import { scratchFolder, startProcess, startScripted } from "./feedpoint.ts";
import { complaintsOf, stallFan } from "./stage.ts";

const SPEED = 10;
const WAIT = { timeout: 20_000 };

let browser: Browser;

beforeAll(async () => {
  browser = await launchChromium();
});
afterAll(async () => {
  await browser.close();
});

/** A page that remembers what the browser complained about. */
async function openPage(address: string): Promise<{ page: Page; complaints: readonly string[] }> {
  const context = await browser.newContext({ viewport: { width: 1280, height: 800 }, locale: "en-GB" });
  const page = await context.newPage();
  const complaints = complaintsOf(page);
  await page.goto(address);
  await page.waitForSelector(".cutaway", WAIT);
  return { page, complaints };
}

/** Resolves once `selector` holds text that differs from `before`. */
async function changed(page: Page, selector: string, before: string): Promise<string> {
  const handle = await page.waitForFunction(
    ([css, old]) => {
      const now = document.querySelector(css ?? "")?.textContent ?? "";
      return now !== old && now !== "" ? now : false;
    },
    [selector, before],
    WAIT,
  );
  return String(await handle.jsonValue());
}

const text = async (page: Page, selector: string): Promise<string> => (await page.textContent(selector)) ?? "";

/** Resolves once `selector` holds all of `parts`. */
async function shows(page: Page, selector: string, ...parts: string[]): Promise<void> {
  await page.waitForFunction(
    ([css, ...wanted]) => {
      const now = document.querySelector(css ?? "")?.textContent ?? "";
      return wanted.every((part) => now.includes(part));
    },
    [selector, ...parts],
    WAIT,
  );
}

describe("the page on a scripted feedpoint", () => {
  it("shows live numbers, then a fan stall in words, shape and stage, and an inlet that fails without freezing", async () => {
    const folder = await scratchFolder();
    const feedpoint = await startScripted(folder.path, SPEED);
    try {
      const { page, complaints } = await openPage(feedpoint.address);
      expect(await text(page, "header")).toContain(`Simulated at ${SPEED}\u00a0×`);

      // Live: the clock of the feedpoint and the inlet's noise move on their own.
      const inlet = ".spot-inlet .callout-number";
      const first = await text(page, inlet);
      expect(first).toMatch(/^-?\d+\.\d°C$/);
      const second = await changed(page, inlet, first);
      expect(second).toMatch(/^-?\d+\.\d°C$/);
      expect(await text(page, ".spot-core .callout-number")).toMatch(/^\d+°Cest\.$/);
      await page.waitForSelector(".trail canvas", WAIT);
      await shows(page, ".spot-fan .callout-name", "turning");

      const stall = stallFan(feedpoint);
      await shows(page, ".spot-fan .callout-name", "stalled");
      await page.waitForSelector(".rotor-halted", WAIT);
      await shows(page, "h1", "Power is reduced", "the fan has stalled");
      await shows(page, ".stage", "Reduced", "reduce line released", "inhibit line permitted");
      await page.waitForSelector(".stage-mark-reduced", WAIT);
      await shows(page, ".alarms", "Fan stalled", "high", "unacknowledged");
      expect(await page.getAttribute(".cutaway", "aria-label")).toContain("fan: stalled");

      // The operator acknowledges; the daemon says so back to the page.
      await page.click(".alarm:has-text('Fan stalled') button");
      await shows(page, "dialog", "Fan stalled", "stands until its cause is gone");
      await page.click("dialog .act");
      await page.waitForSelector("dialog", { ...WAIT, state: "detached" });
      await page.waitForSelector(".alarm:not(.alarm-waiting):has-text('Fan stalled')", WAIT);
      stall();
      await shows(page, ".spot-fan .callout-name", "turning");

      feedpoint.board.faults.add({
        kind: "chip silent",
        part: "inlet",
        startSeconds: feedpoint.board.elapsedSeconds(),
        endSeconds: null,
      });
      await shows(page, ".spot-inlet", "bad: does not answer");
      expect(await text(page, inlet)).not.toMatch(/\d/);
      expect(complaints).toEqual([]);
      await page.context().close();
    } finally {
      await feedpoint.stop();
      await folder.remove();
    }
  });
});

describe("the page on the compiled daemon", () => {
  it("greys, says how long it has heard nothing, and comes back by itself", async () => {
    const folder = await scratchFolder();
    const first = await startProcess(folder.path, SPEED, 0);
    let second: Awaited<ReturnType<typeof startProcess>> | null = null;
    try {
      const context = await browser.newContext({ locale: "en-GB" });
      const page = await context.newPage();
      // The page's own clock may be moved on; sockets and daemon run in real time.
      await page.clock.install();
      await page.goto(first.address);
      await shows(page, "header .age", "data live");

      await first.kill();
      await shows(page, "header .age", "connection lost");
      await page.clock.fastForward(4000);
      await page.waitForSelector(".now.age-stale", WAIT);
      const age = async (): Promise<number> =>
        Number(/data (\d+) s old/.exec(await text(page, "header .age"))?.[1] ?? Number.NaN);
      const stale = await age();
      expect(stale).toBeGreaterThanOrEqual(3);
      await page.clock.fastForward(10_000);
      await shows(page, "h1", "No data from the feedpoint for ");
      await page.waitForSelector(".now.age-silent .cutaway.heat-unknown", WAIT);
      expect(await age()).toBeGreaterThanOrEqual(stale + 10);

      second = await startProcess(folder.path, SPEED, Number(new URL(first.address).port));
      // Whatever pause the page had come to, it is over now; nobody presses anything.
      await page.clock.fastForward(8000);
      await shows(page, "header .age", "data live");
      await page.waitForSelector(".now.age-fresh", WAIT);
      await context.close();
    } finally {
      await first.kill();
      await second?.kill();
      await folder.remove();
    }
  });
});

describe("the reader's choices and the reader's screen", () => {
  let folder: Awaited<ReturnType<typeof scratchFolder>>;
  let feedpoint: Awaited<ReturnType<typeof startScripted>>;

  beforeAll(async () => {
    folder = await scratchFolder();
    feedpoint = await startScripted(folder.path, SPEED);
  });
  afterAll(async () => {
    await feedpoint.stop();
    await folder.remove();
  });

  it("take effect at once and are kept in the browser", async () => {
    const { page } = await openPage(feedpoint.address);
    await page.click(".settings summary");
    await page.click(".settings label:has-text('°F')");
    await page.click(".settings label:has-text('CFM')");
    await page.click(".settings label:has-text('night')");
    await shows(page, ".spot-inlet .callout-number", "°F");
    await shows(page, ".spot-airflow .callout-number", "CFM");
    expect(await page.getAttribute("html", "data-look")).toBe("night");

    await page.reload();
    await page.waitForSelector(".cutaway", WAIT);
    await shows(page, ".spot-inlet .callout-number", "°F");
    expect(await page.getAttribute("html", "data-look")).toBe("night");

    // By keyboard alone: the first stop jumps over the frame, then come the views, then the choices.
    await page.keyboard.press("Tab");
    expect(await page.evaluate(() => document.activeElement?.textContent)).toBe("Skip to the reading");
    for (const view of await page.$$eval("nav a", (links) => links.map((link) => link.textContent))) {
      await page.keyboard.press("Tab");
      expect(await page.evaluate(() => document.activeElement?.textContent)).toBe(view);
    }
    await page.keyboard.press("Tab");
    await page.keyboard.press("Enter");
    expect(await page.evaluate(() => document.querySelector("details")?.open)).toBe(true);
    await page.context().close();
  });

  it.each([360, 640, 768, 1040, 1280, 2560])("nothing is cut off or scrolls sideways at %d px", async (width) => {
    const { page } = await openPage(feedpoint.address);
    await page.setViewportSize({ width, height: 900 });
    await page.waitForSelector(width < 700 ? ".sheet-narrow" : ".sheet-wide", WAIT);
    const sideways = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
    expect(sideways).toBeLessThanOrEqual(0);
    const outside = await page.evaluate(() =>
      [...document.querySelectorAll(".callout span, .scale-mark, .large, h1, button")]
        .filter((element) => {
          const { left, right, width: wide } = element.getBoundingClientRect();
          return wide > 0 && (left < 0 || right > innerWidth);
        })
        .map((element) => element.textContent),
    );
    expect(outside).toEqual([]);
    await page.context().close();
  });

  it("holds the drawing still for a reader who asks the system for less motion", async () => {
    const { page } = await openPage(feedpoint.address);
    const running = () => document.getAnimations().filter(({ playState }) => playState === "running").length;
    await page.waitForFunction(
      () => document.getAnimations().filter(({ playState }) => playState === "running").length === 2,
      null,
      WAIT,
    );
    await page.emulateMedia({ reducedMotion: "reduce" });
    await page.waitForFunction(() => document.getAnimations().length === 0, null, WAIT);
    expect(await page.evaluate(running)).toBe(0);
    await page.context().close();
  });

  it("has the chart's numbers as a table too", async () => {
    const { page } = await openPage(feedpoint.address);
    await page.click(".trail summary");
    await page.waitForSelector(".trail tbody tr", WAIT);
    const heads = await page.$$eval(".trail thead th", (cells) => cells.map((cell) => cell.textContent));
    expect(heads).toEqual(["time", "core, est., °C", "upper bound, °C", "outlet, °C", "inlet, °C", "drive, W"]);
    const cells = await page.$$eval(".trail tbody tr:first-child td", (found) =>
      found.map((cell) => Number(cell.textContent?.replace(",", ""))),
    );
    expect(cells.every((value) => Number.isFinite(value))).toBe(true);
    expect(cells[1]).toBeGreaterThan(cells[0] ?? Number.NaN);
    await page.context().close();
  });
});
