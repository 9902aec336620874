// The campaign's counts: faults injected, survived, wrong; and the first of what was wrong, in words. Nothing else.

/** At most so many wrongs are kept in words; the count goes on. */
const MOST_WORDS = 20;

export class Tally {
  readonly #name: string;
  readonly #words: string[] = [];
  #injected = 0;
  #wrong = 0;
  #cycles = 0;

  constructor(name: string) {
    this.#name = name;
  }

  /** `faults` injected in one trial, with everything that went wrong in it and the cycles it took. */
  count(label: string, faults: number, wrongs: readonly string[], cycles = 0): void {
    this.#injected += faults;
    this.#cycles += cycles;
    // A trial that went wrong condemns all the faults that were in it.
    if (wrongs.length > 0) this.#wrong += faults;
    for (const wrong of wrongs) if (this.#words.length < MOST_WORDS) this.#words.push(`${label}: ${wrong}`);
  }

  get injected(): number {
    return this.#injected;
  }

  /** What went wrong; empty when nothing did. */
  get wrongs(): readonly string[] {
    return this.#words;
  }

  /** The counts, to the terminal. */
  print(): void {
    const cycles = this.#cycles > 0 ? ` in ${this.#cycles} cycles` : "";
    const survived = this.#injected - this.#wrong;
    process.stdout.write(
      `  ${this.#name}: ${this.#injected} faults injected${cycles}, ${survived} survived, ${this.#wrong} wrong\n`,
    );
  }
}
