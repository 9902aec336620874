// No finding of axe-core on any view in any look, in a real Chromium on the real daemon, with a stalled fan's alarm standing.

import { createRequire } from "node:module";
import type { Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { openStage, type Stage, stallFan } from "../browser/stage.ts";

const SPEED = 10;
const WAIT = { timeout: 45_000 };
const AXE = createRequire(import.meta.url).resolve("axe-core/axe.min.js");

let stage: Stage;

beforeAll(async () => {
  stage = await openStage(SPEED);
  stallFan(stage.feedpoint);
});
afterAll(() => stage?.close());

async function open(hash: string, look: string): Promise<Page> {
  // Isolated worlds would be needed to lift the policy for axe alone; the page's own policy is tested in now.test.ts.
  const context = await stage.browser.newContext({
    viewport: { width: 1280, height: 900 },
    locale: "en-GB",
    bypassCSP: true,
  });
  const page = await context.newPage();
  await page.addInitScript((chosen) => localStorage.setItem("emberwire.preferences", chosen), JSON.stringify({ look }));
  await page.goto(`${stage.feedpoint.address}${hash}`);
  await page.waitForSelector("h1", WAIT);
  return page;
}

/** What stands once a view is drawn. */
const READY = {
  "": ".cutaway",
  "#/alarms": ".record li",
  "#/check": ".friend",
  "#/rating": ".slider",
  "#/season": ".session-form",
  "#/heat-run": ".heat-run-begin",
} as const;

describe.each(["light", "dark", "night"])("axe-core in the %s look", (look) => {
  it.each(Object.keys(READY) as (keyof typeof READY)[])("finds nothing at /%s", async (hash) => {
    const page = await open(hash, look);
    await page.waitForSelector(READY[hash], { ...WAIT, state: "attached" });
    await page.addScriptTag({ path: AXE });
    const found = await page.evaluate(async () => {
      const { axe } = window as unknown as {
        readonly axe: {
          readonly run: () => Promise<{
            readonly violations: readonly {
              readonly id: string;
              readonly nodes: readonly { readonly html: string }[];
            }[];
          }>;
        };
      };
      const { violations } = await axe.run();
      return violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html.slice(0, 120)).join(" | ")}`);
    });
    expect(found).toEqual([]);
    await page.context().close();
  });
});
