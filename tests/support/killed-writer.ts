// Starts a writer of a season log and ends it with SIGKILL once it has told so many commits: what it told must be on the disk.

import { spawn } from "node:child_process";
import { once } from "node:events";
import { resolve } from "node:path";
import { createInterface } from "node:readline";
import type { Told } from "./season-writer.ts";

/** Resolves with the last that was told before the end. `pause` may wait before the kill. */
export async function killAfter(file: string, key: string, commits: number, pause: () => Promise<void>): Promise<Told> {
  const script = resolve("dist/tests/support/season-writer.js");
  const child = spawn(process.execPath, [script, file, key], { stdio: ["ignore", "pipe", "inherit"] });
  const ended = once(child, "exit");
  let told: Told = { row: 0, entry: 0 };
  let count = 0;
  let killing: Promise<void> | null = null;
  for await (const line of createInterface({ input: child.stdout })) {
    const match = /^told (\d+) (\d+)$/.exec(line);
    if (match === null) continue;
    told = { row: Number(match[1]), entry: Number(match[2]) };
    count += 1;
    if (count === commits) killing = pause().then(() => void child.kill("SIGKILL"));
  }
  await killing;
  await ended;
  return told;
}
