// The compiled daemon on the simulated feedpoint as a process of its own, for the benches: started, watched, stopped.

import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { createInterface } from "node:readline";

export type Started = {
  readonly child: ChildProcess;
  readonly address: string;
  stop(): Promise<void>;
};

/** Starts `emberwire run` with these words and waits until it says its address. */
export async function startDaemon(...words: string[]): Promise<Started> {
  const folder = mkdtempSync(join(tmpdir(), "emberwire-bench-"));
  const flags = ["run", "--data", folder, "--listen", "127.0.0.1:0", ...words];
  const child = spawn(process.execPath, [resolve("dist/daemon/main.js"), ...flags], {
    stdio: ["ignore", "pipe", "inherit"],
  });
  const stop = async (): Promise<void> => {
    child.kill("SIGTERM");
    if (child.exitCode === null) await once(child, "exit");
    rmSync(folder, { recursive: true, force: true });
  };
  for await (const line of createInterface({ input: child.stdout! })) {
    const address = /http:\/\/\S+\//.exec(line)?.[0];
    if (address === undefined) continue;
    child.stdout?.resume();
    return { child, address, stop };
  }
  throw new Error("the daemon ended before it served");
}

/** Middle of the sorted values; NaN when there are none. */
export function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.floor(sorted.length / 2)] ?? Number.NaN;
}

/** One figure with its target, as one line. */
export function printFigure(what: string, value: string, target: string): void {
  process.stdout.write(`${what.padEnd(44)} ${value.padStart(16)}   target ${target}\n`);
}
