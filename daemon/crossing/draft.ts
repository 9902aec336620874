// The publication to come: entries of the record numbered and stamped as they are made, and answers, until a cycle takes it all. It
// sends nothing and knows no cycle.

import type { Clock } from "../../hardware/ports.ts";
import type { Answer } from "../core/commands.ts";
import type { RecordEntry } from "../core/effects.ts";
import type { Beat, NumberedEntry, Publication } from "./messages.ts";

/** Entries that wait for the next publication; older ones make way. */
const MOST_ENTRIES = 1_000;

export class Draft {
  readonly #clock: Pick<Clock, "wallSeconds" | "wallIsTrusted">;
  #numbered = 0;
  #entries: NumberedEntry[] = [];
  #answers: Answer[] = [];

  /** `clock` dates the entries. */
  constructor(clock: Pick<Clock, "wallSeconds" | "wallIsTrusted">) {
    this.#clock = clock;
  }

  enter(entry: RecordEntry): void {
    this.#numbered += 1;
    const [wallSeconds, wallTrusted] = [this.#clock.wallSeconds(), this.#clock.wallIsTrusted()];
    this.#entries.push({ ...entry, number: this.#numbered, wallSeconds, wallTrusted });
    if (this.#entries.length > MOST_ENTRIES) this.#entries.shift();
  }

  answer(answers: readonly Answer[]): void {
    this.#answers.push(...answers);
  }

  /** All of it, and an empty draft after. `beat` null = there was no cycle to tell of. */
  take(beat: Beat | null, checkpoint: string | null): Publication {
    const publication = { beat, entries: this.#entries, checkpoint, answers: this.#answers };
    this.#entries = [];
    this.#answers = [];
    return publication;
  }
}
