// What one cycle has to tell, collected while it is worked out: lines of the record and answers to commands, all of one instant.
// It decides nothing and orders nothing: what is entered first is told first.

import type { Answer } from "../commands.ts";
import type { RecordEntry } from "../effects.ts";

const NO_ANSWERS: readonly Answer[] = Object.freeze([]);
const NO_RECORD: readonly RecordEntry[] = Object.freeze([]);

export class Journal {
  /** Monotonic. */
  readonly atSeconds: number;
  readonly #record: RecordEntry[] = [];
  readonly #answers: Answer[] = [];

  constructor(atSeconds: number) {
    this.atSeconds = atSeconds;
  }

  /** Every entry so far; the same empty list in every cycle in which nothing happens. */
  get record(): readonly RecordEntry[] {
    return this.#record.length === 0 ? NO_RECORD : this.#record;
  }

  get answers(): readonly Answer[] {
    return this.#answers.length === 0 ? NO_ANSWERS : this.#answers;
  }

  /** `by` is null where nobody asked for it. */
  enter(kind: RecordEntry["kind"], tag: string, text: string, by: string | null): void {
    this.#record.push({ atSeconds: this.atSeconds, kind, tag, text, by });
  }

  /** What happened without asking anybody for a response. */
  event(tag: string, text: string): void {
    this.enter("event", tag, text, null);
  }

  answer(answer: Answer): void {
    this.#answers.push(answer);
  }
}
