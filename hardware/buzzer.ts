// A buzzer on an output line: sounds a rhythm while it is asked for, and falls silent by itself when nobody asks any more.
// It knows no alarm; which rhythm means what is the daemon's business.
import { openDrivenLine } from "./driven-line.ts";
import type { Board, Buzzer, Cancel, Clock, DrivenLine, LineSpec, Rhythm } from "./ports.ts";

/** Nobody asked for so long: whoever did is gone, s. */
const UNASKED_SECONDS = 3;
/** A buzzer that is switched faster than this only clicks, s. */
const SHORTEST_SECONDS = 0.02;

/** Opens the line, silent. Rejects with HardwareError. */
export async function openBuzzer(spec: LineSpec, board: Board): Promise<Buzzer> {
  return new LineBuzzer(await openDrivenLine(spec, board), board.clock);
}

class LineBuzzer implements Buzzer {
  readonly #line: DrivenLine;
  readonly #clock: Clock;
  #rhythm: Rhythm | null = null;
  #askedSeconds = Number.NEGATIVE_INFINITY;
  #level: 0 | 1 = 0;
  #next: Cancel | null = null;

  constructor(line: DrivenLine, clock: Clock) {
    this.#line = line;
    this.#clock = clock;
  }

  get place(): string {
    return this.#line.place;
  }

  get trouble(): Error | null {
    return this.#line.trouble;
  }

  sound(rhythm: Rhythm | null): void {
    if (rhythm !== null && !(rhythm.onSeconds >= SHORTEST_SECONDS && rhythm.offSeconds >= SHORTEST_SECONDS)) {
      throw new RangeError(`a rhythm is on and off for at least ${SHORTEST_SECONDS} s each`);
    }
    this.#askedSeconds = this.#clock.monotonicSeconds();
    const begins = this.#rhythm === null && rhythm !== null;
    this.#rhythm = rhythm;
    if (rhythm === null) this.#silence();
    else if (begins) this.#turn(1);
  }

  async close(): Promise<void> {
    this.#rhythm = null;
    this.#silence();
    await this.#line.close();
  }

  #silence(): void {
    this.#next?.();
    this.#next = null;
    // Written also when it should be silent already: a write that failed must not leave it howling.
    if (this.#level === 1 || this.trouble !== null) this.#put(0);
  }

  /** One stroke or one gap of the rhythm, and the next after it. */
  #turn(level: 0 | 1): void {
    const rhythm = this.#rhythm;
    if (rhythm === null || this.#clock.monotonicSeconds() - this.#askedSeconds > UNASKED_SECONDS) {
      this.#rhythm = null;
      this.#silence();
      return;
    }
    this.#put(level);
    const seconds = level === 1 ? rhythm.onSeconds : rhythm.offSeconds;
    this.#next = this.#clock.after(seconds, () => this.#turn(level === 1 ? 0 : 1));
  }

  #put(level: 0 | 1): void {
    this.#level = level;
    this.#line.put(level);
  }
}
