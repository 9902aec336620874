// Tells the service supervisor that the daemon is ready, alive or stopping (sd_notify protocol, over `systemd-notify`).
// It is told only by a completed cycle; it has no timer of its own, because a watchdog fed by a bare timer proves nothing.

import { type ChildProcess, spawn } from "node:child_process";
import type { Clock } from "../../hardware/ports.ts";

export interface Supervisor {
  /** The first cycle is complete. */
  ready(status: string): void;
  /** Another cycle is complete. */
  alive(status: string): void;
  stopping(): void;
  close(): void;
}

/** Where no supervisor listens. */
export const NO_SUPERVISOR: Supervisor = { ready() {}, alive() {}, stopping() {}, close() {} };

/** Without a watchdog only the status line changes, and seldom. */
const STATUS_SECONDS = 30;

/**
 * Node cannot send a unix datagram, and starting `systemd-notify` from this process every few seconds would copy the page
 * tables of a big process each time. So a small shell is started once and starts it for us; this side only writes a line
 * into a pipe. If that shell dies, the watchdog runs out and the supervisor restarts the daemon: the safe side.
 */
const RELAY_SCRIPT = 'while IFS= read -r line; do systemd-notify "$line" || exit 1; done';

export type SupervisorOptions = {
  readonly environment: Readonly<Record<string, string | undefined>>;
  /** The machine's clock. */
  readonly clock: Clock;
  /** Told once when the supervisor cannot be reached. */
  readonly onTrouble: (text: string) => void;
};

/** The supervisor that started this process, or none. */
export function supervisorOf({ environment, clock, onTrouble }: SupervisorOptions): Supervisor {
  if (environment["NOTIFY_SOCKET"] === undefined) return NO_SUPERVISOR;
  return new NotifiedSupervisor(watchdogSeconds(environment), clock, onTrouble);
}

function watchdogSeconds(environment: Readonly<Record<string, string | undefined>>): number | null {
  const microseconds = Number(environment["WATCHDOG_USEC"] ?? Number.NaN);
  return Number.isFinite(microseconds) && microseconds > 0 ? microseconds / 1e6 : null;
}

class NotifiedSupervisor implements Supervisor {
  readonly #clock: Clock;
  readonly #shell: ChildProcess;
  readonly #everySeconds: number;
  readonly #word: string | null;
  #toldSeconds = Number.NEGATIVE_INFINITY;
  #status = "";

  constructor(watchdog: number | null, clock: Clock, onTrouble: (text: string) => void) {
    this.#clock = clock;
    this.#everySeconds = watchdog === null ? STATUS_SECONDS : watchdog / 3;
    this.#word = watchdog === null ? null : "WATCHDOG=1";
    this.#shell = spawn("/bin/sh", ["-c", RELAY_SCRIPT], { stdio: ["pipe", "ignore", "ignore"] });
    this.#shell.once("error", (error) => onTrouble(`the supervisor cannot be told: ${error.message}`));
    this.#shell.once("exit", () => onTrouble("the supervisor cannot be told: is systemd-notify installed?"));
    this.#shell.stdin?.on("error", () => {});
    this.#shell.unref();
  }

  ready(status: string): void {
    this.#toldSeconds = this.#clock.monotonicSeconds();
    this.#tell("READY=1");
    this.#show(status);
  }

  alive(status: string): void {
    const now = this.#clock.monotonicSeconds();
    if (now - this.#toldSeconds < this.#everySeconds) return;
    this.#toldSeconds = now;
    if (this.#word !== null) this.#tell(this.#word);
    this.#show(status);
  }

  stopping(): void {
    this.#tell("STOPPING=1");
  }

  close(): void {
    this.#shell.removeAllListeners("exit");
    this.#shell.stdin?.end();
  }

  #show(status: string): void {
    if (status === this.#status) return;
    this.#status = status;
    this.#tell(`STATUS=${status.replaceAll("\n", " ")}`);
  }

  /** A line the pipe does not take now is dropped: a later one says the same. */
  #tell(line: string): void {
    const pipe = this.#shell.stdin;
    if (pipe?.writable === true && !pipe.writableNeedDrain) pipe.write(`${line}\n`);
  }
}
