#!/usr/bin/env node
// The command line: finds the command that was asked for, runs it, and turns its outcome into an exit status.
// Nobody imports it, and it does nothing itself.

import { Command } from "commander";
import { COMMANDS } from "./commands/catalogue.ts";
import { verdictOn } from "./exit.ts";
import { programVersion } from "./version.ts";

async function main(words: readonly string[]): Promise<void> {
  const program = new Command("emberwire")
    .description("Watches the ferrite transformer at the feedpoint of an end-fed wire, warns, and takes the power off.")
    .version(programVersion())
    .exitOverride()
    .configureOutput({ outputError: (text, write) => write(oneLine(text)) })
    .addHelpText("after", "\nEvery command has --help with an example.");
  const asked = COMMANDS[words[0] ?? ""];
  const loaders = asked === undefined ? Object.values(COMMANDS) : [asked];
  for (const load of loaders) (await load()).register(program);
  await program.parseAsync(words, { from: "user" });
}

/** A refused flag is one line: what, where, and what may have been meant. */
function oneLine(text: string): string {
  const said = text
    .replace(/^error: /, "")
    .trim()
    .replace(/\s*\n\s*/g, " ");
  return `emberwire: command line: ${said}\n`;
}

// A reader that went away (`emberwire … | head`) is no error.
process.stdout.on("error", (error: NodeJS.ErrnoException) => {
  if (error.code !== "EPIPE") throw error;
  process.exit(0);
});

try {
  await main(process.argv.slice(2));
} catch (error) {
  const { status, lines } = verdictOn(error);
  for (const line of lines) process.stderr.write(`${line}\n`);
  process.exitCode = status;
}
