// A clock that moves only when told to, for tests that must not depend on the machine's speed. It never reads real time.
import type { Cancel, Clock } from "../../hardware/ports.ts";

type Due = { readonly atSeconds: number; readonly order: number; readonly task: () => void };

/** Where a manual clock starts; everything has a fixed default, so that a test is the same every time. */
export type ManualClockOptions = {
  readonly bootId?: string;
  readonly monotonicSeconds?: number;
  readonly wallSeconds?: number;
  readonly wallIsTrusted?: boolean;
};

/** Deterministic Clock: tasks run in the order of their time, then of their setting, inside `advance` or `settle`. */
export class ManualClock implements Clock {
  readonly bootId: string;
  #nowSeconds: number;
  #wallOffsetSeconds: number;
  #trusted: boolean;
  #due: Due[] = [];
  #order = 0;

  constructor(options: ManualClockOptions = {}) {
    this.bootId = options.bootId ?? "00000000-0000-4000-8000-000000000001";
    this.#nowSeconds = options.monotonicSeconds ?? 1000;
    this.#wallOffsetSeconds = (options.wallSeconds ?? 1_790_000_000 + this.#nowSeconds) - this.#nowSeconds;
    this.#trusted = options.wallIsTrusted ?? true;
  }

  monotonicSeconds(): number {
    return this.#nowSeconds;
  }

  wallSeconds(): number {
    return this.#nowSeconds + this.#wallOffsetSeconds;
  }

  wallIsTrusted(): boolean {
    return this.#trusted;
  }

  after(seconds: number, task: () => void): Cancel {
    const due: Due = { atSeconds: this.#nowSeconds + Math.max(0, seconds), order: this.#order++, task };
    this.#due.push(due);
    return () => {
      this.#due = this.#due.filter((other) => other !== due);
    };
  }

  /** How many tasks wait. */
  get pending(): number {
    return this.#due.length;
  }

  /** The wall clock jumps; the monotonic one does not. */
  jumpWall(seconds: number): void {
    this.#wallOffsetSeconds += seconds;
  }

  trustWall(trusted: boolean): void {
    this.#trusted = trusted;
  }

  /** Time goes by and no task runs, as in a process that is busy; what is due meanwhile runs late. */
  pass(seconds: number): void {
    this.#nowSeconds += seconds;
  }

  /** Moves on by `seconds`, running due tasks on the way, each at its own time. Promises run only after it returns. */
  advance(seconds: number): void {
    const untilSeconds = this.#nowSeconds + seconds;
    for (let next = this.#takeDue(untilSeconds); next !== null; next = this.#takeDue(untilSeconds)) {
      this.#nowSeconds = Math.max(this.#nowSeconds, next.atSeconds);
      next.task();
    }
    this.#nowSeconds = untilSeconds;
  }

  /** As `advance`, but lets promises run after every task. */
  async advanceAsync(seconds: number): Promise<void> {
    const untilSeconds = this.#nowSeconds + seconds;
    await turn();
    for (let next = this.#takeDue(untilSeconds); next !== null; next = this.#takeDue(untilSeconds)) {
      this.#nowSeconds = Math.max(this.#nowSeconds, next.atSeconds);
      next.task();
      await turn();
    }
    this.#nowSeconds = untilSeconds;
  }

  /** Moves from task to task until `promise` has settled, then gives its outcome; fails when nothing is left to run. */
  async settle<T>(promise: Promise<T>): Promise<T> {
    let settled = false;
    const mark = (): void => {
      settled = true;
    };
    promise.then(mark, mark);
    for (let idle = 0; idle < 1000; ) {
      await turn();
      if (settled) return promise;
      const next = this.#takeDue(Number.POSITIVE_INFINITY);
      if (next === null) {
        idle += 1;
      } else {
        idle = 0;
        this.#nowSeconds = Math.max(this.#nowSeconds, next.atSeconds);
        next.task();
      }
    }
    throw new Error("nothing is left to run and the promise has not settled");
  }

  #takeDue(untilSeconds: number): Due | null {
    let first: Due | null = null;
    for (const due of this.#due) {
      if (due.atSeconds > untilSeconds) continue;
      if (first === null || due.atSeconds < first.atSeconds) first = due;
      else if (due.atSeconds === first.atSeconds && due.order < first.order) first = due;
    }
    if (first !== null) this.#due = this.#due.filter((other) => other !== first);
    return first;
  }
}

/** One turn of the real event loop: every chain of promises runs to its end, however long, and files that are read come in. */
function turn(): Promise<void> {
  return new Promise((resolve) => {
    setImmediate(resolve);
  });
}
