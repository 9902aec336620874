// `emberwire config upgrade`: writes a config of an older version in today's words, the old one kept beside it. The daemon only
// reads an older one as today's; the file belongs to the operator.

import type { Command } from "commander";
import { writeConfigFile } from "../config/config-file.ts";
import { formOf, parseConfig, readConfigText } from "../config/parse.ts";
import { CONFIG_VERSION, withVersion } from "../config/version.ts";
import { writeOut } from "./figures.ts";

const EXAMPLE = `
Comments and order stay. The file as it was stays beside as FILE.version-N.

Example:
  sudo emberwire config upgrade --config /etc/emberwire/emberwire.toml`;

/** Adds `config` to the program. */
export function register(program: Command): void {
  const config = program.command("config").description("look after the config's file").addHelpText("after", EXAMPLE);
  config
    .command("upgrade")
    .description("write a config of an older version in today's words, the old one kept")
    .requiredOption("--config <file>", "TOML config")
    .addHelpText("after", EXAMPLE)
    .action(({ config: file }: { readonly config: string }, command: Command) => upgrade(file, command));
}

function upgrade(file: string, command: Command): void {
  const { text, from, changes } = formOf(readConfigText(file), file);
  if (from === CONFIG_VERSION) {
    parseConfig(text, file);
    writeOut(command, `${file} is of version ${from}, the newest: there is nothing to do.`);
    return;
  }
  const upgraded = withVersion(text, CONFIG_VERSION);
  parseConfig(upgraded, file);
  const kept = writeConfigFile(file, upgraded, `version-${from}`);
  const lines = changes.map((change) => `  ${change}`);
  writeOut(command, [`${file}: version ${from} → ${CONFIG_VERSION}`, ...lines, `Before: ${kept}`].join("\n"));
}
