// What this machine itself kept from the main thread, told by a thread beside it: a busy machine wakes every thread late and makes it
// wait for a core, and neither is held against the code under test. It judges nothing.

import { once } from "node:events";
import { resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { Worker } from "node:worker_threads";
import type { Tick } from "./metronome.ts";

/** How far around an instant the idle thread's lateness counts, s. */
const NEAR_SECONDS = 1;

export class Bystander {
  readonly #metronome = new Worker(pathToFileURL(resolve("dist/tests/support/metronome.js")));
  #ticks: readonly Tick[] = [];

  /** Ends the watch; what it saw can be asked from then on. */
  async end(): Promise<void> {
    this.#metronome.postMessage("enough");
    [this.#ticks] = (await once(this.#metronome, "message", { signal: AbortSignal.timeout(30_000) })) as [
      readonly Tick[],
    ];
  }

  /** Most that the idle thread was ever late, s. */
  get latestSeconds(): number {
    return Math.max(...this.#ticks.map(({ lateSeconds }) => lateSeconds));
  }

  /** Seconds between two monotonic instants that are the machine's: an idle thread woken late, the main thread waiting for a core. */
  excuseSeconds(from: number, to: number): number {
    const near = this.#ticks.filter(
      ({ dueSeconds }) => dueSeconds > from - NEAR_SECONDS && dueSeconds < to + NEAR_SECONDS,
    );
    const seen = ({ dueSeconds, lateSeconds }: Tick): number => dueSeconds + lateSeconds;
    const before = this.#ticks.findLast((tick) => seen(tick) <= from)?.queuedSeconds ?? 0;
    const after = this.#ticks.find((tick) => seen(tick) >= to)?.queuedSeconds ?? before;
    return Math.max(0, ...near.map(({ lateSeconds }) => lateSeconds)) + Math.max(0, after - before);
  }
}
