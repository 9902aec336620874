// `npm run soak`: two daemons side by side for some real minutes, one at the pace of the day, one so fast that it lives through
// days. Clients come and go. Prints what they held and what their logs kept; ends with status 1 when that is not as it should be.

import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { monitorEventLoopDelay } from "node:perf_hooks";
import { parseArgs } from "node:util";
import { pause, systemClock } from "../../hardware/clock.ts";
import { constantVerdict, median, memoryVerdict, noneVerdict, type Verdict } from "./judge.ts";
import { type Kept, keptIn } from "./kept.ts";
import { SoakedDaemon } from "./soaked-daemon.ts";

const USAGE =
  "npm run soak -- [--days N] [--minutes M]   N simulated days at speed, M real minutes, 8 and 20 by default";
const FASTEST = 3600;
const DAY_SECONDS = 86_400;
/** Looked at this often, s: memory breathes with the collector, so a median wants many looks, also of a short run. */
const LOOK_SECONDS = 1;
/** A page comes this often, s, and the oldest of so many goes. */
const PAGE_SECONDS = 5;
const MOST_PAGES = 4;
/** A cycle may be late by this, in real seconds, on a machine that has other things to do. */
const LATEST_SECONDS = 1;
/** A machine that lets this program's own timer wait longer says nothing of the daemon's punctuality. */
const TOO_BUSY_SECONDS = 0.2;

function wanted(): { readonly days: number; readonly minutes: number; readonly speed: number } {
  const { values } = parseArgs({ options: { days: { type: "string" }, minutes: { type: "string" } } });
  const [days, minutes] = [Number(values.days ?? 8), Number(values.minutes ?? 20)];
  if (!(days > 0 && days <= 100 && minutes >= 1 && minutes <= 24 * 60)) {
    throw new Error(`soak: expected 0 to 100 days and 1 to 1440 minutes, got ${days} and ${minutes}\n${USAGE}`);
  }
  const speed = Math.ceil((days * DAY_SECONDS) / (60 * minutes));
  if (speed <= FASTEST) return { days, minutes, speed };
  throw new Error(`soak: ${days} days in ${minutes} minutes is ${speed}-fold, and ${FASTEST} is the most\n${USAGE}`);
}

/** Where its log is, how fast it runs, and how long it must have lived, s of its own clock. */
type Run = {
  readonly folder: string;
  readonly speed: number;
  readonly seconds: number;
  readonly watcherLateSeconds: number;
};

type Settled = { readonly files: number; readonly threads: number };

/** What it holds with nobody there, once everything that is loaded late has been loaded: one page was there before. */
async function settled(daemon: SoakedDaemon): Promise<Settled> {
  const before = daemon.look();
  await daemon.visit(MOST_PAGES);
  for (const path of ["", "api/v1/check", "api/v1/history"]) await daemon.ask(path);
  await pause(clock, PAGE_SECONDS);
  return await daemon.leave(before.files);
}

async function outcome(
  daemon: SoakedDaemon,
  begin: Settled,
  { folder, speed, seconds, watcherLateSeconds }: Run,
): Promise<Verdict[]> {
  const { name } = daemon;
  const alive = daemon.alive;
  const end = alive ? await daemon.leave(begin.files) : null;
  const check = alive ? JSON.parse(await daemon.ask("api/v1/check")) : null;
  const status = await daemon.stop();
  const kept = keptIn(folder);
  const quarter = daemon.samples.slice(daemon.samples.length >> 2);
  return [
    {
      what: `${name}: ended when told to`,
      figure: `status ${status}`,
      wanted: "status 0",
      good: alive && status === 0,
    },
    noneVerdict(name, "warnings, rejections, errors", daemon.complaints),
    memoryVerdict(name, daemon.samples),
    constantVerdict(name, "open files, nobody connected", begin.files, end?.files ?? Number.NaN),
    constantVerdict(name, "threads", begin.threads, end?.threads ?? Number.NaN),
    {
      what: `${name}: open files, pages coming and going`,
      figure: `${median(quarter.map(({ files }) => files))}, at most ${Math.max(...quarter.map(({ files }) => files))}`,
      wanted: `≤ ${begin.files + 3 * MOST_PAGES}`,
      good: Math.max(...quarter.map(({ files }) => files)) <= begin.files + 3 * MOST_PAGES,
    },
    constantVerdict(name, "service thread, restarts", 0, check?.hardware?.service_restarts ?? Number.NaN),
    {
      what: `${name}: lived`,
      figure: `${(kept.spanSeconds / DAY_SECONDS).toFixed(3)} days`,
      wanted: `≥ ${(seconds / DAY_SECONDS).toFixed(3)} days`,
      good: kept.spanSeconds >= seconds,
    },
    ...logVerdicts(name, kept, speed, watcherLateSeconds > TOO_BUSY_SECONDS),
  ];
}

function logVerdicts(name: string, kept: Kept, speed: number, tooBusy: boolean): Verdict[] {
  const busy = ", but the machine was too busy to judge";
  const gapSeconds = kept.widestGapSeconds / speed;
  const share = kept.missedSeconds / (kept.rows + kept.missedSeconds);
  return [
    {
      what: `${name}: rows lost or doubled`,
      figure: `${kept.holes} of ${kept.rows}`,
      wanted: "0",
      good: kept.holes === 0,
    },
    {
      what: `${name}: seconds without a cycle`,
      figure: `${kept.missedSeconds} of ${kept.spanSeconds.toFixed(0)} (${(100 * share).toFixed(2)} %)`,
      wanted: speed > 1 ? "-" : `0${tooBusy ? busy : ""}`,
      good: speed > 1 || tooBusy || kept.missedSeconds === 0,
    },
    {
      what: `${name}: longest wait between rows, real time`,
      figure: `${gapSeconds.toFixed(3)} s`,
      wanted: `≤ ${(1 / speed + LATEST_SECONDS).toFixed(3)} s${tooBusy ? busy : ""}`,
      good: tooBusy || gapSeconds <= 1 / speed + LATEST_SECONDS,
    },
    noneVerdict(name, "what the log finds wrong with itself", kept.faults),
    noneVerdict(name, "troubles in the record", kept.troubles),
  ];
}

const { days, minutes, speed } = wanted();
const clock = await systemClock();
const root = mkdtempSync(join(tmpdir(), "emberwire-soak-"));
const folders = { real: join(root, "real"), fast: join(root, "fast") };
process.stdout.write(`${minutes} minutes, and ${days} days at ${speed}-fold speed\n`);

const daemons: SoakedDaemon[] = [];
const delay = monitorEventLoopDelay();
try {
  const real = await SoakedDaemon.start({ name: "real time", clock, folder: folders.real });
  daemons.push(real);
  const fast = await SoakedDaemon.start({
    name: "at speed",
    clock,
    folder: folders.fast,
    words: ["--speed", String(speed)],
  });
  daemons.push(fast);
  const begins = new Map<SoakedDaemon, Settled>();
  for (const daemon of daemons) begins.set(daemon, await settled(daemon));

  // On a busy machine the fast one falls behind; it gets as long again, and no more.
  const began = clock.monotonicSeconds();
  const lasts = (): boolean => {
    const seconds = clock.monotonicSeconds() - began;
    if (seconds > 2 * 60 * minutes || daemons.some(({ alive }) => !alive)) return false;
    return seconds < 60 * minutes || !(fast.livedSeconds >= DAY_SECONDS * days);
  };
  delay.enable();
  for (let looks = 0; lasts(); looks += 1) {
    for (const daemon of daemons) {
      daemon.watch();
      if ((looks * LOOK_SECONDS) % PAGE_SECONDS === 0) await daemon.visit(MOST_PAGES);
    }
    await pause(clock, LOOK_SECONDS);
  }
  delay.disable();
  const watcherLateSeconds = delay.max / 1e9;
  process.stdout.write(`the watcher's own timer was late by at most ${watcherLateSeconds.toFixed(2)} s\n`);

  const verdicts: Verdict[] = [];
  const runs: readonly (readonly [SoakedDaemon, Run])[] = [
    [real, { folder: folders.real, speed: 1, seconds: 60 * minutes, watcherLateSeconds }],
    [fast, { folder: folders.fast, speed, seconds: DAY_SECONDS * days, watcherLateSeconds }],
  ];
  for (const [daemon, run] of runs) {
    verdicts.push(...(await outcome(daemon, begins.get(daemon)!, run)));
    process.stdout.write(`${daemon.name}: clients got ${daemon.frames} frames\n`);
  }
  for (const { what, figure, wanted: target, good } of verdicts) {
    process.stdout.write(`${good ? "good" : "BAD "}  ${what.padEnd(52)} ${figure.padStart(28)}   wanted ${target}\n`);
  }
  if (verdicts.some(({ good }) => !good)) process.exitCode = 1;
} finally {
  await Promise.all(daemons.map((daemon) => daemon.stop()));
  rmSync(root, { recursive: true, force: true });
}
