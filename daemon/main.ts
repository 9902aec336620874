#!/usr/bin/env node
// The command line: finds the command that was asked for, runs it, and turns its outcome into an exit status.
// Nobody imports it, and it does nothing itself.

import { Command } from "commander";
import { verdictOn } from "./exit.ts";
import { programVersion } from "./version.ts";

type Register = (program: Command) => void;

/** Every command with its module; only the one that is asked for is loaded, so that the daemon starts quickly and small. */
const COMMANDS: Readonly<Record<string, () => Promise<{ readonly register: Register }>>> = {
  run: () => import("./commands/run.ts"),
  check: () => import("./commands/check.ts"),
  replay: () => import("./commands/replay.ts"),
  loss: () => import("./commands/loss.ts"),
  airflow: () => import("./commands/airflow.ts"),
  "wire-drop": () => import("./commands/wire-drop.ts"),
  rating: () => import("./commands/rating.ts"),
  forecast: () => import("./commands/forecast.ts"),
  release: () => import("./commands/release.ts"),
};

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
