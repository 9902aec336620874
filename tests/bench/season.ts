// `npm run bench:season [-- --days N] [--beside-days N]`: the figures of the season log on a made year at one row a second, and the
// same data in a plain SQLite table, an RRDtool file and a Prometheus server, measured in the same run. Exit status 1 on a miss.

import { fork } from "node:child_process";
import { once } from "node:events";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { parseArgs } from "node:util";
import { besideTable } from "./season/beside.ts";
import { dayFigures, monthFigures } from "./season/days.ts";
import { printFigures } from "./season/figures.ts";
import { yearFigures } from "./season/year.ts";

const { values } = parseArgs({
  options: {
    days: { type: "string", default: "365" },
    "beside-days": { type: "string", default: "3" },
    "month-days": { type: "string", default: "30" },
    part: { type: "string" },
  },
});

function daysOf(flag: "days" | "beside-days" | "month-days"): number {
  const days = Number(values[flag]);
  if (!(Number.isInteger(days) && days >= 2 && days <= 3_660)) {
    process.stderr.write(`command line: --${flag}: expected a whole number of days from 2, got "${values[flag]}"\n`);
    process.exit(2);
  }
  return days;
}

const PARTS: Readonly<Record<string, (folder: string) => Promise<boolean> | boolean>> = {
  year: (folder) => printFigures("A year of seconds", yearFigures(folder, daysOf("days"))),
  day: (folder) => printFigures("A day, a cycle at a time, forced to the disk every 10 s", dayFigures(folder)),
  month: (folder) => printFigures("A simulated month", monthFigures(folder, daysOf("month-days"))),
  beside: async (folder) => {
    process.stdout.write(await besideTable(folder, daysOf("beside-days")));
    return true;
  },
};

/** The memory that the daemon gives its service thread. */
const LIKE_THE_SERVICE = ["--expose-gc", "--max-old-space-size=96", "--max-semi-space-size=8"];

/** Every part in a process of its own, so that none measures another's memory or files. */
async function all(): Promise<boolean> {
  let held = true;
  for (const part of Object.keys(PARTS)) {
    const argv = [...process.argv.slice(2), "--part", part];
    const child = fork(fileURLToPath(import.meta.url), argv, { execArgv: LIKE_THE_SERVICE });
    const [code] = (await once(child, "exit")) as [number | null];
    held &&= code === 0;
  }
  return held;
}

async function one(part: string): Promise<boolean> {
  const run = PARTS[part];
  if (run === undefined) throw new Error(`--part: expected one of ${Object.keys(PARTS).join(", ")}, got "${part}"`);
  const folder = mkdtempSync(join(tmpdir(), "emberwire-season-"));
  try {
    return await run(folder);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

process.exitCode = (await (values.part === undefined ? all() : one(values.part))) ? 0 : 1;
