// The view Season in a real Chromium on the real daemon with its demo season: sentence, map by keyboard, zoom, comparison,
// a note that the daemon keeps, a file that says it is simulated, at every width.

import { readFile } from "node:fs/promises";
import type { Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it, vi } from "vitest";
import type { SeasonReview } from "../../daemon/wire/season.ts";
import { complaintsOf, openStage, type Stage } from "./stage.ts";

const WAIT = { timeout: 20_000 };

let stage: Stage;

beforeAll(async () => {
  stage = await openStage(1);
  await vi.waitFor(async () => expect(await daysLogged()).toBeGreaterThan(200), WAIT);
});
afterAll(() => stage.close());

/** The demo season is written in slices beside the first cycles. */
async function daysLogged(): Promise<number> {
  const answer = await fetch(`${stage.feedpoint.address}api/v1/season`);
  return ((await answer.json()) as SeasonReview).days.length;
}

async function openSeason(width = 1280): Promise<{ page: Page; complaints: readonly string[] }> {
  const context = await stage.browser.newContext({
    viewport: { width, height: 800 },
    locale: "en-GB",
    timezoneId: "UTC",
  });
  const page = await context.newPage();
  const complaints = complaintsOf(page);
  await page.goto(`${stage.feedpoint.address}#/season`);
  await page.waitForSelector(".map-cursor", { ...WAIT, state: "attached" });
  await page.waitForSelector(".curve-second .curve-line", { ...WAIT, state: "attached" });
  return { page, complaints };
}

const readout = (page: Page): Promise<string> =>
  page.getAttribute(".map-cursor-field", "aria-valuetext").then((text) => text ?? "");

describe("the view Season", () => {
  it("begins with a sentence, says that it is made up, and breaks no rule of the browser's", async () => {
    const { page, complaints } = await openSeason();
    expect(await page.textContent("h1")).toMatch(/^The core runs .+ for the same loss .+ the fan is .+\.$/);
    expect(await page.textContent(".caveats")).toContain("Demo season: made up by a script");
    expect(await page.textContent("header")).toContain("Simulated");
    expect(await page.locator(".wear").count()).toBeGreaterThan(5);
    expect(complaints).toEqual([]);
    await page.context().close();
  });

  it("reads the map by keyboard, hour by hour and day by day, and has it as a table", async () => {
    const { page } = await openSeason();
    const first = await readout(page);
    expect(first).toMatch(/\d{4}, \d\d:00–\d\d:00: core up to \d+\.\d\u00a0°C; \d/);
    await page.focus(".map-cursor-field");
    await page.keyboard.press("ArrowDown");
    const second = await readout(page);
    expect(second).not.toBe(first);
    expect(second.split(",").slice(0, 2).join()).toBe(first.split(",").slice(0, 2).join());
    await page.keyboard.press("ArrowUp");
    await page.keyboard.press("ArrowLeft");
    await page.keyboard.press("ArrowRight");
    expect(await readout(page)).toBe(first);
    expect(await page.textContent(".map-readout")).toBe(first);
    await page.click(".season-map summary");
    await page.waitForSelector(".hour-table tbody tr", WAIT);
    expect(await page.locator(".hour-table thead th").count()).toBe(25);
    await page.context().close();
  });

  it("zooms all trend charts by key, button and drag, and back", async () => {
    const { page } = await openSeason();
    const shown = (): Promise<string | null> => page.textContent(".season-wear .zoom-shown");
    const points = (): Promise<number> => page.locator(".wear:nth-child(6) .plot-point").count();
    const [whole, all] = [await shown(), await points()];
    await page.focus(".wear:nth-child(2) .plot");
    await page.keyboard.press("+");
    expect(await shown()).not.toBe(whole);
    expect(await points()).toBeLessThan(all);
    await page.keyboard.press("0");
    expect(await shown()).toBe(whole);
    await page.locator(".wear:nth-child(1) .plot").scrollIntoViewIfNeeded();
    const box = await page.locator(".wear:nth-child(1) .plot").boundingBox();
    if (box === null) throw new Error("the chart is not drawn");
    await page.mouse.move(box.x + box.width * 0.5, box.y + 80);
    await page.mouse.down();
    await page.mouse.move(box.x + box.width * 0.8, box.y + 80, { steps: 4 });
    await page.mouse.up();
    expect(await shown()).not.toBe(whole);
    await page.click(".season-wear .zoom-bar button:has-text('Whole span')");
    expect(await shown()).toBe(whole);
    expect(await points()).toBe(all);
    await page.context().close();
  });

  it("lays the sessions that the reader chooses over each other", async () => {
    const { page } = await openSeason();
    const heads = (): Promise<string[]> => page.locator(".compare-figures thead th").allTextContents();
    const before = await heads();
    const choice = page.locator(".compare-choice select").first();
    const other = (await choice.locator("option").allTextContents())[0] ?? "";
    await choice.selectOption({ index: 0 });
    await page.waitForFunction(
      ([old]) => document.querySelector(".compare-figures thead th")?.textContent !== old,
      [before[0]],
      WAIT,
    );
    expect(other).toContain((await heads())[0]);
    await page.waitForSelector(".curve-first .curve-line", { ...WAIT, state: "attached" });
    await page.context().close();
  });

  it("adds a note, which the daemon keeps", async () => {
    const { page } = await openSeason();
    const said = "Vents brushed out, a wren's nest";
    let asked = 0;
    await page.fill(".season-notes input", said);
    await page.keyboard.press("Enter");
    await page.waitForSelector(`.season-notes li:has-text("${said}")`, WAIT);
    await vi.waitFor(async () => {
      // Another span asks the log anew instead of a remembered answer.
      asked += 60;
      const from = Math.floor(Date.now() / 1000) - 7 * 86_400 - asked;
      const answer = await fetch(`${stage.feedpoint.address}api/v1/season?from=${from}`);
      const { notes } = (await answer.json()) as SeasonReview;
      expect(notes.find(({ text }) => text.includes(said))?.kind).toBe("note");
    }, WAIT);
    await page.context().close();
  });

  it("marks a session with name, beginning and end, offers it for comparison, and forgets it when asked twice", async () => {
    const { page } = await openSeason();
    const marked = page.locator('.season-sessions li:has-text("a rainy weekend")');
    const fill = async (end: string): Promise<void> => {
      await page.fill('.session-form input[type="text"]', "a rainy weekend");
      await page.locator('.session-form input[type="datetime-local"]').nth(0).fill("2026-09-12T12:00");
      await page.locator('.session-form input[type="datetime-local"]').nth(1).fill(end);
      await page.click(".session-form button");
    };
    await fill("2026-09-11T12:00");
    await page.getByText("Its end must come after its beginning.").waitFor(WAIT);
    expect(await marked.count()).toBe(0);
    await fill("2026-09-13T12:00");
    await marked.waitFor(WAIT);
    const kept = (await (await fetch(`${stage.feedpoint.address}api/v1/season/sessions`)).json()) as { name: string }[];
    expect(kept.find(({ name }) => name === "a rainy weekend")).toMatchObject({
      kind: "contest",
      from_seconds: Date.UTC(2026, 8, 12, 12) / 1000,
      to_seconds: Date.UTC(2026, 8, 13, 12) / 1000,
    });
    await page.waitForSelector('.compare-choice option:has-text("a rainy weekend")', { ...WAIT, state: "attached" });
    await marked.getByRole("button", { name: "Forget" }).click();
    await marked.getByRole("button", { name: "Forget the mark" }).click();
    await marked.waitFor({ ...WAIT, state: "detached" });
    await page.context().close();
  });

  it("saves what is shown as a file that says it is simulated", async () => {
    const { page } = await openSeason();
    const coming = page.waitForEvent("download", WAIT);
    await page.click("text=Save hours as CSV");
    const file = await coming;
    expect(file.suggestedFilename()).toBe("emberwire-simulated-hours.csv");
    const lines = (await readFile(await file.path(), "utf8")).split("\r\n");
    expect(lines[0]).toBe("time,peak_core_celsius,transmitting_seconds,heat_joules,origin");
    expect(lines.length).toBeGreaterThan(1000);
    expect(lines.slice(1, -1).filter((line) => !line.includes("simulated"))).toEqual([]);
    await page.context().close();
  });

  it.each([768, 2560])("nothing scrolls sideways at %d px", async (width) => {
    const { page } = await openSeason(width);
    expect(await page.evaluate(() => document.documentElement.scrollWidth - innerWidth)).toBeLessThanOrEqual(0);
    await page.context().close();
  });
});
