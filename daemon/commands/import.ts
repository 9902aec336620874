// `emberwire import`: a CSV recording into the season log, marked as imported. What the recording measured is filed as measured,
// what the model makes of it as believed; a recording that cannot be read leaves the log as it was.

import { createHash } from "node:crypto";
import type { Database } from "better-sqlite3";
import type { Command } from "commander";
import { type Problem, RequestError } from "../config/problem.ts";
import { bandOf } from "../core/physics/bands.ts";
import { dataFolder, logFile, makeFolder } from "../folder.ts";
import { newerLog } from "../open-log.ts";
import { readChunks } from "../recording/files.ts";
import { type RecordedRow, readRecording } from "../recording/recording.ts";
import { REPLAY_COLUMNS, replay } from "../recording/replay.ts";
import type { Cell } from "../season/columns.ts";
import { openDatabase } from "../season/connection.ts";
import { AlreadyImported, type ImportedRow, importRows } from "../season/import.ts";
import { FileInUse, takeLock } from "../season/lock.ts";
import { NewerSchema, SCHEMA_VERSION } from "../season/schema.ts";
import { programVersion } from "../version.ts";
import { writeFigures } from "./figures.ts";
import { COMMAND_LINE, configFrom, programFrom } from "./flags.ts";
import { dateFrom, type SeasonFlags, withSeasonFlags } from "./season-file.ts";

type Flags = SeasonFlags & { readonly at?: string; readonly model?: string; readonly name?: string };

const EXAMPLE = `
The recording has the columns that \`replay\` reads. Times above 1e9 are Unix seconds; others count from --at. The daemon must be stopped.
Real and simulated seasons are two files: name the config, or say --simulated.

Example:
  emberwire import evening.csv --config emberwire.toml --at 2026-10-03T19:00Z --name "evening without a fan"`;

const UNIX_FROM = 1e9;
const STAGES = ["full", "reduced", "inhibited"];
/** Power from which the transmitter counts as keyed, as in a replay. */
const KEYED_WATTS = 5;

/** Adds `import` to the program. */
export function register(program: Command): void {
  withSeasonFlags(program.command("import").description("a CSV recording into the season log"))
    .argument("<recording>", "CSV file (RFC 4180) with a header row")
    .option("--at <date>", "date of the recording's second 0")
    .option("--model <file>", "model of a heat run, instead of the config's")
    .option("--name <name>", "what to call it; without it the file's name")
    .addHelpText("after", EXAMPLE)
    .action((recording: string, flags: Flags, command: Command) => run(recording, flags, command));
}

function run(recording: string, flags: Flags, command: Command): void {
  if (flags.config === undefined && flags.simulated !== true) {
    throw wrong({
      what: "--config",
      where: COMMAND_LINE,
      expected: "a config, or --simulated for made-up data",
      got: "neither",
    });
  }
  const at = flags.at === undefined ? null : dateFrom(flags.at, "--at");
  const read = configFrom(flags.config);
  const program = programFrom(read, flags.model);
  const simulated = flags.simulated === true;
  const folder = dataFolder(flags.data ?? read.config.log.folder);
  const file = logFile(folder, simulated);
  const hash = createHash("sha256").update(String(at));
  for (const chunk of readChunks(recording, "recording")) hash.update(chunk);
  const name = flags.name ?? recording;
  const identity = {
    key: `import ${hash.digest("hex").slice(0, 32)}`,
    bootId: "recording",
    version: programVersion(),
    simulated,
    name,
    model: JSON.stringify(program.model),
  };
  let taken: RecordedRow | null = null;
  const rows = function* (): Generator<RecordedRow> {
    for (const row of readRecording(readChunks(recording, "recording"), recording)) {
      taken = row;
      yield row;
    }
  };
  const imported = function* (): Generator<ImportedRow> {
    // The replay answers each row it takes with one line, its header apart.
    for (const line of replay(program, rows())) {
      if (taken !== null) yield importedRow(taken, line, at, recording);
    }
  };
  makeFolder(folder);
  const filed = withLog(file, (database) => {
    try {
      return importRows(database, identity, imported(), (hertz) => bandOf(hertz)?.name ?? null);
    } catch (error) {
      if (!(error instanceof AlreadyImported)) throw error;
      throw wrong({ what: "recording", where: file, expected: "one that is not in the log", got: error.message });
    }
  });
  writeFigures(command, [
    ["Imported", name],
    ["Seconds", String(filed)],
    ["Into", file],
  ]);
}

function importedRow(row: RecordedRow, line: string, at: number | null, file: string): ImportedRow {
  const unix = row.time_seconds >= UNIX_FROM;
  if (!unix && at === null) {
    const expected = "--at, since the recording's times are no dates";
    throw wrong({ what: "--at", where: `${file}:${row.line}`, expected, got: "none" });
  }
  const believed = Object.fromEntries(
    line
      .trimEnd()
      .split(",")
      .map((text, index) => [REPLAY_COLUMNS[index], text]),
  );
  const number = (name: (typeof REPLAY_COLUMNS)[number]): Cell => {
    const text = believed[name];
    return text === undefined || text === "" ? null : Number(text);
  };
  const keyed = row.drive_watts == null ? null : Number(row.drive_watts >= KEYED_WATTS);
  return {
    dateSeconds: unix ? row.time_seconds : (at ?? 0) + row.time_seconds,
    cells: {
      inlet_celsius: row.inlet_celsius ?? null,
      outlet_celsius: row.outlet_celsius ?? null,
      wall_celsius: row.wall_celsius ?? null,
      ambient_celsius: row.ambient_celsius ?? null,
      probe_celsius: row.spot_core_celsius ?? null,
      humidity_ratio: row.humidity_ratio ?? null,
      fan_rpm: row.fan_rpm ?? null,
      drive_watts: row.drive_watts ?? null,
      frequency_hertz: row.frequency_hertz ?? null,
      transmitting: keyed,
      core_celsius: number("core_celsius"),
      core_uncertainty_kelvin: number("core_uncertainty_kelvin"),
      core_upper_celsius: number("core_upper_celsius"),
      loss_watts: number("loss_watts"),
      airflow_cubic_meters_per_second: number("airflow_cubic_meters_per_second"),
      flow_factor: number("flow_factor"),
      headroom_seconds: number("headroom_seconds"),
      sustainable_watts: number("sustainable_watts"),
      power_stage: Math.max(0, STAGES.indexOf(believed["power_stage"] ?? "full")),
    },
  };
}

function withLog<Result>(file: string, work: (database: Database) => Result): Result {
  let lock: Database;
  try {
    lock = takeLock(file);
  } catch (error) {
    if (!(error instanceof FileInUse)) throw error;
    const expected = "a log that no daemon has open: stop it first";
    throw wrong({ what: "season log", where: file, expected, got: "one in use" });
  }
  try {
    const database = openedLog(file);
    try {
      return work(database);
    } finally {
      database.close();
    }
  } finally {
    lock.close();
  }
}

function openedLog(file: string): Database {
  try {
    return openDatabase(file);
  } catch (error) {
    if (!(error instanceof NewerSchema)) throw error;
    throw wrong(newerLog("season log", file, error.version, SCHEMA_VERSION));
  }
}

const wrong = (problem: Problem): RequestError => new RequestError([problem]);
