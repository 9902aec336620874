// `emberwire proof-test`: leads the operator through the proof test of the running daemon's permit lines.
// It opens no hardware: the daemon releases, reads back, restores and writes the date; a person says what the transmitter did.

import { createInterface } from "node:readline";
import type { Readable } from "node:stream";
import type { Command } from "commander";
import type { Action, Answer } from "../core/commands.ts";
import { BadNews } from "../exit.ts";
import { detailOf } from "../wire/http-problem.ts";
import { type DaemonLine, daemonLine } from "./daemon-line.ts";
import { configFrom, listenFrom } from "./flags.ts";

type Flags = { readonly config?: string; readonly listen?: string; readonly simulated?: true; readonly data?: string };
type Step = Extract<Action, { readonly kind: "proof test" }>["step"];

const EXAMPLE = `
Example:
  sudo emberwire proof-test --config /etc/emberwire/emberwire.toml

Stand at the transmitter, into a dummy load. Keying it is your part; keep everybody away from the wire.`;

/** The daemon answers within a cycle; it waits 5 s for one itself. */
const ANSWER_SECONDS = 10;

/** What is asked at each step, and what a yes tells the daemon. */
const QUESTIONS: readonly { readonly question: string; readonly step: Step }[] = [
  {
    question: "Both lines are released. Key the transmitter: does it refuse to make power? (yes/no) ",
    step: "confirm released",
  },
  {
    question: "Both lines are permitted again. Key the transmitter: does it make power? (yes/no) ",
    step: "confirm permitted",
  },
];

/** Adds `proof-test` to the program. */
export function register(program: Command): void {
  program
    .command("proof-test")
    .description("exercise the permit lines of the running daemon with your confirmation, and record the date")
    .option("--config <file>", "TOML config of the running daemon; without one the simulated feedpoint")
    .option("--listen <host:port>", "where the running daemon listens, instead of the config's")
    .option("--simulated", "the running daemon simulates this config's feedpoint")
    .option("--data <folder>", "where the running daemon keeps its data, instead of the config's")
    .addHelpText("after", EXAMPLE)
    .action((flags: Flags, command: Command) => proofTest(flags, command, process.stdin));
}

async function proofTest(flags: Flags, command: Command, input: Readable): Promise<void> {
  const read = configFrom(flags.config);
  const daemon = daemonLine({
    read,
    ...listenFrom(flags.listen, read.config.listen),
    simulated: flags.simulated === true || flags.config === undefined,
    folder: flags.data,
    deadlineSeconds: ANSWER_SECONDS,
  });
  const say = (text: string): void => command.configureOutput().writeOut?.(text);
  const lines = createInterface({ input });
  const answers = lines[Symbol.asyncIterator]();
  try {
    await ask(daemon, "begin");
    for (const { question, step } of QUESTIONS) {
      say(question);
      if (!isYes(await answers.next())) {
        await ask(daemon, "abandon");
        throw new BadNews(["the proof test was abandoned: the answer was not yes. Find out why before you transmit."]);
      }
      await ask(daemon, step);
    }
    say("The proof test is passed and its date is recorded.\n");
  } finally {
    lines.close();
  }
}

/** `yes` or `y`; the end of the input is a no. */
function isYes(line: IteratorResult<string, unknown>): boolean {
  return line.done !== true && /^y(es)?$/i.test(line.value.trim());
}

async function ask(daemon: DaemonLine, step: Step): Promise<void> {
  const action: Action = { kind: "proof test", step };
  const { status, answer } = await daemon.post("/api/v1/commands", { action });
  const said = answer as Partial<Answer>;
  if (status === 200 && said.accepted === true) return;
  throw new BadNews([`proof test, ${step}: ${said.text ?? detailOf(answer) ?? status}`]);
}
