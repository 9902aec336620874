// One after the other: tasks that share a wire run in the order they came, never two at once. It knows nothing of time.
import { HardwareError } from "./errors.ts";

/** How many tasks may wait; more means that nobody is keeping up, and waiting longer would only hide it. */
const LONGEST_LANE = 32;

/** Mutual exclusion for asynchronous tasks, first come first served, with a bound. */
export class Lane {
  readonly #place: string;
  #tail: Promise<unknown> = Promise.resolve();
  #waiting = 0;

  constructor(place: string) {
    this.#place = place;
  }

  /** Runs `task` after all earlier ones have ended, well or not; rejects with TIMEOUT when too many wait already. */
  run<T>(task: () => Promise<T>): Promise<T> {
    if (this.#waiting >= LONGEST_LANE) {
      return Promise.reject(new HardwareError("TIMEOUT", this.#place, `${LONGEST_LANE} calls are waiting`));
    }
    this.#waiting += 1;
    const result = this.#tail.then(task).finally(() => {
      this.#waiting -= 1;
    });
    this.#tail = result.catch(() => undefined);
    return result;
  }
}
