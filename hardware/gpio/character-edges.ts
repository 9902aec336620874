// An input of the character device. The kernel stamps every edge in its interrupt and keeps them; they are fetched by the
// clock, many at a time, with a read that never waits: no thread hangs on the line, and noise cannot wake this program more often.
import { fromErrno } from "../errno.ts";
import { HardwareError } from "../errors.ts";
import type { Bias, Cancel, Clock, EdgeLine } from "../ports.ts";
import { checkSettings, type DeviceLine, levelOf, requestLine } from "./line-request.ts";
import { decodeEvents, encodeConfig, FLAG, IOCTL, lostBetween, MOST_EVENTS, SIZE } from "./uapi.ts";

/** How often waiting edges are fetched, s. The kernel keeps 1024 of them, so 50 000 a second come in whole. */
const FETCH_SECONDS = 0.02;

/** Fetched with one call. */
const EVENTS_A_READ = 64;

/** The most calls at a time: what is kept and some that come meanwhile. A storm does not hold the program longer. */
const MOST_READS = (2 * MOST_EVENTS) / EVENTS_A_READ;

const BIAS_FLAG: Readonly<Record<Bias, number>> = {
  "pull-up": FLAG.BIAS_PULL_UP,
  "pull-down": FLAG.BIAS_PULL_DOWN,
  none: FLAG.BIAS_DISABLED,
};

export class CharacterEdgeLine implements EdgeLine {
  readonly stampedBy = "kernel";
  readonly #line: DeviceLine;
  readonly #file: number;
  readonly #quietFlags: number;
  readonly #clock: Clock;
  readonly #listeners = new Set<(atSeconds: number) => void>();
  readonly #buffer = new Uint8Array(EVENTS_A_READ * SIZE.event);
  #lost = 0;
  #lastSequence: number | null = null;
  #next: Cancel | null = null;
  #closed = false;

  private constructor(line: DeviceLine, file: number, quietFlags: number, clock: Clock) {
    this.#line = line;
    this.#file = file;
    this.#quietFlags = quietFlags;
    this.#clock = clock;
  }

  /** An input whose edges are watched while somebody listens. Rejects with HardwareError. */
  static async open(line: DeviceLine, bias: Bias, clock: Clock): Promise<CharacterEdgeLine> {
    const quietFlags = FLAG.INPUT | BIAS_FLAG[bias];
    const flags = quietFlags | FLAG.EDGE_FALLING;
    // With its edges at once, so that a chip that cannot do them is found now.
    const file = await requestLine(line, flags);
    try {
      checkSettings(line, flags);
      line.calls.neverWait(file);
      const opened = new CharacterEdgeLine(line, file, quietFlags, clock);
      opened.#watchEdges(false);
      return opened;
    } catch (cause) {
      line.calls.close(file);
      throw fromErrno(cause, line.place, "line");
    }
  }

  get lostEdges(): number {
    return this.#lost;
  }

  onEdge(listener: (atSeconds: number) => void): Cancel {
    if (this.#closed) throw new HardwareError("CLOSED", this.#line.place);
    const own = (atSeconds: number): void => listener(atSeconds);
    if (this.#listeners.size === 0) this.#begin();
    this.#listeners.add(own);
    return () => {
      if (this.#listeners.delete(own) && this.#listeners.size === 0 && !this.#closed) this.#end();
    };
  }

  /** Edges that came before are heard before the level is told. */
  async read(): Promise<0 | 1> {
    if (this.#closed) throw new HardwareError("CLOSED", this.#line.place);
    this.#fetch();
    return levelOf(this.#line, this.#file);
  }

  async close(): Promise<void> {
    if (this.#closed) return;
    this.#closed = true;
    this.#next?.();
    this.#listeners.clear();
    this.#line.calls.close(this.#file);
  }

  #begin(): void {
    this.#watchEdges(true);
    this.#lastSequence = null;
    this.#schedule();
  }

  /** The kernel is spared the interrupts of a line that nobody listens to: a storm of noise is what made them stop. */
  #end(): void {
    this.#next?.();
    this.#next = null;
    this.#watchEdges(false);
    // What came before is nobody's any more.
    this.#readAll(() => {});
  }

  #watchEdges(wanted: boolean): void {
    const flags = this.#quietFlags | (wanted ? FLAG.EDGE_FALLING : 0);
    try {
      this.#line.calls.ioctl(this.#file, IOCTL.LINE_SET_CONFIG, encodeConfig(flags));
    } catch (cause) {
      throw fromErrno(cause, this.#line.place, "line");
    }
  }

  #schedule(): void {
    this.#next = this.#clock.after(FETCH_SECONDS, () => {
      this.#fetch();
      if (this.#next !== null) this.#schedule();
    });
  }

  /** A line that cannot be read any more gives no edges, and its level says why. */
  #fetch(): void {
    if (this.#listeners.size === 0) return;
    this.#readAll((bytes) => {
      for (const { atSeconds, sequence } of decodeEvents(bytes)) {
        // In a storm the last listener stops listening in the middle, and then the buffer is used for what it left behind.
        if (this.#listeners.size === 0) return;
        if (this.#lastSequence !== null) this.#lost += lostBetween(this.#lastSequence, sequence);
        this.#lastSequence = sequence;
        for (const listener of this.#listeners) listener(atSeconds);
      }
    });
  }

  #readAll(take: (bytes: Uint8Array) => void): void {
    try {
      for (let reads = 0; reads < MOST_READS && !this.#closed; reads += 1) {
        const length = this.#line.calls.read(this.#file, this.#buffer);
        take(this.#buffer.subarray(0, length));
        if (length < this.#buffer.byteLength) return;
      }
    } catch {
      // No edges, then: the tachometer falls quiet, which is the safe side, and the level's error has the reason.
    }
  }
}
