// What the shack's transmitter says of itself, with the age of it: frequency, mode, keyed or not, its own power meter.
// Types, the fixed answer of a station that is not linked, and the word heard last from one that is. It talks to no transmitter.

import type { Clock } from "../../hardware/ports.ts";

/** What one round of questions brought; null where the rig does not say. Plain data: it crosses from thread to thread. */
export type RigWord = {
  /** Monotonic seconds of the machine's clock, at the end of the round. */
  readonly atSeconds: number;
  readonly frequencyHertz: number | null;
  readonly mode: string | null;
  readonly transmitting: boolean | null;
  /** Where its power is set, 0 to 1. */
  readonly powerRatio: number | null;
  /** What its own meter shows, W at the rig's socket; 0 while it receives. */
  readonly meterWatts: number | null;
  readonly swr: number | null;
};

/** Null where the transmitter does not say. */
export type RigReading = Omit<RigWord, "atSeconds" | "powerRatio"> & {
  /** Seconds since it was said; null when nothing is linked. */
  readonly ageSeconds: number | null;
};

/** Asked once a cycle; answers at once from what was heard last. */
export type Rig = () => RigReading;

/** An older word is not used: the operator may have changed the band since. */
export const OLDEST_WORD_SECONDS = 5;

const NOTHING = { frequencyHertz: null, mode: null, transmitting: null, meterWatts: null, swr: null } as const;

/** A station without a link: one frequency and mode set by the operator, or nothing known. */
export function fixedRig(frequencyHertz: number | null, mode: string | null): Rig {
  const reading: RigReading = { ...NOTHING, frequencyHertz, mode, ageSeconds: null };
  return () => reading;
}

/** A linked station, as the heartbeat knows it: the newest word, until it is too old. */
export class HeardRig {
  readonly #clock: Clock;
  readonly #sinceSeconds: number;
  #word: RigWord | null = null;

  /** `clock` is the machine's; words carry its seconds. */
  constructor(clock: Clock) {
    this.#clock = clock;
    this.#sinceSeconds = clock.monotonicSeconds();
  }

  hear(word: RigWord): void {
    this.#word = word;
  }

  /** The newest word while it may be used, else null. */
  get word(): RigWord | null {
    return this.#word !== null && this.#ageSeconds() <= OLDEST_WORD_SECONDS ? this.#word : null;
  }

  readonly reading: Rig = () => {
    const ageSeconds = this.#ageSeconds();
    const { word } = this;
    if (word === null) return { ...NOTHING, ageSeconds };
    const { frequencyHertz, mode, transmitting, meterWatts, swr } = word;
    return { frequencyHertz, mode, transmitting, meterWatts, swr, ageSeconds };
  };

  /** Before the first word: since the link was wanted. */
  #ageSeconds(): number {
    return Math.max(0, this.#clock.monotonicSeconds() - (this.#word?.atSeconds ?? this.#sinceSeconds));
  }
}
