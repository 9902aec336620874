// `emberwire backup` and `emberwire restore`: a whole copy of the season log while the daemon runs, and back. A copy is checked before
// it counts, and what is replaced is kept.

import { closeSync, copyFileSync, existsSync, fsyncSync, openSync, renameSync, rmSync } from "node:fs";
import { dirname } from "node:path";
import Database from "better-sqlite3";
import type { Command } from "commander";
import { RequestError } from "../config/problem.ts";
import { BadNews } from "../exit.ts";
import { makeFolder } from "../folder.ts";
import { keepsakeOf } from "../season/keepsake.ts";
import { FileInUse, takeLock } from "../season/lock.ts";
import { sourcesOf } from "../season/records.ts";
import { verifySeason } from "../season/verify.ts";
import { writeFigures } from "./figures.ts";
import { COMMAND_LINE } from "./flags.ts";
import { openSeason, type SeasonFlags, seasonFile, withSeasonFlags } from "./season-file.ts";

const BACKUP_EXAMPLE = `
The daemon may run meanwhile; the copy is one file, checked before it gets its name.

Example:
  sudo emberwire backup --config /etc/emberwire/emberwire.toml --out /media/stick/season.db`;

const RESTORE_EXAMPLE = `
Stop the daemon first. The log that was there stays beside as FILE.before-restore.

Example:
  sudo emberwire restore /media/stick/season.db --config /etc/emberwire/emberwire.toml`;

/** Adds `backup` and `restore` to the program. */
export function register(program: Command): void {
  withSeasonFlags(program.command("backup").description("copy the season log while the daemon runs"))
    .requiredOption("--out <file>", "file to write")
    .addHelpText("after", BACKUP_EXAMPLE)
    .action((flags: SeasonFlags & { out: string }, command: Command) => backup(flags, command));
}

/** Adds `restore` to the program. */
export function registerRestore(program: Command): void {
  withSeasonFlags(program.command("restore").description("put a backup in the season log's place"))
    .argument("<backup>", "file that `backup` wrote")
    .addHelpText("after", RESTORE_EXAMPLE)
    .action((file: string, flags: SeasonFlags, command: Command) => restore(file, flags, command));
}

async function backup(flags: SeasonFlags & { out: string }, command: Command): Promise<void> {
  const { file } = seasonFile(flags);
  const database = openSeason(file);
  const beside = `${flags.out}.${process.pid}.part`;
  try {
    await database.backup(beside);
    onefile(beside);
    const rows = checked(beside);
    force(beside);
    renameSync(beside, flags.out);
    writeFigures(command, [
      ["Backup", flags.out],
      ["Seconds", String(rows)],
    ]);
  } catch (error) {
    rmSync(beside, { force: true });
    if (error instanceof BadNews || error instanceof RequestError) throw error;
    const got = `${flags.out} (${error instanceof Error ? error.message : String(error)})`;
    throw new RequestError([{ what: "--out", where: COMMAND_LINE, expected: "a file that can be written", got }]);
  } finally {
    database.close();
  }
}

function restore(source: string, flags: SeasonFlags, command: Command): void {
  const { file, simulated } = seasonFile(flags);
  const copy = openSeason(source, "backup");
  const holds = sourcesOf(copy);
  copy.close();
  // An empty backup is neither and fits both.
  const real = !holds.simulated;
  if (simulated ? real && hasRows(source) : holds.simulated) {
    const expected = simulated ? "a backup of a simulated feedpoint" : "a backup of a real feedpoint";
    throw new RequestError([
      { what: "backup", where: source, expected, got: real ? "a real one's" : "a simulated one's" },
    ]);
  }
  const rows = checked(source);
  makeFolder(dirname(file));
  const lock = lockOf(file);
  const beside = `${file}.${process.pid}.part`;
  try {
    copyFileSync(source, beside);
    force(beside);
    const kept = `${file}.before-restore`;
    if (existsSync(file)) {
      onefile(file);
      renameSync(file, kept);
    }
    for (const beside of [`${file}-wal`, `${file}-shm`, keepsakeOf(file)]) rmSync(beside, { force: true });
    renameSync(beside, file);
    writeFigures(command, [
      ["Restored", file],
      ["Seconds", String(rows)],
      ["Before", existsSync(kept) ? kept : "no log"],
    ]);
  } catch (error) {
    rmSync(beside, { force: true });
    throw new BadNews([`${file}: not restored: ${error instanceof Error ? error.message : String(error)}`]);
  } finally {
    lock.close();
  }
}

function hasRows(file: string): boolean {
  const database = openSeason(file, "backup");
  try {
    return database.prepare<[], number>("SELECT EXISTS (SELECT 1 FROM run)").pluck().get() === 1;
  } finally {
    database.close();
  }
}

/** Seconds in a copy that is whole. @throws BadNews when it is not */
function checked(file: string): number {
  const database = openSeason(file, "backup");
  try {
    const { faults, rows } = verifySeason(database);
    if (faults.length > 0) throw new BadNews(faults.map((fault) => `${file}: ${fault}`));
    return rows;
  } finally {
    database.close();
  }
}

/** Nothing of it in a journal beside it. */
function onefile(file: string): void {
  const database = new Database(file);
  database.pragma("journal_mode = DELETE");
  database.close();
}

function force(file: string): void {
  const descriptor = openSync(file, "r+");
  fsyncSync(descriptor);
  closeSync(descriptor);
}

function lockOf(file: string): Database.Database {
  try {
    return takeLock(file);
  } catch (error) {
    if (!(error instanceof FileInUse)) throw error;
    const expected = "a log that no daemon has open: stop it first";
    throw new RequestError([{ what: "season log", where: file, expected, got: "one in use" }]);
  }
}
