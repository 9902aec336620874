// The compiled overview as a process of its own, and a crowd of feedpoints beside it.

import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { writeFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { createInterface } from "node:readline";
import type { Mosquitto } from "./mosquitto.ts";

export type Started = { readonly child: ChildProcess; readonly word: string; stop(): Promise<void> };

/** Starts a program of the build and waits for the first line of its output that fits. */
async function startProgram(words: readonly string[], fits: RegExp): Promise<Started> {
  const child = spawn(process.execPath, [...words], { stdio: ["ignore", "pipe", "inherit"] });
  const stop = async (): Promise<void> => {
    child.kill("SIGTERM");
    if (child.exitCode === null && child.signalCode === null) await once(child, "exit");
  };
  for await (const line of createInterface({ input: child.stdout })) {
    const word = fits.exec(line)?.[0];
    if (word === undefined) continue;
    child.stdout.resume();
    return { child, word, stop };
  }
  throw new Error(`${words.join(" ")} ended before it was ready`);
}

/** `word` is the page's address. */
export function startOverviewProcess(folder: string, broker: Mosquitto, extra = ""): Promise<Started> {
  const config = join(folder, "overview.toml");
  const table = `broker = "mqtt://127.0.0.1:${broker.port}"\nuser = "reader"\npassword_file = "${broker.passwordFile}"\n`;
  writeFileSync(config, `[overview]\n${table}${extra}`);
  const flags = ["run", "--overview", "--config", config, "--listen", "127.0.0.1:0"];
  return startProgram([resolve("dist/daemon/main.js"), ...flags], /http:\/\/\S+\//);
}

/** `count` feedpoints, all connected. */
export function startCrowd(broker: Mosquitto, count: number): Promise<Started> {
  const program = resolve("dist/tests/support/crowd.js");
  return startProgram([program, `${broker.port}`, broker.passwordFile, `${count}`], /ready/);
}
