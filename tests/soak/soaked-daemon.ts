// The compiled daemon as a process that is watched from outside for as long as it is wanted: what it holds by /proc, what it
// says, and clients that come and go as pages do. It judges nothing.

import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { readdirSync, readFileSync } from "node:fs";
import { Agent, get } from "node:http";
import { resolve } from "node:path";
import { createInterface } from "node:readline";
import { WebSocket } from "ws";
import type { ServerMessage } from "../../daemon/wire/frame.ts";
import { pause, withDeadline } from "../../hardware/clock.ts";
import type { Clock } from "../../hardware/ports.ts";
import type { Sample } from "./judge.ts";

/** Starting and stopping take this long at most, s. */
const START_SECONDS = 60;
const STOP_SECONDS = 30;
/** The kernel and Node close what clients left open within this, s. */
const SETTLE_SECONDS = 15;
const ANSWER_SECONDS = 20;
/** Kept of what it says on its error stream. */
const MOST_LINES = 100;

/** How it is started. */
export type DaemonStart = {
  readonly name: string;
  readonly clock: Clock;
  /** Where its log goes. */
  readonly folder: string;
  /** Another Node than this program's, and another place of the compiled program. */
  readonly node?: string;
  readonly program?: string;
  /** More flags. */
  readonly words?: readonly string[];
};

/** What the unit gives to Node, so that the same memory is soaked that a station has. */
function nodeFlags(): readonly string[] {
  const unit = readFileSync(resolve("systemd/emberwire.service"), "utf8");
  const words = /^ExecStart=\S+\/node\s+(.*?)\s*\S+\/main\.js /m.exec(unit)?.[1];
  if (words === undefined) throw new Error("systemd/emberwire.service: expected an ExecStart with node and main.js");
  return words.split(/\s+/).filter((word) => word !== "");
}

export class SoakedDaemon {
  readonly name: string;
  readonly address: string;
  readonly samples: Sample[] = [];
  /** Every line on its error stream. */
  readonly complaints: string[];
  readonly #child: ChildProcess;
  readonly #clock: Clock;
  readonly #agent = new Agent({ keepAlive: false });
  #sockets: WebSocket[] = [];
  #frames = 0;
  #firstSeconds = Number.NaN;
  #lastSeconds = Number.NaN;

  private constructor(name: string, address: string, child: ChildProcess, complaints: string[], clock: Clock) {
    this.name = name;
    this.address = address;
    this.complaints = complaints;
    this.#child = child;
    this.#clock = clock;
  }

  /** Rejects when it ends, or says no address, before its time. */
  static async start(made: DaemonStart): Promise<SoakedDaemon> {
    const { name, clock, folder, node = process.execPath, program = resolve("dist/daemon/main.js"), words = [] } = made;
    const flags = ["run", "--simulated", "--data", folder, "--listen", "127.0.0.1:0", ...words];
    const child = spawn(node, [...nodeFlags(), "--trace-warnings", program, ...flags], {
      stdio: ["ignore", "pipe", "pipe"],
    });
    const complaints: string[] = [];
    createInterface({ input: child.stderr! }).on("line", (line) => {
      if (complaints.length < MOST_LINES) complaints.push(line);
    });
    const said = (async () => {
      for await (const line of createInterface({ input: child.stdout! })) {
        const address = /http:\/\/\S+\//.exec(line)?.[0];
        if (address !== undefined) return address;
      }
      throw new Error(`${name}: it ended before it served: ${complaints.join("\n")}`);
    })();
    try {
      const address = await withDeadline(clock, START_SECONDS, name, said);
      child.stdout?.resume();
      return new SoakedDaemon(name, address, child, complaints, clock);
    } catch (error) {
      child.kill("SIGKILL");
      throw error;
    }
  }

  get alive(): boolean {
    return this.#child.exitCode === null && this.#child.signalCode === null;
  }

  /** Frames that clients got. */
  get frames(): number {
    return this.#frames;
  }

  /** Seconds of its own clock that clients have seen go by; NaN before any did. */
  get livedSeconds(): number {
    return this.#lastSeconds - this.#firstSeconds;
  }

  #take(message: ServerMessage): void {
    this.#frames += 1;
    const seconds = message.type === "snapshot" ? message.frame.at_seconds : message.delta.at_seconds;
    if (seconds === undefined) return;
    if (Number.isNaN(this.#firstSeconds)) this.#firstSeconds = seconds;
    this.#lastSeconds = seconds;
  }

  /** What it holds now. */
  look(): Sample {
    const { pid } = this.#child;
    const status = readFileSync(`/proc/${pid}/status`, "utf8");
    const field = (name: string): number =>
      Number(new RegExp(`^${name}:\\s+(\\d+)`, "m").exec(status)?.[1] ?? Number.NaN);
    return {
      atSeconds: this.#clock.monotonicSeconds(),
      residentBytes: 1024 * field("VmRSS"),
      files: readdirSync(`/proc/${pid}/fd`).length,
      threads: field("Threads"),
    };
  }

  /** One more look for the series. */
  watch(): void {
    this.samples.push(this.look());
  }

  /** A page comes: a stream and half an hour of history. The oldest of `most` pages goes. */
  async visit(most: number): Promise<void> {
    const socket = new WebSocket(`${this.address.replace("http", "ws")}api/v1/stream`);
    socket.on("message", (data) => this.#take(JSON.parse(String(data)) as ServerMessage));
    socket.on("error", (error) => this.complaints.push(`a client: ${error.message}`));
    await withDeadline(this.#clock, ANSWER_SECONDS, this.address, once(socket, "open"));
    this.#sockets.push(socket);
    await this.ask("api/v1/history");
    if (this.#sockets.length > most) this.#sockets.shift()?.close();
  }

  /** The body of one answer. */
  async ask(path: string): Promise<string> {
    const asked = new Promise<string>((resolve, reject) => {
      get(`${this.address}${path}`, { agent: this.#agent }, (answer) => {
        let body = "";
        answer.setEncoding("utf8").on("data", (text: string) => {
          body += text;
        });
        answer.on("end", () => resolve(body));
        answer.on("error", reject);
      }).on("error", reject);
    });
    return await withDeadline(this.#clock, ANSWER_SECONDS, path, asked);
  }

  /** Everybody leaves; resolves to what it holds once that is as little as before, or after a while whatever it is. */
  async leave(files: number): Promise<Sample> {
    for (const socket of this.#sockets) socket.close();
    this.#sockets = [];
    const until = this.#clock.monotonicSeconds() + SETTLE_SECONDS;
    while (this.look().files > files && this.#clock.monotonicSeconds() < until) await pause(this.#clock, 0.2);
    return this.look();
  }

  /** Ends it as systemd would; resolves to its exit status, or null when it had to be killed. */
  async stop(): Promise<number | null> {
    if (!this.alive) return this.#child.exitCode;
    const ended = once(this.#child, "exit");
    this.#child.kill("SIGTERM");
    try {
      await withDeadline(this.#clock, STOP_SECONDS, this.name, ended);
    } catch {
      this.#child.kill("SIGKILL");
      await ended;
    }
    return this.#child.exitCode;
  }
}
