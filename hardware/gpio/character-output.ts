// An output of the character device: low from the moment the kernel gives it out, read back from the pin, low again when it is
// closed. Calls end at once, without libuv's threads: a stuck I2C bus cannot keep a permit line from being released.
import { fromErrno } from "../errno.ts";
import { HardwareError } from "../errors.ts";
import type { OutputLine } from "../ports.ts";
import { checkSettings, type DeviceLine, levelOf, requestLine } from "./line-request.ts";
import { encodeValues, FLAG, IOCTL } from "./uapi.ts";

/** Pulled down as well: where the kernel makes a freed line an input, it falls instead of floating. */
const FLAGS = FLAG.OUTPUT | FLAG.BIAS_PULL_DOWN;

export class CharacterOutputLine implements OutputLine {
  readonly #line: DeviceLine;
  readonly #file: number;
  #closed = false;

  private constructor(line: DeviceLine, file: number) {
    this.#line = line;
    this.#file = file;
  }

  /** Rejects with HardwareError. */
  static async open(line: DeviceLine): Promise<CharacterOutputLine> {
    const file = await requestLine(line, FLAGS);
    try {
      checkSettings(line, FLAGS);
    } catch (cause) {
      line.calls.close(file);
      throw cause;
    }
    return new CharacterOutputLine(line, file);
  }

  async write(level: 0 | 1): Promise<void> {
    this.#demandOpen();
    this.#put(level);
  }

  async read(): Promise<0 | 1> {
    this.#demandOpen();
    return levelOf(this.#line, this.#file);
  }

  /** Low first: many chips keep the level of a line that is given back. */
  async close(): Promise<void> {
    if (this.#closed) return;
    this.#closed = true;
    try {
      this.#put(0);
    } finally {
      this.#line.calls.close(this.#file);
    }
  }

  #demandOpen(): void {
    if (this.#closed) throw new HardwareError("CLOSED", this.#line.place);
  }

  #put(level: 0 | 1): void {
    try {
      this.#line.calls.ioctl(this.#file, IOCTL.LINE_SET_VALUES, encodeValues(level));
    } catch (cause) {
      throw fromErrno(cause, this.#line.place, "line");
    }
  }
}
