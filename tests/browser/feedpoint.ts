// Real daemons for the browser: the compiled program as a process of its own that can be killed, and the same parts in this
// process with the simulated board at hand, so that faults can be scripted while a page looks on.

import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { createInterface } from "node:readline";
import { pathToFileURL } from "node:url";
import { configFrom, programFrom } from "../../daemon/commands/flags.ts";
import { startFeedpoint } from "../../daemon/feedpoint.ts";
import { type OpenedSimulated, openSimulated } from "../../daemon/open-simulated.ts";
import { systemClock } from "../../hardware/clock.ts";
import type { SimulatedBoard } from "../../hardware/simulated/board.ts";

/** Both kinds are run from the root of the checkout, after a build. */
const built = (path: string): string => resolve("dist", path);

export type DaemonProcess = {
  /** With the slash at its end. */
  readonly address: string;
  /** As a power cut would: no goodbye. */
  kill(): Promise<void>;
  /** As an operator does. */
  stop(): Promise<void>;
};

async function ended(child: ChildProcess): Promise<void> {
  if (child.exitCode === null && child.signalCode === null) await once(child, "exit");
}

/** The compiled daemon, `speed` times real time, on `port` (0 = any), logging to `folder`; with the demo's config or a file's. */
export async function startProcess(
  folder: string,
  speed: number,
  port: number,
  config?: string,
): Promise<DaemonProcess> {
  const flags = ["run", "--simulated", "--speed", `${speed}`, "--listen", `127.0.0.1:${port}`, "--data", folder];
  if (config !== undefined) flags.push("--config", config);
  const child = spawn(process.execPath, [built("daemon/main.js"), ...flags], { stdio: ["ignore", "pipe", "pipe"] });
  const said: string[] = [];
  child.stderr.on("data", (text: Buffer) => said.push(text.toString()));
  for await (const line of createInterface({ input: child.stdout })) {
    said.push(line);
    const address = /https?:\/\/127\.0\.0\.1:\d+\//.exec(line)?.[0];
    if (address === undefined) continue;
    child.stdout.resume();
    return {
      address,
      kill: async () => {
        child.kill("SIGKILL");
        await ended(child);
      },
      stop: async () => {
        child.kill("SIGTERM");
        await ended(child);
      },
    };
  }
  await ended(child);
  throw new Error(`the daemon did not start:\n${said.join("\n")}`);
}

export type ScriptedFeedpoint = {
  readonly address: string;
  readonly board: SimulatedBoard;
  /** What the operator does from now on: a carrier of so many watts on 80 m, 0 = listens, null = an evening of their own. */
  operate(driveWatts: number | null): void;
  stop(): Promise<void>;
};

function seen(opened: OpenedSimulated | null): OpenedSimulated {
  if (opened === null) throw new Error("the feedpoint started without opening its board");
  return opened;
}

/**
 * The daemon's own parts in this process on `port` (0 = any) with the page in `pages` and the demo's config or a file's;
 * `board.faults` takes whatever shall go wrong.
 */
export async function startScripted(
  folder: string,
  speed: number,
  port = 0,
  pages = built("web"),
  config?: string,
): Promise<ScriptedFeedpoint> {
  const read = configFrom(config);
  const clock = await systemClock();
  let opened: OpenedSimulated | null = null;
  const running = await startFeedpoint({
    read,
    program: programFrom(read),
    simulated: true,
    speed,
    listen: { host: "127.0.0.1", port },
    folder,
    clock,
    serviceEntry: pathToFileURL(built("daemon/service.js")),
    pages,
    open: async () => {
      opened = await openSimulated(read, speed, clock);
      return opened;
    },
    environment: {},
  });
  const { board, rehearse } = seen(opened);
  return {
    address: running.address,
    board,
    operate: (watts) => rehearse?.({ watts, fanTurns: true }),
    stop: () => running.stop(),
  };
}

/** A folder of its own for one daemon's log, and its removal. */
export async function scratchFolder(): Promise<{ readonly path: string; remove(): Promise<void> }> {
  const path = await mkdtemp(join(tmpdir(), "emberwire-browser-"));
  return { path, remove: () => rm(path, { recursive: true, force: true }) };
}
