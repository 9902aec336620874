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

/** The first lines that come back. @throws Error when the connection ends before */
async function answerTo(socket: Socket, command: string, lines: number): Promise<readonly string[]> {
  const said: string[] = [];
  const reader = createInterface({ input: socket });
  socket.write(`${command}\n`);
  for await (const line of reader) {
    said.push(line);
    if (said.length >= lines) return said;
  }
  throw new Error(`rigctld: ${command}: expected ${lines} lines, got ${said.length}`);
}

export class Rigctld {
  readonly port: number;
  readonly #words: readonly string[];
  #child: ChildProcess | null = null;
  /** Never let go while the server runs: it opens the rig for its first client, closes it after the last, and resets who comes just between. */
  #holder: Socket | null = null;

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
    this.#holder = await vi.waitFor(() => this.#heldOpen(), PATIENT);
  }

  async stop(): Promise<void> {
    const child = this.#child;
    this.#child = null;
    this.#holder?.destroy();
    this.#holder = null;
    if (child === null || child.exitCode !== null || child.signalCode !== null) return;
    child.kill("SIGKILL");
    await once(child, "exit");
  }

  /** One plain command over a connection of its own; the lines of its answer. */
  async tell(command: string, lines = 1): Promise<readonly string[]> {
    const socket = await reachable(this.port);
    try {
      return await answerTo(socket, command, lines);
    } finally {
      socket.destroy();
    }
  }

  /** A connection on which the rig has answered, and which stays. */
  async #heldOpen(): Promise<Socket> {
    const socket = await reachable(this.port);
    try {
      await answerTo(socket, "\\chk_vfo", 1);
    } catch (error) {
      socket.destroy();
      throw error;
    }
    // Killed with its server, it ends with a reset.
    socket.on("error", () => undefined);
    return socket;
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
