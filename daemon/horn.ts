// The local buzzer as the heartbeat uses it: how it sounds for each priority, so that an ear can tell them apart without a look,
// and one line for the record when it does not. It decides nothing and is never waited for.

import type { Buzzer, Rhythm } from "../hardware/ports.ts";
import type { Priority } from "./core/effects.ts";

/**
 * Strokes and gaps per priority of the worst alarm that waits for somebody. Our own choice; common practice, no source: the more
 * urgent sounds the faster.
 */
export const RHYTHMS: Readonly<Record<Priority, Rhythm>> = {
  high: { onSeconds: 0.25, offSeconds: 0.25 },
  medium: { onSeconds: 0.4, offSeconds: 1.6 },
  low: { onSeconds: 0.1, offSeconds: 9.9 },
};

export class Horn {
  readonly #buzzer: Buzzer | null;
  readonly #onTrouble: (text: string) => void;
  #trouble: string | null = null;

  /** `onTrouble` hears once of each new trouble with the line. */
  constructor(buzzer: Buzzer | null, onTrouble: (text: string) => void) {
    this.#buzzer = buzzer;
    this.#onTrouble = onTrouble;
  }

  /** Once a cycle: a buzzer that is not asked for some seconds falls silent. */
  sound(priority: Priority | null): void {
    if (this.#buzzer === null) return;
    this.#buzzer.sound(priority === null ? null : RHYTHMS[priority]);
    const trouble = this.#buzzer.trouble?.message ?? null;
    if (trouble !== null && trouble !== this.#trouble) this.#onTrouble(trouble);
    this.#trouble = trouble;
  }
}
