// Days through the log's own front door, a cycle at a time: what that writes, what it costs, and whether memory grows.

import { join } from "node:path";
import { SeasonLog } from "../../../daemon/season/log.ts";
import { HOUR_SECONDS } from "../../../daemon/season/segment.ts";
import { MadeSeason } from "../../support/made-season.ts";
import { beatsOf, CHECKPOINT } from "./beats.ts";
import { type Figure, writtenBytes } from "./figures.ts";
import { FIRST_HOUR } from "./year.ts";

type Lived = {
  readonly cpuSeconds: number;
  readonly handed: number;
  readonly dirtied: number;
  readonly residentBytes: readonly number[];
};

/** `forced`: every commit is forced to the medium, as in the daemon; without, a month takes a minute and not an hour. */
function live(folder: string, hours: number, forced: boolean): Lived {
  const log = new SeasonLog(
    {
      file: join(folder, `days-${hours}.db`),
      run: { key: "days", bootId: "days", version: "0", simulated: true },
      retention: { keepSeconds: 1e9, mostBytes: 1e12 },
      bandOf: () => "40 m",
    },
    0,
  );
  if (!forced) log.database.pragma("synchronous = OFF");
  const season = new MadeSeason(1, true);
  const before = writtenBytes();
  const residentBytes: number[] = [];
  let cpu = 0;
  for (let hour = 0; hour < hours; hour += 1) {
    const beats = beatsOf(season, FIRST_HOUR + hour, 1 + hour * HOUR_SECONDS);
    const began = process.cpuUsage();
    for (const [row, beat] of beats.entries()) {
      const now = { seconds: hour * HOUR_SECONDS + row, wallSeconds: beat.wallSeconds, wallTrusted: true };
      log.take([beat], [], row % 10 === 0 ? CHECKPOINT : null, now);
    }
    const { user, system } = process.cpuUsage(began);
    cpu += (user + system) / 1e6;
    if (hour % 24 === 23) {
      globalThis.gc?.();
      residentBytes.push(process.memoryUsage.rss());
    }
  }
  if (!log.progress.writable) throw new Error(`the log stopped: ${log.progress.trouble}`);
  log.close(hours * HOUR_SECONDS);
  const after = writtenBytes();
  return {
    cpuSeconds: cpu,
    handed: after.handed - before.handed,
    dirtied: after.dirtied - before.dirtied,
    residentBytes,
  };
}

export function dayFigures(folder: string): readonly Figure[] {
  const { cpuSeconds, handed, dirtied } = live(folder, 24, true);
  return [
    { what: "handed to the disk in a day (wchar of /proc/self/io)", value: handed / 1e6, unit: "MB", wanted: 25 },
    { what: "the same in whole pages of 4 KiB (write_bytes)", value: dirtied / 1e6, unit: "MB", wanted: null },
    { what: "  least possible: one page each 10 s", value: (8640 * 4096) / 1e6, unit: "MB", wanted: null },
    { what: "insert, of one core (CPU time of take())", value: (100 * cpuSeconds) / 86_400, unit: "%", wanted: 0.2 },
  ];
}

/** Growth from the third day on: until then caches fill and code is compiled. */
export function monthFigures(folder: string, days: number): readonly Figure[] {
  const { residentBytes } = live(folder, days * 24, false);
  const settled = Math.max(...residentBytes.slice(2, 5));
  const end = Math.max(...residentBytes.slice(-3));
  const weeks = residentBytes.filter((_, day) => day % 7 === 6).map((bytes) => (bytes / 1e6).toFixed(1));
  process.stdout.write(`\nResident memory by week: ${weeks.join(", ")} MB\n`);
  return [
    { what: `resident memory on day 3 to 5`, value: settled / 1e6, unit: "MB", wanted: null },
    { what: `its growth until day ${days}`, value: (end - settled) / 1e6, unit: "MB", wanted: 5 },
  ];
}
