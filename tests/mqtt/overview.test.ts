// The overview's page in a real Chromium: many feedpoints through a real broker, worst first; what goes away, what is nonsense and what
// finds no room is said. In all three looks and on a narrow screen, with the keyboard.

import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";
import { connect, type MqttClient } from "mqtt";
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { register } from "../../daemon/commands/run.ts";
import { launchChromium } from "../browser/chromium.ts";
import { told } from "../commands/told.ts";
import { testFolderPath } from "../support/folder.ts";
import { type Mosquitto, startMosquitto, USER } from "../support/mosquitto.ts";
import { type Started, startCrowd, startOverviewProcess } from "../support/overview.ts";

const COUNT = 120;
const WAIT = { timeout: 25_000 };
const { folder, remove } = testFolderPath();
const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
let broker: Mosquitto;
let overview: Started;
let crowd: Started;
let browser: Browser;
let page: Page;
let stranger: MqttClient;

beforeAll(async () => {
  broker = await startMosquitto(join(folder, "broker"));
  overview = await startOverviewProcess(folder, broker, `feedpoints = ${COUNT + 1}\n`);
  crowd = await startCrowd(broker, COUNT);
  browser = await launchChromium();
  // Scripts of the test itself are no part of the page that its policy speaks of.
  const context = await browser.newContext({ viewport: { width: 1280, height: 900 }, bypassCSP: true });
  page = await context.newPage();
  await page.goto(overview.word);
  stranger = connect({ host: "127.0.0.1", port: broker.port, protocolVersion: 5, username: USER, password: "orchard" });
});
afterAll(async () => {
  await stranger?.endAsync(true);
  await browser?.close();
  await crowd?.stop();
  await overview?.stop();
  await broker?.stop();
  remove();
});

const shown = (): Promise<string[]> => page.locator(".glance h2").allTextContents();
const rows = (count: number) =>
  page.waitForFunction((wanted) => document.querySelectorAll(".glance").length === wanted, count, WAIT);
const head = (words: string) => page.waitForSelector(`.overview-head:has-text("${words}")`, WAIT);
const sentenceOf = (name: string) => page.locator(".glance", { hasText: name }).first().locator(".glance-sentence");

describe("all feedpoints", () => {
  it("stand worst first, each with its one sentence and the way to its own page", async () => {
    await rows(COUNT);
    await head("3 to act on: 120 feedpoints heard.");
    expect((await shown()).slice(0, 4)).toEqual(["Gate 3", "Gate 53", "Gate 103", "Gate 2"]);
    expect(await sentenceOf("Gate 103").textContent()).toBe("Do not transmit: the upper bound reached the limit.");
    expect(await page.getAttribute(".glance a", "href")).toBe("http://127.0.0.1:20003/");
    expect(await page.locator(".glance-act .tone-mark").first().getAttribute("aria-label")).toBe("act");
  });

  it("can be filtered by words and kind", async () => {
    await page.getByLabel("Filter by name or words").fill("gate 11");
    await rows(11);
    await page.getByLabel("Show").selectOption("watch");
    await rows(1);
    expect(await shown()).toEqual(["Gate 114"]);
    await page.getByLabel("Filter by name or words").fill("nobody");
    await page.waitForSelector("text=No feedpoint fits what is asked for.", WAIT);
    await page.getByLabel("Filter by name or words").fill("");
    await page.getByLabel("Show").selectOption("all");
    await rows(COUNT);
  });

  it("hold their order while the reader is in the list, and keep the focus", async () => {
    await page.locator(".glance a").nth(5).focus();
    const before = await shown();
    await page.waitForSelector("text=The order is held", WAIT);
    await stranger.publishAsync("emberwire/gate-001/availability", '{"state":"lost"}', { qos: 1, retain: true });
    await page.locator(".glance", { hasText: "Gate 1" }).locator("text=gone without a goodbye").waitFor(WAIT);
    expect(await shown()).toEqual(before);
    await page.keyboard.press("Tab");
    expect(await page.evaluate(() => document.activeElement?.textContent)).toBe(before[6]);
    await page.getByLabel("Show").focus();
    await page.waitForFunction(
      () => document.querySelectorAll(".glance h2")[3]?.textContent === "Gate 1",
      undefined,
      WAIT,
    );
  });
});

describe("what does not fit", () => {
  it("is said of a feedpoint that sends nonsense, and nothing of it is shown", async () => {
    await stranger.publishAsync("emberwire/odd/about", "<img src=x onerror=alert(1)>", { qos: 1, retain: true });
    await sentenceOf("odd").waitFor(WAIT);
    expect(await sentenceOf("odd").textContent()).toBe("It sends what cannot be read (about is no JSON).");
    expect(await page.locator("img").count()).toBe(0);
  });

  it("is counted and said when there is no room", async () => {
    for (const id of ["late-1", "late-2"]) {
      await stranger.publishAsync(`emberwire/${id}/availability`, '{"state":"online"}', { qos: 1 });
    }
    await page.waitForSelector(
      `text=2 more feedpoints are heard and not shown: overview.feedpoints is ${COUNT + 1}.`,
      WAIT,
    );
  });

  it("leaves when the broker's operator takes it out", async () => {
    await stranger.publishAsync("emberwire/odd/about", "", { qos: 1, retain: true });
    await rows(COUNT);
  });
});

describe("the page", () => {
  it.each(["light", "dark", "night"])("is accessible in the %s look", async (look) => {
    await page.click(".settings summary");
    await page.check(`input[name=look][value=${look}]`);
    await page.keyboard.press("Escape");
    await page.waitForSelector(`html[data-look=${look}]`);
    await page.evaluate(axe);
    const violations = await page.evaluate(async () => {
      const { axe: checker } = window as unknown as {
        axe: { run(): Promise<{ violations: { id: string; nodes: { html: string }[] }[] }> };
      };
      return (await checker.run()).violations.map(({ id, nodes }) => `${id}: ${nodes[0]?.html}`);
    });
    expect(violations).toEqual([]);
  });

  it("fits 360 px without scrolling sideways", async () => {
    await page.setViewportSize({ width: 360, height: 740 });
    expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(360);
    await page.setViewportSize({ width: 1280, height: 900 });
  });
});

describe("when something goes away", () => {
  it("the broker's absence is said at once, the rows grow old in plain sight and are right again afterwards", async () => {
    await broker.kill();
    await head("The broker is not in reach");
    await page.waitForSelector("text=No data from the feedpoint for", WAIT);
    await broker.start();
    await head("3 to act on");
  });

  it("the crowd's absence is known by its last wills, each row says it", async () => {
    crowd.child.kill("SIGKILL");
    await head(`${COUNT} not known: ${COUNT} feedpoints heard.`);
    expect(await sentenceOf("Gate 103").textContent()).toContain("gone without a goodbye");
  });

  it("the overview's own absence is said by the page", async () => {
    await overview.stop();
    await head("No word from the overview's server for");
  });
});

it("wrong requests are refused in words", async () => {
  expect((await told(register, ["run", "--overview"])).problems[0]).toBe(
    "command line: --config: expected a config with a table [overview], got nothing",
  );
  expect((await told(register, ["run", "--overview", "--simulated", "--config", "x"])).problems[0]).toContain(
    "--simulated",
  );
});
