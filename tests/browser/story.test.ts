// A contest evening on the view Now, in a real Chromium on the daemon's own parts: quiet, heat, a fan that stalls, power
// reduced, recovery, full power. Each chapter waits for what the operator would read, never for a while.

import type { Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { openStage, type Stage, stallFan } from "./stage.ts";

/** Fast enough for an evening in seconds, slow enough that a reader's answer comes before the core moves far. */
const SPEED = 40;
const WAIT = { timeout: 20_000 };
const CONTEST_WATTS = 1000;
/** Warm enough that the heat is plainly from the contest; the preroll leaves the core below 45 °C. */
const HEATED_CELSIUS = 50;

let stage: Stage;
let page: Page;

beforeAll(async () => {
  stage = await openStage(SPEED);
  const { browser, feedpoint } = stage;
  feedpoint.operate(0);
  page = await (await browser.newContext({ viewport: { width: 1280, height: 800 }, locale: "en-GB" })).newPage();
  await page.goto(feedpoint.address);
  await page.waitForSelector(".cutaway", WAIT);
});
afterAll(() => stage.close());

type Reading = { readonly sentence: string; readonly stage: string; readonly alarms: string; readonly core: number };

/** All that is read at one glance, once the sentence matches: taken together, so that no part is from another moment. */
async function glance(
  sentence: RegExp,
  least = Number.NEGATIVE_INFINITY,
  most = Number.POSITIVE_INFINITY,
): Promise<Reading> {
  const handle = await page.waitForFunction(
    ({ source, least, most }) => {
      // The page keeps a number and its unit on one line with a space that does not break.
      const said = (css: string): string => (document.querySelector(css)?.textContent ?? "").replaceAll("\u00a0", " ");
      const core = Number.parseFloat(said(".spot-core .callout-number"));
      if (!new RegExp(source).test(said("h1")) || !(core >= least && core <= most)) return false;
      // A line is read back one cycle after it was driven.
      if (/wanted/.test(said(".stage"))) return false;
      return { sentence: said("h1"), stage: said(".stage"), alarms: said(".alarms"), core };
    },
    { source: sentence.source, least, most },
    WAIT,
  );
  return (await handle.jsonValue()) as Reading;
}

describe("a contest evening", () => {
  let coolCelsius = 0;
  let mend: () => void = () => {};

  it("begins quietly", async () => {
    const quiet = await glance(/^All quiet: the core settles at \d+ °C\./, 0, HEATED_CELSIUS - 1);
    expect(quiet.stage).toContain("Full");
    expect(quiet.stage).toContain("reduce line permitted");
    expect(quiet.alarms).toContain("No alarm stands");
    coolCelsius = quiet.core;
    expect(coolCelsius).toBeLessThan(HEATED_CELSIUS);
  });

  it("grows hot, and says how long that can go on and what would hold", async () => {
    stage.feedpoint.operate(CONTEST_WATTS);
    const hot = await glance(/^About \d+ min to the limit\. \d+ W would hold\.$/, HEATED_CELSIUS);
    expect(Number(/(\d+) W/.exec(hot.sentence)?.[1])).toBeLessThan(CONTEST_WATTS);
    expect(hot.stage).toContain("Full");
    expect(hot.alarms).toContain("No alarm stands");
  });

  it("is reduced when the fan stalls, with the fan as the reason and an alarm that waits", async () => {
    mend = stallFan(stage.feedpoint);
    const reduced = await glance(/^Power is reduced: the fan has stalled\. \d+ W would hold\.$/);
    stage.feedpoint.operate(0);
    expect(reduced.stage).toContain("Reduced");
    expect(reduced.stage).toContain("the fan has stalled");
    expect(reduced.stage).toContain("reduce line released");
    expect(reduced.stage).toContain("inhibit line permitted");
    expect(reduced.alarms).toMatch(/Fan stalled.*high, unacknowledged/);
    expect(await page.getAttribute(".cutaway", "aria-label")).toContain("fan: stalled");
    expect(await page.title()).toMatch(/^▲/);
  });

  it("recovers by itself once the fan turns and the core has cooled, and keeps the alarm until somebody saw it", async () => {
    mend();
    await page.waitForSelector(".spot-fan .callout-name:has-text('turning')", WAIT);
    const stays = await glance(/^Power (is|stays) reduced/);
    expect(stays.sentence).not.toContain("the fan has stalled");
    expect(stays.stage).toContain("reduce line released");

    const full = await glance(/^(This pace is safe|Full power is safe|All quiet)/);
    expect(full.stage).toContain("Full");
    expect(full.stage).toContain("reduce line permitted");
    expect(full.alarms).toMatch(/Fan stalled.*returned to normal/);
  });

  it("stands in the record with both changes of the stage and nothing worse", async () => {
    await page.click("nav a:has-text('Alarms')");
    await page.waitForFunction(
      () => {
        const record = document.querySelector(".record")?.textContent ?? "";
        return /reduced → full/.test(record) && /full → reduced/.test(record);
      },
      null,
      WAIT,
    );
    expect(await page.textContent(".record")).not.toMatch(/(full|reduced) → inhibited/);
  });
});
