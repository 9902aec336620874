// `emberwire season verify`: is the log whole? It reads everything and mends nothing.

import type { Command } from "commander";
import { BadNews } from "../exit.ts";
import { verifySeason } from "../season/verify.ts";
import { writeFigures, writeJson } from "./figures.ts";
import { openSeason, type SeasonFlags, seasonFile, withSeasonFlags } from "./season-file.ts";

const EXAMPLE = `
Reads every stretch of seconds, every rollup and the record, while the daemon may run. Exit status 1 when something is damaged.

Example:
  sudo emberwire season verify --config /etc/emberwire/emberwire.toml`;

/** Adds `season` to the program. */
export function register(program: Command): void {
  const season = program.command("season").description("look after the season log").addHelpText("after", EXAMPLE);
  withSeasonFlags(season.command("verify").description("check that the log is whole"))
    .option("--file <file>", "a log or a backup, instead of the config's")
    .option("--json", "print JSON")
    .addHelpText("after", EXAMPLE)
    .action((flags: SeasonFlags & { file?: string; json?: true }, command: Command) => verify(flags, command));
}

function verify(flags: SeasonFlags & { file?: string; json?: true }, command: Command): void {
  const file = flags.file ?? seasonFile(flags).file;
  const database = openSeason(file, flags.file === undefined ? "season log" : "--file");
  try {
    const { faults, rows, stretches, hours, entries } = verifySeason(database);
    if (flags.json === true) writeJson(command, { file, faults, rows, stretches, hours, entries });
    else {
      writeFigures(command, [
        ["File", file],
        ["Seconds", `${rows} in ${stretches} packed stretches`],
        ["Hours with rollups", String(hours)],
        ["Lines of the record", String(entries)],
        ["Faults", faults.length === 0 ? "none" : String(faults.length)],
      ]);
    }
    if (faults.length > 0) throw new BadNews(faults.map((fault) => `${file}: ${fault}`));
  } finally {
    database.close();
  }
}
