// The view Heat run in a real browser on a real daemon with the simulated feedpoint at speed: the shack keys itself, a person reads the
// core, and the model is kept for the next start. And the view Rating, which shows the model's figures.

import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import type { Browser } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { launchChromium } from "./chromium.ts";
import { type DaemonProcess, scratchFolder, startProcess } from "./feedpoint.ts";

const SPEED = 240;
const WAIT = { timeout: 45_000 };
let browser: Browser;
let daemon: DaemonProcess;
let folder: Awaited<ReturnType<typeof scratchFolder>>;

beforeAll(async () => {
  folder = await scratchFolder();
  [browser, daemon] = await Promise.all([launchChromium(), startProcess(folder.path, SPEED, 0)]);
});

afterAll(async () => {
  await browser?.close();
  await daemon?.kill();
  await folder?.remove();
});

async function opened(view: string, width = 1280) {
  const context = await browser.newContext({ viewport: { width, height: 800 }, locale: "en-GB" });
  const page = await context.newPage();
  await page.goto(`${daemon.address}#/${view}`);
  const said = (text: string) =>
    page.waitForFunction((wanted) => document.querySelector("h1")?.textContent?.includes(wanted), text, WAIT);
  return { page, said };
}

describe("the view Rating", () => {
  it("opens with its sentence and answers a slider", async () => {
    const { page, said } = await opened("rating", 360);
    await said("key-down on");
    const before = await page.textContent(".rating-table tbody tr:nth-child(2) td:last-child");
    await page.fill('.slider-number input[aria-label^="Air"]', "45");
    await page.keyboard.press("Enter");
    await said("At 45");
    expect(await page.textContent(".rating-table tbody tr:nth-child(2) td:last-child")).not.toBe(before);
    expect(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth)).toBe(true);
    await page.context().close();
  });
});

describe("the view Heat run", () => {
  it("guides from the quiet beginning to a model that the next start uses", async () => {
    const { page, said } = await opened("heat-run");
    await said("teaches the program this box");
    await page.fill('.heat-run-begin input[type="number"]', "600");
    await page.check('.heat-run-begin input[type="checkbox"]');
    await page.click(".heat-run-begin button");
    await said("Stay quiet");
    await said("Keep the key down at 600");
    await said("quantities settled");
    await said("Read the core now");
    await page.click(".spot button");
    const core = await page.evaluate(async () => {
      const state = (await (await fetch("/api/v1/state")).json()) as {
        frame: { quantities: { core_celsius: { value: number } } };
      };
      return Math.round(state.frame.quantities.core_celsius.value);
    });
    await page.fill(".spot input", `${core}`);
    await page.keyboard.press("Enter");
    await said("The fan stands");
    expect(await page.textContent(".course-now")).toContain("fan off");
    await said("Let it cool");
    await said("The run is fitted: calibrated.");
    const file = join(folder.path, "simulated-model.toml");
    expect(existsSync(file)).toBe(false);
    await page.getByText("Keep this model").click();
    await said("The new model is kept");
    expect(readFileSync(file, "utf8")).toContain('origin = "heat run of Orchard gate"');
    expect(existsSync(join(folder.path, "simulated-heat-run.csv"))).toBe(true);
    await page.context().close();

    await daemon.kill();
    daemon = await startProcess(folder.path, SPEED, 0);
    const { model } = (await (await fetch(`${daemon.address}api/v1/model`)).json()) as { model: { origin: string } };
    expect(model.origin).toBe("heat run of Orchard gate");
  }, 90_000);
});
