// Every view within everybody's reach, in a real Chromium: by keyboard alone, at 200 % zoom and 360 px, by touch, with stillness asked
// for, and by ear. Against WCAG 2.2: 1.4.4, 1.4.10, 2.1.1, 2.1.2, 2.3.3, 2.4.3, 2.4.7, 2.4.11, 2.5.7 and 2.5.8.

import type { BrowserContextOptions, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { openStage, type Stage } from "../browser/stage.ts";

/** The demo season is still being written when the first page opens. */
const WAIT = { timeout: 45_000 };
const VIEWS = [
  ["Now", "", ".trail canvas"],
  ["Season", "#/season", "g.curve-second .curve-line"],
  ["Rating", "#/rating", ".slider"],
  ["Heat run", "#/heat-run", ".heat-run-begin"],
  ["Alarms", "#/alarms", ".record li"],
  ["Check", "#/check", ".friend"],
] as const;
/** More stops than any view has: who is not through by then is trapped. */
const MOST_STOPS = 200;

let stage: Stage;

beforeAll(async () => {
  stage = await openStage(1);
});
afterAll(() => stage?.close());

async function open(hash: string, ready: string, options: BrowserContextOptions = {}): Promise<Page> {
  const context = await stage.browser.newContext({
    viewport: { width: 1280, height: 720 },
    locale: "en-GB",
    ...options,
  });
  const page = await context.newPage();
  await page.goto(`${stage.feedpoint.address}${hash}`);
  await page.waitForSelector(".age-fresh", WAIT);
  await page.waitForSelector(ready, { ...WAIT, state: "attached" });
  return page;
}

type Stop = { readonly name: string; readonly follows: boolean; readonly seen: boolean; readonly hidden: boolean };

/** What has the focus: whether it follows the last stop in the document, shows its focus, and is hidden behind something else. */
const stopNow = (page: Page): Promise<Stop | null> =>
  page.evaluate(() => {
    const here = document.activeElement;
    if (here === null || here === document.body) return null;
    const before = Reflect.get(window, "lastStop") as Element | undefined;
    Reflect.set(window, "lastStop", here);
    const follows =
      // A field for a time has stops within itself.
      before === undefined ||
      before === here ||
      (before.compareDocumentPosition(here) & Node.DOCUMENT_POSITION_FOLLOWING) !== 0;
    const { outlineStyle, outlineWidth } = getComputedStyle(here);
    const box = here.getBoundingClientRect();
    const at = [0.15, 0.5, 0.85].flatMap((x) => [0.15, 0.5, 0.85].map((y) => [x, y] as const));
    const hidden = !at.some(([x, y]) => {
      const top = document.elementFromPoint(box.left + box.width * x, box.top + box.height * y);
      return (
        top !== null && (here.contains(top) || top.contains(here) || here.closest("label")?.contains(top) === true)
      );
    });
    const name = `${here.tagName.toLowerCase()} ${(here.getAttribute("aria-label") ?? here.textContent ?? "").trim().slice(0, 40)}`;
    return { name, follows, seen: outlineStyle !== "none" && Number.parseFloat(outlineWidth) >= 2, hidden };
  });

describe.each(VIEWS)("the view %s", (_name, hash, ready) => {
  it("is walked by Tab from end to end: in order, with the focus in sight, and out again", async () => {
    const page = await open(hash, ready);
    const stops: Stop[] = [];
    for (;;) {
      await page.keyboard.press("Tab");
      const stop = await stopNow(page);
      if (stop === null) break;
      stops.push(stop);
      if (stops.length > MOST_STOPS) throw new Error(`trapped at ${stop.name}`);
    }
    expect(stops.length).toBeGreaterThan(8);
    expect(stops.filter(({ follows, seen, hidden }) => !follows || !seen || hidden)).toEqual([]);
    await page.context().close();
  });

  it("fits at 200 % zoom and down to 320 px, with nothing to be hit smaller than 24 px", async () => {
    const page = await open(hash, ready);
    // 1280 px at 200 % are 640; 320 is what 1.4.10 asks for.
    for (const width of [640, 360, 320]) {
      await page.setViewportSize({ width, height: 640 });
      // What measures itself draws in the frame after.
      await page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))));
      expect(await page.evaluate(tooWide), `at ${width} px`).toEqual([]);
      expect(await page.evaluate(tooSmall), `at ${width} px`).toEqual([]);
    }
    await page.context().close();
  });
});

/** What reaches beyond the window and scrolls in no frame of its own. */
function tooWide(): readonly string[] {
  if (document.documentElement.scrollWidth <= innerWidth) return [];
  return [...document.querySelectorAll("body *")]
    .filter((element) => element.checkVisibility() && element.getBoundingClientRect().right > innerWidth + 0.5)
    .map((element) => `${element.tagName} ${element.getAttribute("class")}`)
    .slice(0, 8);
}

function tooSmall(): readonly string[] {
  return [...document.querySelectorAll("button, a, summary, select, input, [tabindex='0']")]
    .map((element) => {
      // A label is part of what may be hit.
      const boxes = [element, element.closest("label")].flatMap((one) => one?.getBoundingClientRect() ?? []);
      const side = Math.max(...boxes.map(({ width, height }) => Math.min(width, height)));
      return { side, text: `${element.tagName} ${element.className} ${element.textContent?.slice(0, 30)}` };
    })
    .filter(({ side }) => side > 1 && side < 24)
    .map(({ side, text }) => `${side.toFixed(1)} px: ${text}`);
}

describe("stillness", () => {
  const running = (page: Page): Promise<number> =>
    page.evaluate(() => document.getAnimations().filter(({ playState }) => playState === "running").length);

  it("is kept where the system asks for it", async () => {
    const moving = await open("", ".rotor-turn", { reducedMotion: "no-preference" });
    await moving.waitForFunction(
      () => document.getAnimations().some(({ playState }) => playState === "running"),
      null,
      WAIT,
    );
    await moving.context().close();
    const still = await open("", ".rotor-turn", { reducedMotion: "reduce" });
    expect(await running(still)).toBe(0);
    await still.context().close();
  });
});

describe("by ear", () => {
  it("the drawing is a sentence with its numbers, and alarms have a live region", async () => {
    const page = await open("", ".cutaway");
    const drawing = page.getByRole("img", { name: /core/i }).first();
    expect(await drawing.getAttribute("aria-label")).toMatch(/inlet.*\d.*outlet.*\d/is);
    expect(await page.locator('[aria-live="assertive"], [role="alert"]').count()).toBeGreaterThan(0);
    await page.context().close();
  });
});

describe("by touch", () => {
  it("a chart is zoomed with taps, without any drag", async () => {
    const page = await open("#/season", "g.curve-second .curve-line", {
      viewport: { width: 360, height: 640 },
      hasTouch: true,
      isMobile: true,
    });
    const shown = (): Promise<string | null> => page.textContent(".season-wear .zoom-shown");
    const whole = await shown();
    await page.tap('.season-wear .zoom-bar button[aria-label="Zoom in"], .season-wear .zoom-bar button:has-text("+")');
    expect(await shown()).not.toBe(whole);
    await page.tap(".season-wear .zoom-bar button:has-text('Whole span')");
    expect(await shown()).toBe(whole);
    await page.context().close();
  });
});
