// `emberwire report`: the season on paper, one HTML file. It reads the log; the daemon may run.

import type { Command } from "commander";
import { systemClock } from "../../hardware/clock.ts";
import { RequestError } from "../config/problem.ts";
import { bandOf } from "../core/physics/bands.ts";
import { writeWhole } from "../recording/files.ts";
import { readHistory } from "../season/history.ts";
import { hoursKept } from "../season/hours.ts";
import { reportHtml } from "../season/report/html.ts";
import { reviewSeason } from "../season/review/season.ts";
import { wearAlarmsOf } from "../service-spec.ts";
import { programVersion } from "../version.ts";
import { writeJson } from "./figures.ts";
import { COMMAND_LINE, configFrom, programFrom } from "./flags.ts";
import { openSeason, type SeasonFlags, seasonFile, spanFrom, withSeasonFlags } from "./season-file.ts";

type Flags = SeasonFlags & {
  readonly from?: string;
  readonly to?: string;
  readonly out?: string;
  readonly utcOffset?: string;
  readonly json?: true;
};

const EXAMPLE = `
Open the file in a browser and print it; it needs nothing else. Days are those of this machine's time zone, or of --utc-offset.

Example:
  emberwire report --config emberwire.toml --from 2026-09-01 --to 2026-12-01 --out autumn.html`;

const HOUR_SECONDS = 3_600;
const POINTS = 1_000;
/** What a chart can ask for at once. */
const LONGEST_SECONDS = 370 * 86_400;

/** Adds `report` to the program. */
export function register(program: Command): void {
  withSeasonFlags(program.command("report").description("the season on paper: one HTML file"))
    .option("--from <date>", "first day; without it a year before the end")
    .option("--to <date>", "up to this day; without it until now")
    .option("--utc-offset <hours>", "whole hours from UTC by which days begin")
    .option("--out <file>", "HTML file to write")
    .option("--json", "print the review as JSON instead")
    .addHelpText("after", EXAMPLE)
    .action((flags: Flags, command: Command) => run(flags, command));
}

async function run(flags: Flags, command: Command): Promise<void> {
  if (flags.out === undefined && flags.json !== true) {
    throw new RequestError([
      { what: "--out", where: COMMAND_LINE, expected: "a file to write, or --json", got: "neither" },
    ]);
  }
  const clock = await systemClock();
  const { file, name } = seasonFile(flags);
  const program = programFrom(configFrom(flags.config));
  const { limitCelsius } = program.limits;
  const database = openSeason(file);
  try {
    const [asked, toSeconds] = spanFrom(flags, clock.wallSeconds());
    const kept = hoursKept(database);
    const from = Math.max(asked, toSeconds - LONGEST_SECONDS, (kept?.from ?? 0) * HOUR_SECONDS);
    const fromSeconds = from < toSeconds ? from : toSeconds - HOUR_SECONDS;
    const review = reviewSeason(database, {
      name,
      fromSeconds,
      toSeconds,
      utcOffsetSeconds: offsetFrom(flags.utcOffset, toSeconds),
      limitCelsius,
      alarms: wearAlarmsOf(program),
      bandOf: (hertz) => bandOf(hertz)?.name ?? null,
    });
    if (flags.json === true) writeJson(command, review);
    if (flags.out === undefined) return;
    const { series } = readHistory(database, { fromSeconds, toSeconds, points: POINTS, series: ["core_celsius"] });
    const facts = { review, core: series["core_celsius"] ?? [], limitCelsius, version: programVersion() };
    writeWhole(flags.out, "--out", [reportHtml({ ...facts, writtenSeconds: clock.wallSeconds() })]);
  } finally {
    database.close();
  }
}

function offsetFrom(text: string | undefined, atSeconds: number): number {
  const hours = text === undefined ? Math.round(-new Date(atSeconds * 1000).getTimezoneOffset() / 60) : Number(text);
  if (Number.isInteger(hours) && Math.abs(hours) <= 14) return hours * HOUR_SECONDS;
  const expected = "whole hours from -14 to 14";
  throw new RequestError([{ what: "--utc-offset", where: COMMAND_LINE, expected, got: JSON.stringify(text) }]);
}
