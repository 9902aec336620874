// Waits for a missing pulse: one timer, which looks at the last pulse's time instead of being set anew by every pulse.
// It does not judge; it only calls once each time the pulses have stopped.
import type { Cancel, Clock } from "./ports.ts";

/** Pulses that must have come before quiet is worth a call: a single spike on a still line is not a fan that stopped. */
const PULSES_BEFORE_QUIET = 4;

/** A timer later than this shows that the process was busy, and edges may still wait to be delivered, s. */
const LATE_TIMER_SECONDS = 0.05;

/** How long to wait for those edges, s. */
const CATCH_UP_SECONDS = 0.03;

/** Calls `wake` once when `seconds` have passed since the last of several pulses. */
export class QuietWatch {
  readonly #clock: Clock;
  readonly #seconds: number;
  readonly #wake: () => void;
  #timer: Cancel | null = null;
  #lastPulseSeconds = 0;
  #pulses = 0;

  constructor(clock: Clock, seconds: number, wake: () => void) {
    if (!(seconds > 0 && seconds <= 60)) throw new RangeError(`quiet lasts 0 to 60 s, not ${seconds}`);
    this.#clock = clock;
    this.#seconds = seconds;
    this.#wake = wake;
  }

  /** Takes the time of one good pulse. */
  pulse(atSeconds: number): void {
    this.#lastPulseSeconds = atSeconds;
    this.#pulses += 1;
    if (this.#timer === null) this.#arm(this.#seconds, false);
  }

  /** Forgets the pulses; nothing is called until new ones come. */
  stop(): void {
    this.#timer?.();
    this.#timer = null;
    this.#pulses = 0;
  }

  #arm(seconds: number, isCatchUp: boolean): void {
    const dueSeconds = this.#clock.monotonicSeconds() + seconds;
    this.#timer = this.#clock.after(seconds, () => this.#look(dueSeconds, isCatchUp));
  }

  #look(dueSeconds: number, isCatchUp: boolean): void {
    this.#timer = null;
    const nowSeconds = this.#clock.monotonicSeconds();
    const leftSeconds = this.#seconds - (nowSeconds - this.#lastPulseSeconds);
    if (leftSeconds > 1e-6) {
      this.#arm(leftSeconds, false);
    } else if (!isCatchUp && nowSeconds - dueSeconds > LATE_TIMER_SECONDS) {
      this.#arm(CATCH_UP_SECONDS, true);
    } else {
      const wasTurning = this.#pulses >= PULSES_BEFORE_QUIET;
      this.#pulses = 0;
      if (wasTurning) this.#wake();
    }
  }
}
