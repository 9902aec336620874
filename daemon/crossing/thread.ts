// The heartbeat's end of the crossing: starts the service thread, gives it parcels as it gives receipts, starts another
// when it dies or falls silent. It never waits for it: whatever the service thread does, publishing returns at once.

import { Worker } from "node:worker_threads";
import type { Cancel, Clock } from "../../hardware/ports.ts";
import { type Problem, RequestError } from "../config/problem.ts";
import type { Command } from "../core/commands.ts";
import type { RigWord } from "../station/rig.ts";
import type { HardwareHealth } from "../wire/check.ts";
import type { LeftBehind, LogProgress, Publication, Rehearsal, ToHeartbeat } from "./messages.ts";
import { Outbox } from "./outbox.ts";

/** What a service thread is started with: plain data for its `workerData`. */
export type ServiceStart = {
  /** The compiled entry, e.g. `service.js` beside main. */
  readonly entry: URL;
  readonly workerData: unknown;
  /** The machine's clock, never a simulated one. */
  readonly clock: Clock;
  /** An entry for the record about the thread itself, e.g. that it was restarted. */
  readonly onTrouble: (tag: string, text: string) => void;
  /** An entry for the record about the service's work. */
  readonly onNote: (tag: string, text: string, by: string | null) => void;
  readonly onCommands: (commands: readonly Command[]) => void;
  readonly onRehearse: (rehearsal: Rehearsal) => void;
  readonly onRig: (word: RigWord) => void;
};

/** What the first service thread said when it stood. */
export type ServiceReady = { readonly address: string; readonly left: LeftBehind };

const FIRST_RESTART_SECONDS = 0.5;
const LAST_RESTART_SECONDS = 30;
/** A thread that lived this long starts the backoff anew. */
const HEALTHY_SECONDS = 60;
/** A thread silent for this long is ended and replaced. */
const SILENT_SECONDS = 60;
const STOP_SECONDS = 3;
/** Far above what it needs (about 20 MB); a leak ends the thread, not the machine. */
const HEAP_MEGABYTES = 96;

export class ServiceThread {
  readonly #start: ServiceStart;
  readonly #outbox: Outbox;
  #worker: Worker | null = null;
  #startedSeconds = 0;
  #heardSeconds: number;
  #restartSeconds = FIRST_RESTART_SECONDS;
  #pendingRestart: Cancel | null = null;
  #stopping: (() => void) | null = null;
  #restarts = 0;

  constructor(start: ServiceStart, outbox: Outbox = new Outbox()) {
    this.#start = start;
    this.#outbox = outbox;
    this.#heardSeconds = start.clock.monotonicSeconds();
  }

  /** Seconds since the service thread last answered, on the machine's clock. */
  get silentSeconds(): number {
    return Math.max(0, this.#start.clock.monotonicSeconds() - this.#heardSeconds);
  }

  get log(): LogProgress {
    return this.#outbox.progress;
  }

  get restarts(): number {
    return this.#restarts;
  }

  /**
   * Starts the first thread and waits until it serves.
   * @throws RequestError when it says what the operator has to change (a port in use, a folder in use)
   */
  open(): Promise<ServiceReady> {
    return new Promise((resolve, reject) => {
      this.#launch({
        ready: (address, left) => resolve({ address, left }),
        refused: (problem) => reject(new RequestError([problem])),
        died: (error) => reject(error),
      });
    });
  }

  /** Goes along with the next cycle's publication. */
  report(health: HardwareHealth): void {
    this.#outbox.health(health);
  }

  /** Takes what one cycle made; never blocks, never throws. */
  publish({ beat, entries, checkpoint, answers }: Publication): void {
    for (const entry of entries) this.#outbox.enter(entry);
    for (const answer of answers) this.#outbox.answer(answer);
    if (checkpoint !== null) this.#outbox.checkpoint(checkpoint);
    if (beat !== null) this.#outbox.publish(beat);
    this.#send();
    const quietSince = Math.max(this.#heardSeconds, this.#startedSeconds);
    if (this.#start.clock.monotonicSeconds() - quietSince > SILENT_SECONDS) void this.#worker?.terminate();
  }

  /** Hands over what waits, asks the thread to store it and end; ends it after a deadline. */
  async close(): Promise<void> {
    this.#pendingRestart?.();
    const worker = this.#worker;
    if (worker === null) return;
    await new Promise<void>((resolve) => {
      const cancel = this.#start.clock.after(STOP_SECONDS, resolve);
      this.#stopping = () => {
        cancel();
        resolve();
      };
      this.#sendLast();
    });
    await worker.terminate();
  }

  #launch(first: FirstWords | null): void {
    const worker = new Worker(this.#start.entry, {
      workerData: this.#start.workerData,
      resourceLimits: { maxOldGenerationSizeMb: HEAP_MEGABYTES, maxYoungGenerationSizeMb: 8 },
    });
    let words = first;
    let failure: Error | null = null;
    this.#worker = worker;
    this.#startedSeconds = this.#start.clock.monotonicSeconds();
    this.#outbox.orphaned();
    worker.on("message", (message: ToHeartbeat) => {
      this.#hear(message, words);
      // A first thread that was refused is not followed by another: its asker has been told.
      if (message.kind === "refused" && words !== null) this.#forget(worker);
      if (message.kind === "ready" || message.kind === "refused") words = null;
    });
    worker.on("error", (error: Error) => {
      failure = error;
    });
    worker.on("exit", (code) => {
      if (this.#worker !== worker) return;
      this.#worker = null;
      this.#outbox.orphaned();
      const error = failure ?? new Error(`the service thread ended with code ${code}`);
      if (this.#stopping !== null) this.#stopping();
      else if (words !== null) words.died(error);
      else this.#restartLater(error);
    });
  }

  #forget(worker: Worker): void {
    this.#worker = null;
    void worker.terminate();
  }

  #hear(message: ToHeartbeat, first: FirstWords | null): void {
    this.#heardSeconds = this.#start.clock.monotonicSeconds();
    switch (message.kind) {
      case "ready":
        this.#outbox.restarted(message.log);
        first?.ready(message.address, message.left);
        this.#goOn();
        return;
      case "refused":
        if (first !== null) first.refused(message.problem);
        else this.#start.onTrouble("service-refused", `${message.problem.what}: ${message.problem.got}`);
        return;
      case "receipt":
        this.#outbox.receipt(message.number, message.log);
        if (this.#stopping !== null) this.#sendLast();
        return;
      case "commands":
        this.#start.onCommands(message.commands);
        return;
      case "rehearse":
        this.#start.onRehearse(message.rehearsal);
        return;
      case "rig":
        this.#start.onRig(message.word);
        return;
      case "note":
        this.#start.onNote(message.tag, message.text, message.by);
        return;
      case "stopped":
        this.#stopping?.();
        return;
    }
  }

  #goOn(): void {
    if (this.#stopping === null) this.#send();
    else this.#sendLast();
  }

  /** The last words, a trip among them, go before the word to stop: it follows the receipt of the last parcel. */
  #sendLast(): void {
    this.#send();
    if (!this.#outbox.isUnderway) this.#worker?.postMessage({ kind: "stop" });
  }

  #send(): void {
    const parcel = this.#worker === null ? null : this.#outbox.next();
    if (parcel !== null) this.#worker?.postMessage(parcel);
  }

  #restartLater(error: Error): void {
    const { clock, onTrouble } = this.#start;
    if (clock.monotonicSeconds() - this.#startedSeconds > HEALTHY_SECONDS) this.#restartSeconds = FIRST_RESTART_SECONDS;
    onTrouble("service-restart", `the service thread died and is started again: ${error.message}`);
    this.#pendingRestart = clock.after(this.#restartSeconds, () => {
      this.#pendingRestart = null;
      this.#restarts += 1;
      this.#launch(null);
    });
    this.#restartSeconds = Math.min(LAST_RESTART_SECONDS, this.#restartSeconds * 2);
  }
}

/** What the first thread's first words lead to; later threads have nobody waiting. */
type FirstWords = {
  readonly ready: (address: string, left: LeftBehind) => void;
  readonly refused: (problem: Problem) => void;
  readonly died: (error: Error) => void;
};
