// What is refused again and again, for the record: the first at once, what follows within a minute as one line. It judges nobody.

import type { Cancel, Clock } from "../../hardware/ports.ts";

const QUIET_SECONDS = 60;

export class Refusals {
  readonly #clock: Clock;
  readonly #note: (text: string) => void;
  #count = 0;
  #last = "";
  #quiet: Cancel | null = null;

  constructor(clock: Clock, note: (text: string) => void) {
    this.#clock = clock;
    this.#note = note;
  }

  /** One more; `what` says what it was and from where. */
  add(what: string): void {
    this.#count += 1;
    this.#last = what;
    if (this.#quiet === null) this.#tell();
  }

  close(): void {
    this.#quiet?.();
  }

  #tell(): void {
    this.#quiet = null;
    if (this.#count === 0) return;
    this.#note(this.#count === 1 ? this.#last : `${this.#count} times; the last: ${this.#last}`);
    this.#count = 0;
    this.#quiet = this.#clock.after(QUIET_SECONDS, () => this.#tell());
  }
}
