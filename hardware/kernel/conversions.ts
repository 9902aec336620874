// For a sensor whose reading takes most of a second: the next conversion runs while the cycle does other work, and each
// result is handed out once. So a cycle never waits long, and a number never freezes.
import { withDeadline } from "../clock.ts";
import type { Clock } from "../ports.ts";

/** A result older than this is not handed out any more, s. */
const OLDEST_SECONDS = 2.5;

type Outcome<Value> = { readonly endedSeconds: number; readonly give: () => Value };

/** Runs one conversion at a time, one ahead of those who ask. */
export class Conversions<Value> {
  readonly #clock: Clock;
  readonly #convert: () => Promise<Value>;
  #running: Promise<void> | null = null;
  #unclaimed: Outcome<Value> | null = null;

  constructor(clock: Clock, convert: () => Promise<Value>) {
    this.#clock = clock;
    this.#convert = convert;
  }

  /**
   * The newest result that nobody has had, or the one that comes within `seconds`; an error is such a result. Rejects with
   * TIMEOUT at `place` otherwise, and the result that comes later waits for the next caller.
   */
  async next(seconds: number, place: string): Promise<Value> {
    let outcome = this.#claim();
    for (; outcome === null; outcome = this.#claim()) {
      await withDeadline(this.#clock, seconds, place, this.#start());
    }
    void this.#start();
    return outcome.give();
  }

  #claim(): Outcome<Value> | null {
    const outcome = this.#unclaimed;
    this.#unclaimed = null;
    if (outcome === null || this.#clock.monotonicSeconds() - outcome.endedSeconds > OLDEST_SECONDS) return null;
    return outcome;
  }

  /** The running conversion, or a new one. Never rejects. */
  #start(): Promise<void> {
    this.#running ??= this.#convert()
      .then(
        (value) => () => value,
        (cause: unknown) => () => {
          throw cause;
        },
      )
      .then((give) => {
        this.#running = null;
        this.#unclaimed = { endedSeconds: this.#clock.monotonicSeconds(), give };
      });
    return this.#running;
  }
}
