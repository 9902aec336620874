// `emberwire run`: the daemon, until it is told to stop. It reads flags, starts the feedpoint and waits for a signal.

import { fileURLToPath } from "node:url";
import type { Command } from "commander";
import { systemClock, withDeadline } from "../../hardware/clock.ts";
import type { Clock } from "../../hardware/ports.ts";
import type { ReadConfig } from "../config/parse.ts";
import { RequestError } from "../config/problem.ts";
import { programOf } from "../config/program.ts";
import { quantity } from "../config/quantity.ts";
import { type Opened, startFeedpoint } from "../feedpoint.ts";
import { COMMAND_LINE, configFrom, listenFrom } from "./flags.ts";
import { runModel } from "./run-model.ts";

type Flags = {
  readonly config?: string;
  readonly model?: string;
  readonly simulated?: true;
  readonly speed?: string;
  readonly listen?: string;
  readonly data?: string;
  readonly overview?: true;
  readonly printConfigSchema?: true;
  readonly printTopics?: true;
};

const EXAMPLE = `
Examples:
  emberwire run                                      the simulated feedpoint on http://127.0.0.1:8373/
  emberwire run --simulated --speed 10               the same, ten times as fast
  emberwire run --config /etc/emberwire/emberwire.toml
  emberwire run --overview --config /etc/emberwire/overview.toml`;

/** Stopping waits this long for the disk and the hardware, then ends anyway. */
const STOP_SECONDS = 8;

/** The built page beside the compiled program. */
const PAGES = fileURLToPath(new URL("../../web", import.meta.url));

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
    .option("--overview", "no feedpoint: one page of all that speak to the broker of the config's [overview]")
    .option("--print-topics", "print the MQTT topic tree with its JSON Schemas and end")
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
  if (flags.printTopics === true) {
    const { topicTree } = await import("../outputs/mqtt/topics.ts");
    command.configureOutput().writeOut?.(`${JSON.stringify(topicTree("emberwire"), null, 2)}\n`);
    return;
  }
  if (flags.overview === true) {
    await runOverview(flags, command);
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
    listen: listenFrom(flags.listen, read.config.listen),
    folder: flags.data,
    clock,
    serviceEntry: new URL("../service.js", import.meta.url),
    pages: PAGES,
    open: machineFor(simulated, read, speed, clock),
    environment: process.env,
  });
  for (const change of read.changes) say(`config: read as if ${change}; \`emberwire config upgrade\` writes it so`);
  for (const warning of running.warnings) say(warning);
  say(`${read.config.feedpoint.name}${simulated ? " (simulated)" : ""}: ${running.address}`);
  await untilToldToStop(running, clock);
}

/** One page of many feedpoints; it opens no hardware and no log. */
async function runOverview(flags: Flags, command: Command): Promise<void> {
  const other = (["model", "simulated", "speed", "data"] as const).find((name) => flags[name] !== undefined);
  if (other !== undefined) throw refusedFlag(`--${other}`, "--overview without it: that is no feedpoint", "both");
  if (flags.config === undefined) throw refusedFlag("--config", "a config with a table [overview]", "nothing");
  const { readOverviewFile } = await import("../config/parse.ts");
  const { startOverview } = await import("../overview.ts");
  const { ListenRefused } = await import("../outputs/listen.ts");
  const read = readOverviewFile(flags.config);
  const clock = await systemClock();
  const at = listenFrom(flags.listen, read.overview.listen);
  const say = (line: string): void => command.configureOutput().writeOut?.(`${line}\n`);
  const running = await startOverview({ read, listen: at, clock, pages: PAGES, say }).catch((error: unknown) => {
    if (error instanceof ListenRefused) throw refusedFlag("listen", error.expected, error.got);
    throw error;
  });
  for (const warning of running.warnings) say(warning);
  say(`Overview: ${running.address}`);
  await untilToldToStop(running, clock);
}

const refusedFlag = (what: string, expected: string, got: string): RequestError =>
  new RequestError([{ what, where: COMMAND_LINE, expected, got }]);

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
  const speed = quantity(text, "count", { what: "--speed", where: COMMAND_LINE, low: 1, high: 3600 });
  if (!simulated && speed !== 1) throw refusedFlag("--speed", "--simulated beside it", "a real feedpoint");
  return speed;
}

/** Ends on SIGTERM, SIGINT or an error nobody foresaw; the relay is released in every case. */
async function untilToldToStop(
  running: { stop(): Promise<void> },
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
