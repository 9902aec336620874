// An output line that is told its level and left to follow: writes go in order, each with a deadline, and what fails is kept
// as trouble until a write succeeds. Low from the moment it is opened, and low again when it is closed. It decides no level.
import { withDeadline } from "./clock.ts";
import { fromErrno } from "./errno.ts";
import type { HardwareError } from "./errors.ts";
import { placeOfLine } from "./place.ts";
import type { Board, Clock, DrivenLine, LineSpec, OutputLine } from "./ports.ts";

/** Longest write of the line, s. */
const LINE_SECONDS = 0.2;
/** Writes that may wait for a line that hangs; a newer level beyond them replaces the last. */
const MOST_WAITING = 8;

/** Opens the line, low. Rejects with HardwareError. */
export async function openDrivenLine(spec: LineSpec, board: Board): Promise<DrivenLine> {
  return new OrderedLine(placeOfLine(spec), await board.outputLine(spec), board.clock);
}

class OrderedLine implements DrivenLine {
  readonly place: string;
  readonly #line: OutputLine;
  readonly #clock: Clock;
  readonly #waiting: (0 | 1)[] = [];
  #trouble: HardwareError | null = null;
  #writing: Promise<void> | null = null;

  constructor(place: string, line: OutputLine, clock: Clock) {
    this.place = place;
    this.#line = line;
    this.#clock = clock;
  }

  get trouble(): HardwareError | null {
    return this.#trouble;
  }

  put(level: 0 | 1): void {
    if (this.#waiting.length >= MOST_WAITING) this.#waiting.pop();
    this.#waiting.push(level);
    this.#writing ??= this.#drain();
  }

  async close(): Promise<void> {
    this.put(0);
    await this.#writing;
    await withDeadline(this.#clock, LINE_SECONDS, this.place, this.#line.close());
  }

  /** Never rejects. */
  async #drain(): Promise<void> {
    for (let level = this.#waiting.shift(); level !== undefined; level = this.#waiting.shift()) {
      try {
        await withDeadline(this.#clock, LINE_SECONDS, this.place, this.#line.write(level));
        this.#trouble = null;
      } catch (cause) {
        this.#trouble = fromErrno(cause, this.place, "line");
      }
    }
    this.#writing = null;
  }
}
