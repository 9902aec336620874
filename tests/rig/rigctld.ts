// Debian's rigctld with Hamlib's dummy rig (model 1) as a process, and an operator's hand on that rig: a connection of its own that
// speaks the protocol's plain form, so that nothing of our client judges itself.

import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { connect, type Socket } from "node:net";
import { createInterface } from "node:readline";
import { onTestFinished, vi } from "vitest";
import { freePort } from "../support/free-port.ts";

export const PATIENT = { timeout: 60_000, interval: 100 };

function reachable(port: number): Promise<Socket> {
  return new Promise((resolve, reject) => {
    const socket = connect(port, "127.0.0.1");
    socket.once("connect", () => resolve(socket));
    socket.once("error", reject);
  });
}

export class Rigctld {
  readonly port: number;
  readonly #words: readonly string[];
  #child: ChildProcess | null = null;

  private constructor(port: number, words: readonly string[]) {
    this.port = port;
    this.#words = words;
  }

  /** On a free port; `words` are added to its command line. */
  static async start(...words: string[]): Promise<Rigctld> {
    const rigctld = new Rigctld(await freePort(), words);
    onTestFinished(() => rigctld.stop());
    await rigctld.begin();
    return rigctld;
  }

  async begin(): Promise<void> {
    const flags = ["-m", "1", "-P", "RIG", "-T", "127.0.0.1", "-t", `${this.port}`, ...this.#words];
    this.#child = spawn("rigctld", flags, { stdio: "ignore" });
    await vi.waitFor(async () => (await reachable(this.port)).destroy(), PATIENT);
  }

  async stop(): Promise<void> {
    const child = this.#child;
    this.#child = null;
    if (child === null || child.exitCode !== null || child.signalCode !== null) return;
    child.kill("SIGKILL");
    await once(child, "exit");
  }

  /**
   * One plain command; the lines of its answer. It opens the dummy rig for the first client and closes it after the last, and
   * resets one that comes just between: an operator asks again.
   */
  tell(command: string, lines = 1): Promise<readonly string[]> {
    return vi.waitFor(() => this.#tellOnce(command, lines), PATIENT);
  }

  async #tellOnce(command: string, lines: number): Promise<readonly string[]> {
    const socket = await reachable(this.port);
    const said: string[] = [];
    socket.write(`${command}\n`);
    for await (const line of createInterface({ input: socket })) {
      said.push(line);
      if (said.length >= lines) break;
    }
    socket.destroy();
    if (said.length < lines) throw new Error(`rigctld: ${command}: expected ${lines} lines, got ${said.length}`);
    return said;
  }

  /** Hertz, mode, power level and key, as an operator sets them. */
  async operate(to: {
    readonly hertz?: number;
    readonly mode?: string;
    readonly power?: number;
    readonly keyed?: boolean;
  }): Promise<void> {
    if (to.hertz !== undefined) await this.tell(`F ${to.hertz}`);
    if (to.mode !== undefined) await this.tell(`M ${to.mode} 0`);
    if (to.power !== undefined) await this.tell(`L RFPOWER ${to.power}`);
    if (to.keyed !== undefined) await this.tell(`T ${to.keyed ? 1 : 0}`);
  }

  async power(): Promise<number> {
    return Number((await this.tell("l RFPOWER"))[0]);
  }
}
