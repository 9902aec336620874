// Pictures to look at: every view in every look and width on the real daemon with its simulated feedpoint, and the states
// that nobody sees on a good day. Written to an ignored folder, and one picture for the README. It judges nothing.
// Run from the root of the checkout: npm run screenshots, or for some of it only: npm run screenshots -- season bad readme.

import { mkdir, rm } from "node:fs/promises";
import { join, resolve } from "node:path";
import type { Browser, Page } from "playwright-core";
import { pause, systemClock } from "../../hardware/clock.ts";
import type { Trouble } from "../../hardware/simulated/faults.ts";
import { launchChromium } from "./chromium.ts";
import { type ScriptedFeedpoint, scratchFolder, startScripted } from "./feedpoint.ts";

const FOLDER = resolve("tests/browser/screenshots");
const README_PICTURE = resolve("tests/browser/now.png");
const VIEWS = [
  { name: "now", path: "", ready: ".trail canvas" },
  { name: "season", path: "#/season", ready: "g.curve-second .curve-line" },
  { name: "rating", path: "#/rating", ready: ".slider" },
  { name: "heat-run", path: "#/heat-run", ready: ".heat-run-begin" },
  { name: "alarms", path: "#/alarms", ready: ".record li" },
  { name: "check", path: "#/check", ready: ".friend" },
] as const;
const LOOKS = ["light", "dark", "night"] as const;
const WIDTHS = [360, 768, 1280, 2560] as const;
/** Simulated seconds per second: half an hour of chart in a quarter of a minute. */
const FAST = 120;

type Choices = Readonly<Record<string, string>>;
type Shot = {
  readonly name: string;
  readonly width: number;
  readonly choices: Choices;
  readonly path?: string;
  /** What stands once the view is drawn. */
  readonly ready?: string;
  readonly scale?: number;
  readonly folder?: string;
};

async function opened(browser: Browser, address: string, shot: Shot): Promise<Page> {
  const { width, choices, path = "", ready = ".trail canvas", scale = 1 } = shot;
  const context = await browser.newContext({
    viewport: { width, height: Math.round(width * 0.66) },
    deviceScaleFactor: scale,
    locale: "en-GB",
    timezoneId: "Europe/Dublin",
  });
  const page = await context.newPage();
  await page.addInitScript((chosen) => localStorage.setItem("emberwire.preferences", chosen), JSON.stringify(choices));
  await page.goto(`${address}${path}`);
  await page.waitForSelector(".age-fresh");
  await page.waitForSelector(ready, { state: "attached" });
  if (ready !== ".trail canvas") return page;
  // The chart is drawn in the frame after its code came; two more frames and it stands.
  await page.waitForFunction(() => {
    const canvas = document.querySelector<HTMLCanvasElement>(".trail canvas");
    return canvas !== null && canvas.width > 300;
  });
  await page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))));
  return page;
}

async function take(page: Page, { name, folder = FOLDER }: Shot): Promise<void> {
  await page.screenshot({ path: join(folder, `${name}.png`), fullPage: true });
  await page.context().close();
}

async function everyView(
  browser: Browser,
  feedpoint: ScriptedFeedpoint,
  wanted: (name: string) => boolean,
): Promise<void> {
  for (const view of VIEWS.filter(({ name }) => wanted(name))) {
    for (const look of LOOKS) {
      for (const width of WIDTHS) {
        const shot = {
          name: `${view.name}-${look}-${width}`,
          width,
          choices: { look },
          path: view.path,
          ready: view.ready,
        };
        await take(await opened(browser, feedpoint.address, shot), shot);
      }
    }
  }
}

/** The states of a bad day: what goes wrong, and when the page has understood it. */
const BAD_DAYS: readonly {
  readonly name: string;
  readonly troubles: readonly Trouble[];
  readonly seen: string;
  readonly widths: readonly number[];
  readonly choices: Choices;
  /** A carrier of so many watts on 80 m. */
  readonly watts?: number;
  /** What the operator asks of the daemon. */
  readonly action?: unknown;
}[] = [
  {
    name: "tripped",
    troubles: [{ kind: "wet core", lossFactor: 5 }],
    seen: ".stage-inhibited",
    widths: [360, 1280],
    choices: { look: "light" },
    watts: 1500,
  },
  {
    name: "bypassed",
    troubles: [{ kind: "fan stall" }],
    seen: ".stage-bypassed",
    widths: [1280],
    choices: { look: "dark" },
    action: { kind: "bypass", seconds: 600, comment: "the fan is heard turning" },
  },
  {
    name: "outlet-jumping",
    troubles: [{ kind: "garbage bytes", part: "outlet" }],
    seen: ".callout-suspect, .callout-bad",
    widths: [1280],
    choices: { look: "light" },
  },
  {
    name: "inlet-silent-outlet-garbled-tach-noisy",
    troubles: [
      { kind: "chip silent", part: "inlet" },
      { kind: "tach noise", edgesPerSecond: 900 },
    ],
    seen: ".callout-bad",
    widths: [360, 1280],
    choices: { look: "dark" },
  },
  {
    name: "relay-misread",
    troubles: [{ kind: "relay misread", line: "inhibit" }],
    seen: ".contact-wrong",
    widths: [768],
    choices: { look: "light", temperature: "fahrenheit", airflow: "cubic feet per minute", clock: "utc" },
  },
  {
    name: "fan-stalled",
    troubles: [{ kind: "fan stall" }],
    seen: ".rotor-halted",
    widths: [360, 1280],
    choices: { look: "light" },
  },
  {
    name: "fan-stalled-night-room",
    troubles: [{ kind: "fan stall" }],
    seen: ".stage-inhibited, .stage-reduced",
    widths: [1280],
    choices: { look: "night", size: "room" },
  },
];

async function badDays(browser: Browser, speed: number): Promise<void> {
  for (const { name, troubles, seen, widths, choices, watts, action } of BAD_DAYS) {
    const folder = await scratchFolder();
    const feedpoint = await startScripted(folder.path, speed);
    try {
      for (const trouble of troubles) {
        feedpoint.board.faults.add({
          ...trouble,
          startSeconds: feedpoint.board.elapsedSeconds(),
          endSeconds: null,
        });
      }
      if (watts !== undefined) feedpoint.operate(watts);
      if (action !== undefined) {
        const headers = { "content-type": "application/json" };
        await fetch(`${feedpoint.address}api/v1/commands`, {
          method: "POST",
          headers,
          body: JSON.stringify({ action }),
        });
      }
      for (const width of widths) {
        const shot = { name: `bad-${name}-${width}`, width, choices };
        const page = await opened(browser, feedpoint.address, shot);
        await page.waitForSelector(seen, { state: "attached" });
        await take(page, shot);
      }
    } finally {
      await feedpoint.stop();
      await folder.remove();
    }
  }
}

/** What the page says when the daemon is gone: first stale, then silent. */
async function noData(browser: Browser): Promise<void> {
  const folder = await scratchFolder();
  const feedpoint = await startScripted(folder.path, 1);
  const stale = { name: "bad-stale-1280", width: 1280, choices: { look: "light" } };
  const silent = { name: "bad-no-data-1280", width: 1280, choices: { look: "dark" } };
  const pages = [
    await opened(browser, feedpoint.address, stale),
    await opened(browser, feedpoint.address, silent),
  ] as const;
  await feedpoint.stop();
  await folder.remove();
  await pages[0].waitForSelector(".now.age-stale");
  await take(pages[0], stale);
  await pages[1].waitForSelector(".now.age-silent");
  await take(pages[1], silent);
}

async function main(chosen: readonly string[]): Promise<void> {
  const wanted = (name: string): boolean => chosen.length === 0 || chosen.includes(name);
  if (chosen.length === 0) await rm(FOLDER, { recursive: true, force: true });
  await mkdir(FOLDER, { recursive: true });
  const clock = await systemClock();
  const folder = await scratchFolder();
  const browser = await launchChromium();
  const feedpoint = await startScripted(folder.path, FAST);
  try {
    await pause(clock, 2000 / FAST);
    const readme = { name: "now", width: 1280, choices: { look: "light" }, folder: resolve(README_PICTURE, "..") };
    if (wanted("readme")) await take(await opened(browser, feedpoint.address, readme), readme);
    await everyView(browser, feedpoint, wanted);
    if (wanted("bad")) await badDays(browser, 10);
    if (wanted("bad")) await noData(browser);
  } finally {
    await browser.close();
    await feedpoint.stop();
    await folder.remove();
  }
}

await main(process.argv.slice(2));
