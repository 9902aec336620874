// A buzzer on an output line: sounds a rhythm while it is asked for, and falls silent by itself when nobody asks any more.
// It knows no alarm; which rhythm means what is the daemon's business.
import { withDeadline } from "./clock.ts";
import { fromErrno } from "./errno.ts";
import type { HardwareError } from "./errors.ts";
import { placeOfLine } from "./place.ts";
import type { Board, Buzzer, Cancel, Clock, LineSpec, OutputLine, Rhythm } from "./ports.ts";

/** Nobody asked for so long: whoever did is gone, s. */
const UNASKED_SECONDS = 3;
/** Longest write of the line, s. */
const LINE_SECONDS = 0.2;
/** A buzzer that is switched faster than this only clicks, s. */
const SHORTEST_SECONDS = 0.02;

/** Opens the line, silent. Rejects with HardwareError. */
export async function openBuzzer(spec: LineSpec, board: Board): Promise<Buzzer> {
  return new LineBuzzer(placeOfLine(spec), await board.outputLine(spec), board.clock);
}

class LineBuzzer implements Buzzer {
  readonly place: string;
  readonly #line: OutputLine;
  readonly #clock: Clock;
  #rhythm: Rhythm | null = null;
  #askedSeconds = Number.NEGATIVE_INFINITY;
  #level: 0 | 1 = 0;
  #next: Cancel | null = null;
  #trouble: HardwareError | null = null;
  #writing: Promise<void> = Promise.resolve();

  constructor(place: string, line: OutputLine, clock: Clock) {
    this.place = place;
    this.#line = line;
    this.#clock = clock;
  }

  get trouble(): HardwareError | null {
    return this.#trouble;
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
    await this.#writing;
    await withDeadline(this.#clock, LINE_SECONDS, this.place, this.#line.close());
  }

  #silence(): void {
    this.#next?.();
    this.#next = null;
    // Written also when it should be silent already: a write that failed must not leave it howling.
    if (this.#level === 1 || this.#trouble !== null) this.#put(0);
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

  /** Writes in order; what fails is kept as trouble until a write succeeds. */
  #put(level: 0 | 1): void {
    this.#level = level;
    this.#writing = this.#writing
      .then(() => withDeadline(this.#clock, LINE_SECONDS, this.place, this.#line.write(level)))
      .then(
        () => {
          this.#trouble = null;
        },
        (cause: unknown) => {
          this.#trouble = fromErrno(cause, this.place, "line");
        },
      );
  }
}
