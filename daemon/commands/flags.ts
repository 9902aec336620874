// Flags that several commands share: their checks, and the config and model they lead to. It runs nothing.

import { modelOf } from "../config/model.ts";
import { readModelFile } from "../config/model-file.ts";
import { parseConfig, type ReadConfig, readConfigFile } from "../config/parse.ts";
import { RequestError } from "../config/problem.ts";
import { programOf } from "../config/program.ts";
import type { Model } from "../core/estimate/model.ts";
import type { Program } from "../core/step.ts";
import { DEMO_CONFIG, DEMO_NAME } from "../demo.ts";

export const COMMAND_LINE = "command line";

/** The operator's config, or the simulated feedpoint's where none is given. */
export function configFrom(file: string | undefined): ReadConfig {
  return file === undefined ? parseConfig(DEMO_CONFIG, DEMO_NAME) : readConfigFile(file);
}

/** Geometry and tables, or the model of a heat run: the flag's file before the config's. */
export function modelFrom(read: ReadConfig, file?: string | undefined): Model {
  const prior = modelOf(read);
  if (file !== undefined) return readModelFile(file, "--model", COMMAND_LINE, prior);
  const configured = read.config.model.file;
  if (configured === undefined) return prior;
  return readModelFile(configured, "model.file", read.placeOf(["model", "file"]), prior);
}

/** The program a config stands for, with its model or the flag's. */
export function programFrom(read: ReadConfig, file?: string | undefined): Program {
  return programOf(read, modelFrom(read, file));
}

/** `HOST:PORT`, `[::1]:PORT` or `:PORT`. */
export function listenFrom(
  text: string | undefined,
  { host, port }: { readonly host: string; readonly port: number },
): { readonly host: string; readonly port: number } {
  if (text === undefined) return { host, port };
  const match = /^(?:\[([0-9a-fA-F:.]+)\]|([^:[\]\s]*)):(\d{1,5})$/.exec(text);
  const given = Number(match?.[3] ?? Number.NaN);
  if (match === null || given > 65_535) {
    const expected = "HOST:PORT such as 127.0.0.1:8373, with a port from 0 to 65535";
    throw new RequestError([{ what: "--listen", where: COMMAND_LINE, expected, got: `"${text}"` }]);
  }
  return { host: match[1] ?? (match[2] || host), port: given };
}
