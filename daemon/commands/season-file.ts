// Which season log a command is about, which span of it, and how a trouble with the file is told. It reads no rows.

import { existsSync } from "node:fs";
import type Database from "better-sqlite3";
import type { Command } from "commander";
import { RequestError } from "../config/problem.ts";
import { BadNews } from "../exit.ts";
import { dataFolder, logFile } from "../folder.ts";
import { newerLog } from "../open-log.ts";
import { openReadOnly } from "../season/connection.ts";
import { SCHEMA_VERSION } from "../season/schema.ts";
import { COMMAND_LINE, configFrom } from "./flags.ts";

export type SeasonFlags = { readonly config?: string; readonly simulated?: true; readonly data?: string };

/** The flags by which every command of the season finds its log. */
export function withSeasonFlags(command: Command): Command {
  return command
    .option("--config <file>", "TOML config; without one the simulated feedpoint's season")
    .option("--simulated", "the simulated season of this config's folder")
    .option("--data <folder>", "where the log is kept, instead of the config's");
}

export type SeasonFile = { readonly file: string; readonly simulated: boolean; readonly name: string };

/** The log that the flags mean. @throws RequestError with every problem of the config */
export function seasonFile(flags: SeasonFlags): SeasonFile {
  const { config } = configFrom(flags.config);
  const simulated = flags.simulated === true || flags.config === undefined;
  const file = logFile(dataFolder(flags.data ?? config.log.folder), simulated);
  return { file, simulated, name: config.feedpoint.name };
}

/** What is opened where no flag names another file. */
const SEASON_LOG = "season log";

function isNoDatabase(error: unknown): boolean {
  return error instanceof Error && "code" in error && error.code === "SQLITE_NOTADB";
}

/**
 * Opens it for reading; the daemon may run.
 * @throws RequestError when there is none, it is no log, or of another schema; BadNews when it cannot be read
 */
export function openSeason(file: string, what = SEASON_LOG): Database.Database {
  if (!existsSync(file)) {
    throw new RequestError([
      { what, where: COMMAND_LINE, expected: "a log that the daemon has written", got: `no ${file}` },
    ]);
  }
  let database: Database.Database;
  try {
    database = openReadOnly(file);
    const version = database.pragma("user_version", { simple: true }) as number;
    if (version === SCHEMA_VERSION) return database;
    database.close();
    if (version > SCHEMA_VERSION) throw new RequestError([newerLog(what, file, version, SCHEMA_VERSION)]);
    const expected = `a log of schema ${SCHEMA_VERSION}; the daemon brings it forward when it starts`;
    throw new RequestError([{ what, where: file, expected, got: `schema ${version}` }]);
  } catch (error) {
    if (error instanceof RequestError) throw error;
    // A file that was asked for by name and is something else; the daemon's own log would be a damaged one.
    if (isNoDatabase(error) && what !== SEASON_LOG) {
      throw new RequestError([{ what, where: COMMAND_LINE, expected: "a season log or a backup of one", got: file }]);
    }
    throw new BadNews([`${file}: ${error instanceof Error ? error.message : String(error)}`]);
  }
}

const DATE = /^\d{4}-\d{2}-\d{2}(?:[T ]\d{2}:\d{2}(?::\d{2}(?:\.\d+)?)?(?:Z|[+-]\d{2}:\d{2})?)?$/;

/** `2026-11-01` and `2026-11-01T18:00` are local times of this machine, `…Z` and `…+02:00` say their own; a number is Unix seconds. */
export function dateFrom(text: string, flag: string): number {
  const seconds = /^\d+(?:\.\d+)?$/.test(text)
    ? Number(text)
    : DATE.test(text)
      ? new Date(text.includes("T") || text.includes(" ") ? text.replace(" ", "T") : `${text}T00:00`).getTime() / 1000
      : Number.NaN;
  if (Number.isFinite(seconds)) return seconds;
  const expected = "a date such as 2026-11-01 or 2026-11-01T18:00Z, or Unix seconds";
  throw new RequestError([{ what: flag, where: COMMAND_LINE, expected, got: JSON.stringify(text) }]);
}

/** Both ends; without `--from` all there is, without `--to` until now. */
export function spanFrom(
  flags: { readonly from?: string; readonly to?: string },
  nowSeconds: number,
): readonly [number, number] {
  const fromSeconds = flags.from === undefined ? 0 : dateFrom(flags.from, "--from");
  const toSeconds = flags.to === undefined ? nowSeconds : dateFrom(flags.to, "--to");
  if (fromSeconds < toSeconds) return [fromSeconds, toSeconds];
  throw new RequestError([
    { what: "--to", where: COMMAND_LINE, expected: "a date after --from", got: flags.to ?? "now" },
  ]);
}
