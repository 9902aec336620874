// Prints how old the rows of the overview are in a real Chromium with 500 feedpoints at 1 Hz through a real broker, and what each
// feedpoint costs overview and broker, at several counts. It asserts nothing.

import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pause, systemClock } from "../../hardware/clock.ts";
import { installHostPackages } from "../../systemd/package/host-packages.ts";
import { launchChromium } from "../browser/chromium.ts";
import { startMosquitto } from "../support/mosquitto.ts";
import { startCrowd, startOverviewProcess } from "../support/overview.ts";
import { printFigure } from "./start-daemon.ts";

const COUNTS = [50, 100, 200, 500];
const WATCHED_SECONDS = 10;
/** USER_HZ of Linux (proc_pid_stat(5), sysconf(3)). */
const TICKS_PER_SECOND = 100;

const clock = await systemClock();

function processorSeconds(pid: number | undefined): number {
  const line = readFileSync(`/proc/${pid}/stat`, "utf8");
  const fields = line.slice(line.lastIndexOf(")") + 2).split(" ");
  return (Number(fields[11]) + Number(fields[12])) / TICKS_PER_SECOND;
}

const residentBytes = (pid: number | undefined): number =>
  1024 * Number(/VmRSS:\s+(\d+) kB/.exec(readFileSync(`/proc/${pid}/status`, "utf8"))?.[1]);

/** Ages of the rows as they stand on the page, sampled while it is watched, s. Both clocks are this machine's. */
async function agesOnPage(address: string, count: number): Promise<readonly number[]> {
  const browser = await launchChromium();
  try {
    const page = await browser.newPage({ viewport: { width: 1280, height: 900 } });
    await page.goto(address);
    await page.waitForFunction((wanted) => document.querySelectorAll("[data-made]").length === wanted, count, {
      timeout: 60_000,
    });
    return await page.evaluate(async (seconds) => {
      const ages: number[] = [];
      const until = performance.now() + seconds * 1000;
      while (performance.now() < until) {
        await new Promise((resolve) => setTimeout(resolve, 100));
        const now = Date.now() / 1000;
        for (const row of document.querySelectorAll<HTMLElement>("[data-made]"))
          ages.push(now - Number(row.dataset["made"]));
      }
      return ages;
    }, WATCHED_SECONDS);
  } finally {
    await browser.close();
  }
}

function quantile(values: readonly number[], share: number): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))] ?? Number.NaN;
}

await installHostPackages("the overview's bench", ["mosquitto"], (line) => process.stdout.write(`${line}\n`));
const folder = mkdtempSync(join(tmpdir(), "emberwire-bench-"));
const percent = (share: number): string => `${(100 * share).toFixed(2)} %`;
/** Milliseconds of a processor per second. */
const each = (share: number): string => `${(1000 * share).toFixed(3)} ms/s`;
type Cost = { readonly count: number; readonly overview: number; readonly broker: number };
const costs: Cost[] = [];
for (const count of COUNTS) {
  const broker = await startMosquitto(join(folder, `${count}`));
  const overview = await startOverviewProcess(folder, broker);
  const crowd = await startCrowd(broker, count);
  const pids = { overview: overview.child.pid, broker: broker.process().pid };
  await pause(clock, 4);
  const before = { at: clock.monotonicSeconds(), o: processorSeconds(pids.overview), b: processorSeconds(pids.broker) };
  const ages = count === COUNTS.at(-1) ? await agesOnPage(overview.word, count) : [];
  if (ages.length === 0) await pause(clock, WATCHED_SECONDS);
  const spent = clock.monotonicSeconds() - before.at;
  const cost: Cost = {
    count,
    overview: (processorSeconds(pids.overview) - before.o) / spent,
    broker: (processorSeconds(pids.broker) - before.b) / spent,
  };
  costs.push(cost);
  printFigure(`${count} feedpoints: overview, processor`, percent(cost.overview), "-");
  printFigure("  each", each(cost.overview / count), "-");
  printFigure("  memory", `${(residentBytes(pids.overview) / 1e6).toFixed(0)} MB`, "-");
  printFigure("  broker, processor", percent(cost.broker), "-");
  printFigure("  each", each(cost.broker / count), "-");
  printFigure("  memory", `${(residentBytes(pids.broker) / 1e6).toFixed(1)} MB`, "-");
  if (ages.length > 0) {
    printFigure("age on the page, median", `${quantile(ages, 0.5).toFixed(2)} s`, "-");
    printFigure("age on the page, 99th percentile", `${quantile(ages, 0.99).toFixed(2)} s`, "2 s");
  }
  await crowd.stop();
  await overview.stop();
  await broker.stop();
}
// A straight line by least squares: what a process costs at rest, what each feedpoint adds, and how far the points lie from it.
for (const who of ["overview", "broker"] as const) {
  const mean = (of: (cost: Cost) => number): number => costs.reduce((sum, cost) => sum + of(cost), 0) / costs.length;
  const [n, y] = [mean(({ count }) => count), mean((cost) => cost[who])];
  const slope = mean((cost) => (cost.count - n) * (cost[who] - y)) / mean(({ count }) => (count - n) ** 2);
  const rest = y - slope * n;
  const off = Math.max(...costs.map((cost) => Math.abs(cost[who] - rest - slope * cost.count)));
  printFigure(`${who}: at rest`, each(rest), "-");
  printFigure("  each feedpoint adds", each(slope), "-");
  printFigure("  furthest point off the line by", each(off), "0: linear");
}
rmSync(folder, { recursive: true, force: true });
