// Which register of passwords and tokens a command is about, and changes to it. It seals nothing and prints nothing.

import { dirname } from "node:path";
import type { Command } from "commander";
import { type Register, readRegister, writeRegister } from "../access/register.ts";
import { RequestError } from "../config/problem.ts";
import { fileTrouble } from "../config/text-file.ts";
import { accessFiles, dataFolder, makeFolder } from "../folder.ts";
import { configFrom } from "./flags.ts";

export type AccessFlags = { readonly config?: string; readonly data?: string };

/** The flags by which a command finds the daemon's data folder. */
export function withAccessFlags(command: Command): Command {
  return command
    .option("--config <file>", "TOML config of the daemon; without one the simulated feedpoint's")
    .option("--data <folder>", "where the daemon keeps its data, instead of the config's");
}

/** The register's file and what stands in it. @throws RequestError when it cannot be read */
export function accessRegister(flags: AccessFlags): { readonly file: string; readonly known: Register } {
  const { config } = configFrom(flags.config);
  const { register: file } = accessFiles(dataFolder(flags.data ?? config.log.folder), false);
  return { file, known: read(file) };
}

/** Replaces what stands in it. @throws RequestError when it cannot be read or written */
export function changeRegister(file: string, change: (register: Register) => Register): void {
  makeFolder(dirname(file));
  const changed = change(read(file));
  try {
    writeRegister(file, changed);
  } catch (error) {
    throw refused(file, "a data folder that may be written (run it with sudo, or as the daemon's user)", error);
  }
}

function read(file: string): Register {
  try {
    return readRegister(file);
  } catch (error) {
    throw refused(file, "a register of passwords that can be read (run it with sudo, or as the daemon's user)", error);
  }
}

function refused(file: string, expected: string, error: unknown): RequestError {
  const coded = error instanceof Error && "code" in error;
  const got = coded ? fileTrouble(file, error) : error instanceof Error ? error.message : String(error);
  return new RequestError([{ what: "access", where: file, expected, got }]);
}
