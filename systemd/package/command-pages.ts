// What the command line itself knows of its commands, as data for manual page and shell completion. Nothing is written twice.

import { Command, type Option } from "commander";
import { COMMANDS } from "../../daemon/commands/catalogue.ts";

/** One flag; `value` is what stands after it, as in `file`, or null. */
export type FlagPage = {
  readonly flags: string;
  readonly long: string;
  readonly value: string | null;
  readonly description: string;
};

/** One command; `words` are those that call it, as in `heat-run fit`. */
export type CommandPage = {
  readonly words: readonly string[];
  readonly usage: string;
  readonly description: string;
  readonly flags: readonly FlagPage[];
  /** As under `--help`; may be empty. */
  readonly examples: string;
};

/** All commands in the order of the catalogue, those inside a group one by one. */
export async function commandPages(): Promise<readonly CommandPage[]> {
  const program = new Command("emberwire");
  for (const load of Object.values(COMMANDS)) (await load()).register(program);
  return program.commands.flatMap((command) =>
    command.commands.length === 0
      ? [pageOf(command, [])]
      : command.commands.map((child) => pageOf(child, [command.name()])),
  );
}

function pageOf(command: Command, group: readonly string[]): CommandPage {
  return {
    words: [...group, command.name()],
    usage: command.usage(),
    description: command.description(),
    flags: command.options
      .filter(({ hidden }) => !hidden)
      .map((option) => ({
        flags: option.flags,
        long: option.long ?? option.flags,
        value: /[<[]([^>\]]+)[>\]]/.exec(option.flags)?.[1] ?? null,
        description: described(option),
      })),
    examples: examplesOf(command),
  };
}

/** As under `--help`, with what holds where the flag is left out. */
function described({ description, defaultValue }: Option): string {
  return typeof defaultValue === "string" ? `${description} (${defaultValue} unless given)` : description;
}

/** What the command prints after its help proper. */
function examplesOf(command: Command): string {
  let said = "";
  command.configureOutput({
    writeOut: (text) => {
      said += text;
    },
  });
  command.outputHelp();
  return said
    .slice(command.helpInformation().length)
    .replace(/^\s*Examples?:\n/, "")
    .trimEnd();
}
