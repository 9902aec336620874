// When the next beat is due: whole periods from an origin, never by adding up waits, so that lateness does not grow.
// Arithmetic only; it reads no clock and sets no timer.

/** A line that flutters must not turn the heartbeat into a spin. */
const SHORTEST_GAP_SECONDS = 0.05;

export class Pace {
  readonly #originSeconds: number;
  readonly #periodSeconds: number;
  #dueSeconds: number;
  /** Regular beats in periods from the origin: the one that is due (null = an extra one), and the last that ran. */
  #dueIndex: number | null = 0;
  #ranIndex = 0;

  /** The first beat is due at once. @throws RangeError when the period is not positive */
  constructor(originSeconds: number, periodSeconds: number) {
    if (!(periodSeconds > 0)) throw new RangeError(`a period is above 0 s, not ${periodSeconds}`);
    this.#originSeconds = originSeconds;
    this.#periodSeconds = periodSeconds;
    this.#dueSeconds = originSeconds;
  }

  get dueSeconds(): number {
    return this.#dueSeconds;
  }

  /** The beat that was due begins; returns how late, s. */
  begin(nowSeconds: number): number {
    this.#ranIndex = this.#dueIndex ?? this.#ranIndex;
    return Math.max(0, nowSeconds - this.#dueSeconds);
  }

  /** The next whole period; those that were missed are not made up for. */
  next(nowSeconds: number): void {
    const passed = Math.floor((nowSeconds - this.#originSeconds) / this.#periodSeconds);
    // A timer may fire a hair early; the same beat must not come twice for that.
    this.#dueIndex = Math.max(passed, this.#ranIndex) + 1;
    this.#dueSeconds = this.#originSeconds + this.#dueIndex * this.#periodSeconds;
  }

  /** An extra beat: now, or a moment after one that just ended. */
  extra(nowSeconds: number, justEnded: boolean): void {
    this.#dueIndex = null;
    this.#dueSeconds = justEnded ? nowSeconds + SHORTEST_GAP_SECONDS : nowSeconds;
  }
}
