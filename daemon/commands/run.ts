// `emberwire run`: the daemon, until it is told to stop. It reads flags, starts the feedpoint and waits for a signal.

import { fileURLToPath } from "node:url";
import type { Command } from "commander";
import { systemClock, withDeadline } from "../../hardware/clock.ts";
import type { Clock } from "../../hardware/ports.ts";
import type { ReadConfig } from "../config/parse.ts";
import { programOf } from "../config/program.ts";
import { quantity } from "../config/quantity.ts";
import { type Opened, type RunningFeedpoint, startFeedpoint } from "../feedpoint.ts";
import { COMMAND_LINE, configFrom, listenFrom } from "./flags.ts";
import { runModel } from "./run-model.ts";

type Flags = {
  readonly config?: string;
  readonly model?: string;
  readonly simulated?: true;
  readonly speed?: string;
  readonly listen?: string;
  readonly data?: string;
  readonly printConfigSchema?: true;
};

const EXAMPLE = `
Examples:
  emberwire run                                      the simulated feedpoint on http://127.0.0.1:8373/
  emberwire run --simulated --speed 10               the same, ten times as fast
  emberwire run --config /etc/emberwire/emberwire.toml`;

/** Stopping waits this long for the disk and the hardware, then ends anyway. */
const STOP_SECONDS = 8;

/** Adds `run` to the program. */
export function register(program: Command): void {
  program
    .command("run")
    .description("run the daemon: read, estimate, protect, show, log")
    .option("--config <file>", "TOML config; without one the simulated feedpoint runs")
    .option("--model <file>", "model of a heat run, instead of the config's")
    .option("--simulated", "run the config's feedpoint on simulated hardware")
    .option("--speed <factor>", "simulated seconds per second, 1 to 3600")
    .option("--listen <host:port>", "address of the page, instead of the config's")
    .option("--data <folder>", "where the log is kept, instead of the config's")
    .option("--print-config-schema", "print the config's JSON Schema and end")
    .addHelpText("after", EXAMPLE)
    .action((flags: Flags, command: Command) => run(flags, command));
}

async function run(flags: Flags, command: Command): Promise<void> {
  if (flags.printConfigSchema === true) {
    const { configJsonSchema } = await import("../config/schema/config.ts");
    command.configureOutput().writeOut?.(`${JSON.stringify(configJsonSchema(), null, 2)}\n`);
    return;
  }
  const read = configFrom(flags.config);
  const simulated = flags.simulated === true || flags.config === undefined;
  const speed = speedFrom(flags.speed, simulated);
  const clock = await systemClock();
  const say = (line: string): void => command.configureOutput().writeOut?.(`${line}\n`);
  const running = await startFeedpoint({
    read,
    program: programOf(read, runModel(read, flags, simulated)),
    simulated,
    speed,
    listen: listenFrom(flags.listen, read),
    folder: flags.data,
    clock,
    serviceEntry: new URL("../service.js", import.meta.url),
    pages: fileURLToPath(new URL("../../web", import.meta.url)),
    open: machineFor(simulated, read, speed, clock),
    environment: process.env,
  });
  for (const change of read.changes) say(`config: read as if ${change}; \`emberwire config upgrade\` writes it so`);
  for (const warning of running.warnings) say(warning);
  say(`${read.config.feedpoint.name}${simulated ? " (simulated)" : ""}: ${running.address}`);
  await untilToldToStop(running, clock);
}

/** Loads the machine's modules while the service thread starts; it is opened only when that thread holds port and log. */
function machineFor(simulated: boolean, read: ReadConfig, speed: number, clock: Clock): () => Promise<Opened> {
  if (simulated) {
    const loading = import("../open-simulated.ts");
    return async () => (await loading).openSimulated(read, speed, clock);
  }
  const loading = import("../open-real.ts");
  return async () => (await loading).openReal(read);
}

function speedFrom(text: string | undefined, simulated: boolean): number {
  if (text === undefined) return 1;
  const place = { what: "--speed", where: COMMAND_LINE, low: 1, high: simulated ? 3600 : 1 };
  return quantity(text, "count", place);
}

/** Ends on SIGTERM, SIGINT or an error nobody foresaw; the relay is released in every case. */
async function untilToldToStop(
  running: RunningFeedpoint,
  clock: Awaited<ReturnType<typeof systemClock>>,
): Promise<void> {
  const error = await new Promise<unknown>((resolve) => {
    for (const signal of ["SIGTERM", "SIGINT"] as const) process.once(signal, () => resolve(null));
    process.once("uncaughtException", resolve);
    process.once("unhandledRejection", resolve);
  });
  await withDeadline(clock, STOP_SECONDS, "stop", running.stop());
  if (error !== null) throw error;
}
