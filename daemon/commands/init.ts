// `emberwire init`: finds what hangs on the board, asks what it cannot find, and writes a commented config. It permits no power and
// never writes half a file, nor over one without being told.

import { accessSync, constants, existsSync } from "node:fs";
import { dirname, resolve } from "node:path";
import type { Command } from "commander";
import { systemClock } from "../../hardware/clock.ts";
import type { Board } from "../../hardware/ports.ts";
import { writeConfigFile } from "../config/config-file.ts";
import { hardwareSpec } from "../config/hardware-spec.ts";
import { parseConfig } from "../config/parse.ts";
import { RequestError } from "../config/problem.ts";
import { DEMO_CONFIG, DEMO_NAME } from "../demo.ts";
import { BadNews } from "../exit.ts";
import { dataFolder, logFile, SYSTEM_FOLDER } from "../folder.ts";
import { askForConfig } from "../setup/dialogue.ts";
import { yes } from "../setup/lines.ts";
import { atTerminal, fromAnswers, type Person } from "../setup/person.ts";
import type { Hand } from "../setup/places.ts";
import { refuseBesideDaemon } from "./beside-daemon.ts";
import { COMMAND_LINE, programFrom } from "./flags.ts";

type Flags = {
  readonly config?: string;
  readonly simulated?: true;
  readonly answers?: string;
  readonly replace?: true;
};

const SYSTEM_CONFIG = "/etc/emberwire/emberwire.toml";
const HERE = "emberwire.toml";
/** What a config that is replaced is kept as. */
const TAIL = "before-init";

const EXAMPLE = `
A file of answers is TOML with one key for each question, e.g. inlet = "i2c-1 0x48", mix = "43", toroids = 3; without one the questions
are asked. With --simulated a simulated finger warms simulated sensors.

Examples:
  sudo emberwire init
  emberwire init --simulated --config ./try.toml
  sudo emberwire init --answers station.toml --config ${SYSTEM_CONFIG}`;

/** Adds `init` to the program. */
export function register(program: Command): void {
  program
    .command("init")
    .description("look at the buses, ask the rest, write a commented config")
    .option("--config <file>", `file to write; without it ${SYSTEM_CONFIG} where that may be written, else ./${HERE}`)
    .option("--simulated", "on a simulated board, to try it")
    .option("--answers <file>", "TOML file with the answers: nothing is asked")
    .option("--replace", "replace a config that is there; it is kept beside")
    .addHelpText("after", EXAMPLE)
    .action(init);
}

async function init(flags: Flags, command: Command): Promise<void> {
  const say = (text: string): void => command.configureOutput().writeOut?.(text);
  const file = resolve(flags.config ?? usualFile());
  const { stdin: input, stdout: output } = process;
  const leave = (): void => void process.kill(process.pid, "SIGINT");
  const person = flags.answers === undefined ? atTerminal({ input, output, say, leave }) : fromAnswers(flags.answers);
  try {
    await mayWrite(file, flags, person);
    say(`Emberwire asks what it cannot find and then writes ${file}.\n`);
    const { board, hand } = await boardFor(flags);
    // Other commands find the daemon's data by the config, wherever they are run.
    const folder = isSystems(file) ? SYSTEM_FOLDER : null;
    const text = await askForConfig({ board, person, hand, say, folder }).finally(() => board.close());
    const read = parseConfig(text, file);
    hardwareSpec(read);
    programFrom(read);
    const kept = writeConfigFile(file, text, TAIL);
    say(`\nWritten: ${file}\n${kept === null ? "" : `Before:  ${kept}\n`}${next(file, flags)}`);
  } finally {
    person.close();
  }
}

const isSystems = (file: string): boolean => dirname(file) === dirname(SYSTEM_CONFIG);

function usualFile(): string {
  try {
    accessSync(dirname(SYSTEM_CONFIG), constants.W_OK);
    return SYSTEM_CONFIG;
  } catch {
    return HERE;
  }
}

/** Before anything is asked: nobody answers twenty questions for a file that is then refused. */
async function mayWrite(file: string, { replace }: Flags, person: Person): Promise<void> {
  if (existsSync(file) && replace !== true) {
    const problem = {
      what: "--config",
      where: COMMAND_LINE,
      expected: "a new file, or --replace",
      got: `${file}, which is there`,
    };
    if (!person.present) throw new RequestError([problem]);
    const question = `${file} is there. Replace it? It is kept as ${file}.${TAIL}`;
    if (!(await yes(person, "replace", question, "no"))) throw new BadNews(["nothing was written"]);
  }
  try {
    accessSync(dirname(file), constants.W_OK);
  } catch {
    const got = `${dirname(file)}, which cannot be written; run it with sudo, or name another file`;
    throw new RequestError([
      { what: "--config", where: COMMAND_LINE, expected: "a file in a folder that can be written", got },
    ]);
  }
}

async function boardFor({ simulated }: Flags): Promise<{ readonly board: Board; readonly hand: Hand }> {
  if (simulated === true) return simulatedBoard();
  await refuseBesideDaemon(logFile(dataFolder(undefined), false));
  const { realBoard } = await import("../../hardware/board.ts");
  // Words tell a person what to do with their hands; nothing is to be done here.
  return { board: await realBoard(), hand: { hold: () => () => undefined } };
}

/** The warmth of a simulated finger, K/h: four kelvin a second, and nobody has to wait long for it. */
const FINGER_KELVIN_PER_HOUR = 14_400;

async function simulatedBoard(): Promise<{ readonly board: Board; readonly hand: Hand }> {
  const { simulatedBoardOf } = await import("../open-simulated.ts");
  const board = simulatedBoardOf(parseConfig(DEMO_CONFIG, DEMO_NAME), 1, await systemClock());
  return {
    board,
    hand: {
      hold: (role) => {
        const startSeconds = board.elapsedSeconds();
        const warmth = { kelvin: 0, kelvinPerHour: FINGER_KELVIN_PER_HOUR, startSeconds, endSeconds: null };
        return board.faults.add({ kind: "chip offset", part: role, ...warmth });
      },
    },
  };
}

function next(file: string, { simulated }: Flags): string {
  const [sudo, on] = simulated === true ? ["", " --simulated"] : ["sudo ", ""];
  const start = file === SYSTEM_CONFIG && simulated !== true ? "sudo systemctl enable --now emberwire" : null;
  return `
Next, with the transmitter still off:
  ${sudo}emberwire check --config ${file}${on}
Then start the daemon:
  ${start ?? `emberwire run --config ${file}${on}`}
Before the page is shown to a network:
  ${sudo}emberwire set-password --config ${file}
Before the first transmission into the antenna, with the daemon running and a dummy load:
  ${sudo}emberwire proof-test --config ${file}${on}
`;
}
