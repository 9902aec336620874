// The handle of one I2C bus through its whole life: opened late, closed and opened anew after an error, left to itself
// when a call on it hangs, and closed only when that call has ended. It never retries and never queues.
import { withDeadline } from "./clock.ts";
import { fromErrno } from "./errno.ts";
import { HardwareError } from "./errors.ts";
import type { Clock, I2cHandle } from "./ports.ts";

/** Calls that may hang inside the system at a time; each keeps one thread of Node's pool from the whole program. */
const MOST_HANGING = 2;

/** How long a hanging call has the bus to itself before a fresh handle is tried beside it, s. */
const HANGING_GRACE_SECONDS = 1;

/** How long to wait for a handle to close, s. */
const CLOSE_SECONDS = 0.5;

export type ReopeningHandleOptions = {
  readonly place: string;
  readonly clock: Clock;
  readonly open: () => Promise<I2cHandle>;
};

/** Runs one call at a time on a handle that is known to be sound. The caller keeps the calls apart. */
export class ReopeningHandle {
  readonly #place: string;
  readonly #clock: Clock;
  readonly #open: () => Promise<I2cHandle>;
  #handle: I2cHandle | null = null;
  #hanging = 0;
  #hungAtSeconds = Number.NEGATIVE_INFINITY;
  #opens = 0;
  #closed = false;

  constructor(options: ReopeningHandleOptions) {
    this.#place = options.place;
    this.#clock = options.clock;
    this.#open = options.open;
  }

  /** Handles opened after the first. */
  get reopens(): number {
    return Math.max(0, this.#opens - 1);
  }

  /** Whether a call may start: not while an earlier one hangs, except beside a single one after its grace. */
  get isBlocked(): boolean {
    if (this.#hanging === 0) return false;
    if (this.#hanging >= MOST_HANGING) return true;
    return this.#clock.monotonicSeconds() - this.#hungAtSeconds < HANGING_GRACE_SECONDS;
  }

  /** One call with a deadline; rejects with HardwareError at `place`. */
  async attempt<T>(call: (handle: I2cHandle) => Promise<T>, seconds: number, place: string): Promise<T> {
    const used: { handle: I2cHandle | null; late: boolean; ended: boolean } = {
      handle: this.#handle,
      late: false,
      ended: false,
    };
    const running = (async () => {
      try {
        if (used.handle === null) {
          this.#opens += 1;
          used.handle = await this.#open();
        }
        if (used.late) throw new HardwareError("TIMEOUT", place);
        return await call(used.handle);
      } finally {
        used.ended = true;
      }
    })();
    try {
      const value = await withDeadline(this.#clock, seconds, place, running);
      this.#keep(used.handle);
      return value;
    } catch (cause) {
      const error = fromErrno(cause, place, "i2c");
      if (!used.ended) {
        used.late = true;
        this.#leave(running, used);
      } else if (error.code === "NACK") {
        // A missing acknowledge is the bus's own answer through a sound handle; any other error makes it doubtful.
        this.#keep(used.handle);
      } else {
        this.#handle = null;
        if (used.handle !== null) void this.#shut(used.handle);
      }
      throw error;
    }
  }

  /** Closes the handle; one on which a call hangs closes itself when the call ends. */
  async close(): Promise<void> {
    this.#closed = true;
    const handle = this.#handle;
    this.#handle = null;
    if (handle !== null) await this.#shut(handle);
  }

  #keep(handle: I2cHandle | null): void {
    if (!this.#closed) this.#handle = handle;
    else if (handle !== null) void this.#shut(handle);
  }

  /** Leaves a hanging call alone; its handle is closed when it ends, for closing earlier could free a number in use. */
  #leave(running: Promise<unknown>, used: { readonly handle: I2cHandle | null }): void {
    this.#handle = null;
    this.#hanging += 1;
    this.#hungAtSeconds = this.#clock.monotonicSeconds();
    const end = (): void => {
      this.#hanging -= 1;
      if (used.handle !== null) void this.#shut(used.handle);
    };
    running.then(end, end);
  }

  /** Never rejects: a handle that does not close is lost, not a reason to fail a reading. */
  #shut(handle: I2cHandle): Promise<void> {
    return withDeadline(this.#clock, CLOSE_SECONDS, this.#place, handle.close()).catch(() => undefined);
  }
}
