// What the heartbeat told the service thread last, for whoever asks: the newest cycle, the hardware's health, the wall clock, and
// how long ago a cycle was complete. It keeps one of each and judges nothing.

import type { Clock } from "../hardware/ports.ts";
import type { Beat, Parcel } from "./crossing/messages.ts";
import type { HardwareHealth } from "./wire/check.ts";

export class LastHeard {
  readonly #clock: Clock;
  #completeAtSeconds = Number.NEGATIVE_INFINITY;
  #wallSeconds: number;
  #beat: Beat | null = null;
  #health: HardwareHealth | null = null;

  constructor(clock: Clock) {
    this.#clock = clock;
    this.#wallSeconds = clock.wallSeconds();
  }

  hear({ newest, health }: Parcel): void {
    this.#health = health ?? this.#health;
    if (newest === null) return;
    // Lines that refuse are no completed cycle: health says so, and what is believed and alarmed is shown all the same.
    if (newest.driven) this.#completeAtSeconds = this.#clock.monotonicSeconds();
    this.#beat = newest;
    this.#wallSeconds = newest.wallSeconds;
  }

  /** Seconds since a completed cycle was heard of; infinite before the first. */
  get ageSeconds(): number {
    return this.#clock.monotonicSeconds() - this.#completeAtSeconds;
  }

  /** Of the heartbeat's newest cycle; this thread's own before the first. */
  get wallSeconds(): number {
    return this.#wallSeconds;
  }

  get beat(): Beat | null {
    return this.#beat;
  }

  get health(): HardwareHealth | null {
    return this.#health;
  }
}
