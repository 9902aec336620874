// Simulated time: runs `speed` times as fast as the clock it stands on. Tasks run in the order of their simulated time.
// Faster than real it never reads past a task that is due and has not run: if the machine cannot keep up, simulated time
// waits for it. It never reads real time by itself.

import type { Cancel, Clock } from "../ports.ts";

/** How a simulated clock starts. */
export type SimulatedClockOptions = {
  /** The clock underneath; its seconds are the real ones. */
  readonly base: Clock;
  /** Simulated seconds per real second, 1 … 3600. */
  readonly speed: number;
  readonly bootId: string;
  /** Simulated Unix time at the start; without it the base clock's. */
  readonly wallSeconds?: number;
  /** What to add to the wall time at a simulated moment: jumps and drift of a clock without a battery. */
  readonly wallErrorSeconds?: (monotonicSeconds: number) => number;
  readonly wallIsTrusted?: (monotonicSeconds: number) => boolean;
};

type Task = { readonly atSeconds: number; readonly run: () => void };

/** Real seconds that one burst of tasks may take before other work of the process gets its turn. */
const BURST_SECONDS = 0.02;
/** Real seconds of backlog after which simulated time slows down instead of running after the target. */
const PATIENCE_SECONDS = 0.5;
/** Turns of the microtask queue after each task, so that a chain of simulated calls ends before time goes on. */
const TURNS = 40;
/** Where monotonic time starts: a board that has been up for a while. */
const UPTIME_SECONDS = 120;

/** A clock for the simulated feedpoint. */
export class SimulatedClock implements Clock {
  readonly bootId: string;
  readonly speed: number;
  readonly #base: Clock;
  readonly #wallOffsetSeconds: number;
  readonly #wallError: (monotonicSeconds: number) => number;
  readonly #trusted: (monotonicSeconds: number) => boolean;
  /** Ascending by time, equal times in order of setting. */
  readonly #tasks: Task[] = [];
  #baseOrigin: number;
  #origin = UPTIME_SECONDS;
  #latest = UPTIME_SECONDS;
  #cancelWake: Cancel | null = null;
  #wakeAtSeconds = Number.POSITIVE_INFINITY;
  #bursting = false;
  /** Moment of the task that runs, where time stands still meanwhile; null = it flows. */
  #runningSeconds: number | null = null;

  constructor(options: SimulatedClockOptions) {
    if (!(options.speed >= 1 && options.speed <= 3600))
      throw new RangeError(`simulated time runs 1 to 3600 times as fast as real time, not ${options.speed}`);
    this.bootId = options.bootId;
    this.speed = options.speed;
    this.#base = options.base;
    this.#baseOrigin = options.base.monotonicSeconds();
    this.#wallOffsetSeconds = (options.wallSeconds ?? options.base.wallSeconds()) - UPTIME_SECONDS;
    this.#wallError = options.wallErrorSeconds ?? (() => 0);
    this.#trusted = options.wallIsTrusted ?? (() => true);
  }

  monotonicSeconds(): number {
    // At real speed a late task must look late; faster, lateness would be the simulation's own and not the daemon's.
    let now = this.#runningSeconds ?? this.#target();
    const next = this.#tasks[0];
    if (this.speed > 1 && next !== undefined) now = Math.min(now, next.atSeconds);
    this.#latest = Math.max(this.#latest, now);
    return this.#latest;
  }

  wallSeconds(): number {
    const now = this.monotonicSeconds();
    return now + this.#wallOffsetSeconds + this.#wallError(now);
  }

  wallIsTrusted(): boolean {
    return this.#trusted(this.monotonicSeconds());
  }

  after(seconds: number, task: () => void): Cancel {
    if (Number.isNaN(seconds)) throw new RangeError("a task cannot wait for NaN seconds");
    const entry: Task = { atSeconds: this.monotonicSeconds() + Math.max(0, seconds), run: task };
    let low = 0;
    let high = this.#tasks.length;
    while (low < high) {
      const middle = (low + high) >>> 1;
      if (this.#tasks[middle]!.atSeconds <= entry.atSeconds) low = middle + 1;
      else high = middle;
    }
    this.#tasks.splice(low, 0, entry);
    this.#arm();
    return () => {
      const at = this.#tasks.indexOf(entry);
      if (at >= 0) this.#tasks.splice(at, 1);
      if (this.#tasks.length === 0) this.#disarm();
    };
  }

  /** Where simulated time would be if every task took no time. */
  #target(): number {
    return this.#origin + (this.#base.monotonicSeconds() - this.#baseOrigin) * this.speed;
  }

  #arm(): void {
    const next = this.#tasks[0];
    if (this.#bursting || next === undefined || next.atSeconds >= this.#wakeAtSeconds) return;
    this.#disarm();
    this.#wakeAtSeconds = next.atSeconds;
    const waitSeconds = Math.max(0, (next.atSeconds - this.#target()) / this.speed);
    this.#cancelWake = this.#base.after(waitSeconds, () => {
      this.#cancelWake = null;
      this.#wakeAtSeconds = Number.POSITIVE_INFINITY;
      this.#bursting = true;
      this.#burst().then(
        () => this.#rest(),
        (cause: unknown) => {
          this.#rest();
          throw cause;
        },
      );
    });
  }

  #rest(): void {
    this.#bursting = false;
    this.#runningSeconds = null;
    this.#arm();
  }

  #disarm(): void {
    this.#cancelWake?.();
    this.#cancelWake = null;
    this.#wakeAtSeconds = Number.POSITIVE_INFINITY;
  }

  /** Runs what is due, one task after the other, each at its own simulated time. */
  async #burst(): Promise<void> {
    const begunSeconds = this.#base.monotonicSeconds();
    for (let next = this.#due(); next !== undefined; next = this.#due()) {
      this.#tasks.shift();
      if (this.speed > 1) this.#runningSeconds = next.atSeconds;
      this.#forgive(next.atSeconds);
      next.run();
      if (this.speed > 1) for (let turn = 0; turn < TURNS; turn += 1) await null;
      if (this.#base.monotonicSeconds() - begunSeconds > BURST_SECONDS) break;
    }
  }

  #due(): Task | undefined {
    const next = this.#tasks[0];
    return next !== undefined && next.atSeconds <= this.#target() + 1e-9 ? next : undefined;
  }

  /** Lets go of a backlog that cannot be made good, so that simulated time slows down rather than rushes. */
  #forgive(nowSeconds: number): void {
    if (this.speed === 1) return;
    const backlog = (this.#target() - nowSeconds) / this.speed;
    if (backlog <= PATIENCE_SECONDS) return;
    this.#baseOrigin = this.#base.monotonicSeconds();
    this.#origin = nowSeconds;
  }
}
