// `emberwire release`: releases both relay lines whatever held them, for the unit's ExecStopPost and for an operator's hand.
// It starts nothing and leaves nothing behind.

import type { Command } from "commander";
import { BadNews } from "../exit.ts";
import { configFrom } from "./flags.ts";

type Flags = { readonly config: string };

const EXAMPLE = `
Example:
  sudo emberwire release --config /etc/emberwire/emberwire.toml`;

/** Adds `release` to the program. */
export function register(program: Command): void {
  program
    .command("release")
    .description("release both relay lines (no power is permitted)")
    .requiredOption("--config <file>", "TOML config that names the relay's lines")
    .addHelpText("after", EXAMPLE)
    .action(release);
}

async function release(flags: Flags, command: Command): Promise<void> {
  const say = (line: string): void => command.configureOutput().writeOut?.(`${line}\n`);
  const { hardwareSpec } = await import("../config/hardware-spec.ts");
  const read = configFrom(flags.config);
  const { relay } = hardwareSpec(read);
  if (relay === null) {
    say("no relay is configured: there is nothing to release");
    return;
  }
  const { realBoard } = await import("../../hardware/board.ts");
  const { releaseLines } = await import("../../hardware/relay.ts");
  const board = await realBoard({ gpio: read.config.gpio.interface ?? null });
  try {
    const lines = await releaseLines(relay, board);
    const failed = lines.flatMap(({ line, error }) => (error === null ? [] : [`${line}: ${error.message}`]));
    if (failed.length > 0) throw new BadNews(failed);
    say("both relay lines are released");
  } finally {
    await board.close();
  }
}
