// `emberwire replay`: a recording through the daemon's own step(), as fast as it can. It reads and writes files, nothing else.

import type { Command } from "commander";
import { inBatches, readChunks, refuseSameFile, writeWhole } from "../recording/files.ts";
import { readRecording } from "../recording/recording.ts";
import { replay } from "../recording/replay.ts";
import { configFrom, programFrom } from "./flags.ts";

type Flags = { readonly config?: string; readonly model?: string; readonly out: string };

const EXAMPLE = `
Reads  time_seconds,inlet_celsius,outlet_celsius,fan_rpm and, where known, drive_watts,frequency_hertz,
       wall_celsius,spot_core_celsius,ambient_celsius,humidity_ratio; an empty field is a missing reading.
Writes what the daemon would have believed and done, row by row.

Example:
  emberwire replay evening.csv --config emberwire.toml --out believed.csv`;

/** Adds `replay` to the program. */
export function register(program: Command): void {
  program
    .command("replay")
    .description("run a recording through the daemon's own code")
    .argument("<recording>", "CSV file (RFC 4180) with a header row, or - for standard input")
    .option("--config <file>", "TOML config; hardware tables are not needed")
    .option("--model <file>", "model of a heat run, instead of the config's")
    .requiredOption("--out <file>", "CSV file to write")
    .addHelpText("after", EXAMPLE)
    .action((recording: string, flags: Flags) => {
      const frozen = programFrom(configFrom(flags.config), flags.model);
      refuseSameFile(recording, flags.out, "--out");
      const rows = inBatches(readRecording(readChunks(recording, "recording"), recording));
      writeWhole(flags.out, "--out", replay(frozen, rows));
    });
}
