// Prints what the page costs in a real Chromium: a first visit over a slow link, the browser's main thread at one frame a
// second, and its heap over eight simulated hours. It asserts nothing; page.ts has the sizes, page-clients.ts the daemon's part.

import type { CDPSession, Page } from "playwright-core";
import { pause, systemClock } from "../../hardware/clock.ts";
import { launchChromium } from "../browser/chromium.ts";
import { printFigure, startDaemon } from "./start-daemon.ts";

const LINK_BITS_PER_SECOND = 400e3;
const LINK_DELAY_MILLISECONDS = 400;
const WATCHED_SECONDS = 20;
const EVENING_SPEED = 240;
const EVENING_SECONDS = (8 * 3600) / EVENING_SPEED;
const NOW_NUMBER = ".spot-core .callout-number";
const WAIT = { timeout: 60_000 };

const clock = await systemClock();
const browser = await launchChromium();

/** Without its service worker the page asks for every byte itself, so that all of them are slowed and counted. */
async function blankPage(
  serviceWorkers: "allow" | "block" = "allow",
): Promise<{ readonly page: Page; readonly session: CDPSession }> {
  const context = await browser.newContext({ viewport: { width: 1280, height: 800 }, serviceWorkers });
  const page = await context.newPage();
  return { page, session: await context.newCDPSession(page) };
}

/** Resolves once the core's number is on the screen. */
async function numberShown(page: Page): Promise<void> {
  await page.waitForFunction((css) => /\d/.test(document.querySelector(css)?.textContent ?? ""), NOW_NUMBER, WAIT);
}

/** A first visit: nothing cached, every answer delayed and slowed. The stream's own bytes are delayed by the browser only in part. */
async function slowLink(): Promise<void> {
  const daemon = await startDaemon();
  const { page, session } = await blankPage("block");
  const bytes = new Map<string, number>();
  const path = new Map<string, string>();
  session.on("Network.responseReceived", ({ requestId, response }) => {
    path.set(requestId, new URL(response.url).pathname);
  });
  session.on("Network.loadingFinished", ({ requestId, encodedDataLength }) => {
    bytes.set(requestId, encodedDataLength);
  });
  await session.send("Network.enable");
  await session.send("Network.emulateNetworkConditions", {
    offline: false,
    latency: LINK_DELAY_MILLISECONDS,
    downloadThroughput: LINK_BITS_PER_SECOND / 8,
    uploadThroughput: LINK_BITS_PER_SECOND / 8,
  });
  const began = clock.monotonicSeconds();
  const chart = page.waitForEvent("requestfinished", {
    ...WAIT,
    predicate: (request) => request.url().includes("/assets/trail-chart"),
  });
  await page.goto(daemon.address, { waitUntil: "commit" });
  await numberShown(page);
  const live = clock.monotonicSeconds() - began;
  printFigure("live numbers at 400 kbit/s, 400 ms", `${live.toFixed(1)} s`, "4 s");
  await chart;
  printFigure("  with the chart", `${(clock.monotonicSeconds() - began).toFixed(1)} s`, "-");
  await page.waitForLoadState("networkidle");
  const shell = [...bytes].filter(([id]) => path.get(id)?.startsWith("/api/") === false);
  const total = shell.reduce((sum, [, size]) => sum + size, 0);
  printFigure("received for Now, gzipped, with headers", `${(total / 1e3).toFixed(1)} kB`, "150 kB");
  for (const [id, size] of shell) printFigure(`  ${path.get(id)}`, `${(size / 1e3).toFixed(1)} kB`, "-");
  await page.context().close();
  await daemon.stop();
}

/** One named figure of the browser's own metrics; NaN where it has none of that name. */
async function metric(session: CDPSession, name: string): Promise<number> {
  const { metrics } = await session.send("Performance.getMetrics");
  return metrics.find((candidate) => candidate.name === name)?.value ?? Number.NaN;
}

async function mainThread(): Promise<void> {
  const daemon = await startDaemon();
  const { page, session } = await blankPage();
  await page.goto(daemon.address);
  await numberShown(page);
  await page.waitForSelector(".trail canvas", WAIT);
  await page.waitForLoadState("load");
  await session.send("Performance.enable");
  const names = ["TaskDuration", "ScriptDuration", "LayoutDuration", "RecalcStyleDuration"] as const;
  const read = async (): Promise<number[]> => Promise.all(names.map((name) => metric(session, name)));
  // The drawing of the first visit is not the steady state.
  await pause(clock, 3);
  const [before, began] = [await read(), clock.monotonicSeconds()];
  await pause(clock, WATCHED_SECONDS);
  const [after, elapsed] = [await read(), clock.monotonicSeconds() - began];
  names.forEach((name, at) => {
    const share = ((after[at] ?? Number.NaN) - (before[at] ?? Number.NaN)) / elapsed;
    const what = at === 0 ? "main thread at 1 frame/s" : `  of it ${name}`;
    printFigure(what, `${(100 * share).toFixed(2)} %`, at === 0 ? "5 % of a core" : "-");
  });
  await page.context().close();
  await daemon.stop();
}

async function heap(): Promise<void> {
  const daemon = await startDaemon("--simulated", "--speed", String(EVENING_SPEED));
  const { page, session } = await blankPage();
  await page.goto(daemon.address);
  await numberShown(page);
  await page.waitForSelector(".trail canvas", WAIT);
  for (const hours of [0, 2, 4, 6, 8]) {
    if (hours > 0) await pause(clock, EVENING_SECONDS / 4);
    await session.send("HeapProfiler.collectGarbage");
    const { usedSize } = await session.send("Runtime.getHeapUsage");
    printFigure(`used heap after ${hours} simulated h`, `${(usedSize / 1e6).toFixed(2)} MB`, "flat");
  }
  await page.context().close();
  await daemon.stop();
}

await slowLink();
await mainThread();
await heap();
await browser.close();
