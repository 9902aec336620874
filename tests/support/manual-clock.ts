// A clock that moves only when a test says so; what is due runs in order of time.

import type { Cancel, Clock } from "../../hardware/ports.ts";

type Task = { readonly atSeconds: number; readonly run: () => void };

export class ManualClock implements Clock {
  readonly bootId = "00000000-0000-4000-8000-000000000000";
  #now = 1_000;
  #tasks: Task[] = [];

  monotonicSeconds(): number {
    return this.#now;
  }

  wallSeconds(): number {
    return 1_790_000_000 + this.#now;
  }

  wallIsTrusted(): boolean {
    return true;
  }

  after(seconds: number, run: () => void): Cancel {
    const task = { atSeconds: this.#now + seconds, run };
    this.#tasks.push(task);
    return () => {
      this.#tasks = this.#tasks.filter((other) => other !== task);
    };
  }

  /** Moves on, running what falls due on the way. */
  advance(seconds: number): void {
    const until = this.#now + seconds;
    for (let next = this.#next(until); next !== undefined; next = this.#next(until)) {
      const task = next;
      this.#tasks = this.#tasks.filter((other) => other !== task);
      this.#now = Math.max(this.#now, task.atSeconds);
      task.run();
    }
    this.#now = until;
  }

  /** As a machine that slept: time is on before anything that fell due meanwhile can run. */
  sleep(seconds: number): void {
    this.#now += seconds;
    this.advance(0);
  }

  #next(until: number): Task | undefined {
    return this.#tasks.filter(({ atSeconds }) => atSeconds <= until).sort((a, b) => a.atSeconds - b.atSeconds)[0];
  }
}
