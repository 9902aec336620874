// The views Alarms and Check in a real Chromium on the real daemon: found by address, two operators at one alarm, a shelved
// alarm with its end, and what the hardware is said to be. What axe-core finds on the views is asked in tests/reach.

import type { Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { openStage, type Stage, stallFan } from "./stage.ts";

const SPEED = 10;
const WAIT = { timeout: 20_000 };

let stage: Stage;

beforeAll(async () => {
  stage = await openStage(SPEED);
  stallFan(stage.feedpoint);
});
afterAll(() => stage?.close());

async function open(hash: string): Promise<Page> {
  const context = await stage.browser.newContext({ viewport: { width: 1280, height: 900 }, locale: "en-GB" });
  const page = await context.newPage();
  await page.goto(`${stage.feedpoint.address}${hash}`);
  await page.waitForSelector("h1", WAIT);
  return page;
}

const STALL = '.alarm[data-tag="fan_stall"]';

describe("the view Alarms", () => {
  it("shows one acknowledgement to both operators and in the record", async () => {
    const [first, second] = [await open("#/alarms"), await open("#/alarms")];
    await first.waitForSelector(`${STALL}.alarm-waiting`, WAIT);
    await second.waitForSelector(`${STALL}.alarm-waiting`, WAIT);
    expect(await first.title()).toMatch(/^▲ \d+ alarms?/);
    expect(await first.getAttribute('link[rel="icon"]', "href")).toBe("/icon-alarm.svg");
    await first.waitForSelector(`${STALL} .advice-response`, WAIT);

    // Both are asked at once; the first is done, the second is told that there is nothing left to acknowledge.
    await first.click(`${STALL} .act`);
    await second.click(`${STALL} .act`);
    await first.click("dialog .act");
    await first.waitForSelector("dialog", { ...WAIT, state: "detached" });
    await second.waitForSelector(`${STALL}:not(.alarm-waiting)`, WAIT);
    await second.click("dialog .act");
    await second.waitForFunction(
      () => document.querySelector("dialog [role=status]")?.textContent?.includes("acknowledged") === true,
      null,
      WAIT,
    );
    await second.click("dialog button:not(.act)");

    await first.click(`${STALL} button:has-text("Shelve")`);
    await first.fill("dialog .comment input", "waiting for a new fan");
    await first.click("dialog .act");
    await second.waitForFunction(
      (css) => document.querySelector(css)?.textContent?.includes("back in") === true,
      STALL,
      WAIT,
    );
    await second.waitForFunction(
      () => {
        const shown = document.querySelector(".record")?.textContent ?? "";
        if (shown.includes("waiting for a new fan")) return true;
        const again = [...document.querySelectorAll<HTMLButtonElement>("button")].find(
          ({ textContent }) => textContent === "Read again",
        );
        again?.click();
        return false;
      },
      null,
      { ...WAIT, polling: 500 },
    );
    await first.context().close();
    await second.context().close();
  });
});

describe("the view Check", () => {
  it("names every part with its place and gives a text without the feedpoint's name", async () => {
    const page = await open("#/check");
    await page.waitForSelector(".friend", WAIT);
    const parts = await page.$$eval("tbody th", (cells) => cells.map((cell) => cell.textContent));
    expect(parts).toEqual(expect.arrayContaining(["inlet", "outlet", "relay"]));
    const name = (await page.textContent(".feedpoint")) ?? "";
    expect(name).not.toBe("");
    expect(await page.textContent(".friend")).not.toContain(name);
    await page.context().close();
  });
});
