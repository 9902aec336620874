// `emberwire export`: the season log as CSV or Parquet, with the units beside it. It reads the log; the daemon may run.

import { writeSync } from "node:fs";
import type { Command } from "commander";
import { systemClock } from "../../hardware/clock.ts";
import { RequestError } from "../config/problem.ts";
import { csvLine } from "../recording/csv.ts";
import { writeWhole } from "../recording/files.ts";
import { type Every, type ExportTable, exportTable } from "../season/export.ts";
import { sourcesOf } from "../season/records.ts";
import { programVersion } from "../version.ts";
import { COMMAND_LINE } from "./flags.ts";
import { openSeason, type SeasonFlags, seasonFile, spanFrom, withSeasonFlags } from "./season-file.ts";

type Flags = SeasonFlags & {
  readonly from?: string;
  readonly to?: string;
  readonly every: string;
  readonly format: string;
  readonly out?: string;
};

const EVERY: Readonly<Record<string, Every>> = { "1s": 1, "1min": 60, "15min": 900 };

const EXAMPLE = `
Without --out the CSV goes to standard output. With it, FILE.units.json beside it says each column's unit and meaning, and whether the
rows are simulated. Averages come as least, mean and greatest.

Examples:
  emberwire export --from 2026-11-01 --to 2026-12-01 --every 1min --out november.csv
  emberwire export --config emberwire.toml --every 1s --format parquet --out season.parquet`;

/** Adds `export` to the program. */
export function register(program: Command): void {
  withSeasonFlags(program.command("export").description("the season log as CSV or Parquet"))
    .option("--from <date>", "first second; without it all there is")
    .option("--to <date>", "up to this second; without it until now")
    .option("--every <time>", "1s, 1min or 15min", "1min")
    .option("--format <format>", "csv or parquet", "csv")
    .option("--out <file>", "file to write, instead of standard output")
    .addHelpText("after", EXAMPLE)
    .action((flags: Flags) => run(flags));
}

async function run(flags: Flags): Promise<void> {
  const every = EVERY[flags.every];
  if (every === undefined) throw wrong("--every", "1s, 1min or 15min", flags.every);
  if (flags.format !== "csv" && flags.format !== "parquet") throw wrong("--format", "csv or parquet", flags.format);
  if (flags.format === "parquet" && flags.out === undefined) throw wrong("--out", "a file, for Parquet", null);
  const clock = await systemClock();
  const [fromSeconds, toSeconds] = spanFrom(flags, clock.wallSeconds());
  const { file, simulated, name } = seasonFile(flags);
  const database = openSeason(file);
  try {
    const table = exportTable(database, every, fromSeconds, toSeconds);
    const facts = {
      feedpoint: name,
      ...sourcesOf(database),
      simulated,
      from_seconds: fromSeconds,
      to_seconds: toSeconds,
      every_seconds: every,
      written_by: `emberwire ${programVersion()}`,
    };
    if (flags.out === undefined) writeOut(csv(table));
    else {
      if (flags.format === "parquet") {
        const { writeParquet } = await import("./export-parquet.ts");
        await writeParquet(flags.out, table, facts);
      } else writeWhole(flags.out, "--out", csv(table));
      writeWhole(`${flags.out}.units.json`, "--out", [
        `${JSON.stringify({ ...facts, columns: table.columns }, null, 2)}\n`,
      ]);
    }
  } finally {
    database.close();
  }
}

function* csv({ columns, rows }: ExportTable): Generator<string> {
  yield csvLine(columns.map(({ name }) => name));
  for (const row of rows) yield csvLine(row.map((cell) => (cell === null ? "" : String(cell))));
}

/** In large pieces, and waiting for the reader: an endless reader must not fill the memory. */
function writeOut(lines: Iterable<string>): void {
  let text = "";
  for (const line of lines) {
    text += line;
    if (text.length < 256 * 1024) continue;
    put(text);
    text = "";
  }
  put(text);
}

function put(text: string): void {
  for (let bytes = Buffer.from(text); bytes.length > 0; ) {
    try {
      bytes = bytes.subarray(writeSync(process.stdout.fd, bytes));
    } catch (error) {
      const code = error instanceof Error && "code" in error ? error.code : null;
      if (code === "EPIPE") process.exit(0);
      if (code !== "EAGAIN") throw error;
    }
  }
}

const wrong = (what: string, expected: string, got: string | null): RequestError =>
  new RequestError([{ what, where: COMMAND_LINE, expected, got: got === null ? "nothing" : JSON.stringify(got) }]);
