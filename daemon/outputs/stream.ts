// The stream of frames to all who read it: a snapshot first, then numbered deltas; the newest frame wins over every older one.
// Dumb and bounded: a slow reader skips frames and gets a fresh snapshot, a dead one is cut off, none holds up another. What carries
// the messages to a reader it does not know.

import type { Cancel, Clock } from "../../hardware/ports.ts";
import { diffFrames } from "../wire/delta.ts";
import type { About, Frame, ServerMessage } from "../wire/frame.ts";

/** One message as it leaves, the same text for every reader. */
export type StreamText = { readonly type: ServerMessage["type"]; readonly sequence: number; readonly text: string };

/** One who reads, over whatever carries it. */
export interface StreamReader {
  /** Bytes that wait because it reads slowly. */
  readonly waitingBytes: number;
  send(message: StreamText): void;
  /** Asks whether anybody is there; false when the last question is not answered yet. */
  probe(): boolean;
  /** Says goodbye. */
  end(why: "stop" | "login ended"): void;
  /** Ends it without a word. */
  cutOff(): void;
}

/** How a reader wants to be served. */
export type Seat = {
  /** Asked again while it lasts. */
  readonly stillWelcome: () => boolean;
  /** Sequence of the frame it has from before; null: none. */
  readonly held: number | null;
  /** True: a snapshot each time, for those who do not want to add up deltas. */
  readonly whole: boolean;
};

export type StreamOptions = {
  readonly about: About;
  /** The machine's clock. */
  readonly clock: Clock;
  /** Readers at once, of all kinds. */
  readonly mostReaders: number;
};

/** At most five frames a second, whatever the speed of a simulated feedpoint. */
const FRAME_SECONDS = 0.2;
/** A reader that answers no probe within this time is cut off. */
const PROBE_SECONDS = 10;
/** Bytes that may wait for one reader; beyond, it is skipped until it has caught up. */
const BACKLOG_BYTES = 64 * 1024;
/** A reader that has not caught up after this time is cut off. */
const STALL_SECONDS = 30;

type Place = Pick<Seat, "stillWelcome" | "whole"> & {
  readonly reader: StreamReader;
  /** Sequence of the frame it has; null before its snapshot. */
  sequence: number | null;
  stalledSince: number | null;
};

export class Stream {
  readonly #options: StreamOptions;
  readonly #places = new Set<Place>();
  /** Tells the numbers of this stream from those of one before a restart. */
  readonly key: string;
  #sent: Frame | null = null;
  #newest: Frame | null = null;
  #snapshot: StreamText | null = null;
  #sequence = 0;
  #pendingFlush: Cancel | null = null;
  #pendingProbe: Cancel;
  #refused = 0;

  constructor(options: StreamOptions) {
    if (!Number.isSafeInteger(options.mostReaders) || options.mostReaders < 1) {
      throw new RangeError("stream: mostReaders must be a whole number above 0");
    }
    this.#options = options;
    const startMilliseconds = Math.round(options.clock.monotonicSeconds() * 1000);
    this.key = `${options.clock.bootId.slice(0, 8)}-${startMilliseconds.toString(36)}`;
    this.#pendingProbe = options.clock.after(PROBE_SECONDS, () => this.#probe());
  }

  get readers(): number {
    return this.#places.size;
  }

  /** Readers turned away because all places were taken. */
  get refused(): number {
    return this.#refused;
  }

  get latest(): Frame | null {
    return this.#newest;
  }

  /** Whether another reader finds a place; when none does, this counts as one turned away. */
  hasPlace(): boolean {
    if (this.#places.size < this.#options.mostReaders) return true;
    this.#refused += 1;
    return false;
  }

  /** Serves `reader` from now on until the function that is returned is called. */
  join(reader: StreamReader, { stillWelcome, held, whole }: Seat): () => void {
    const sequence = held === this.#sequence ? held : null;
    const place: Place = { reader, stillWelcome, whole, sequence, stalledSince: null };
    this.#places.add(place);
    if (this.#sent !== null && sequence === null) this.#resume(place);
    return () => this.#places.delete(place);
  }

  /** The newest frame; it is sent at once or, when one was sent just now, a moment later. */
  publish(frame: Frame): void {
    this.#newest = frame;
    if (this.#pendingFlush !== null) return;
    this.#flush();
    this.#pendingFlush = this.#options.clock.after(FRAME_SECONDS, () => {
      this.#pendingFlush = null;
      if (this.#newest !== this.#sent && this.#newest !== null) this.publish(this.#newest);
    });
  }

  /** Ends the streams of those who may look no longer: a login that ended, a password or token that was withdrawn. */
  review(): void {
    for (const { reader, stillWelcome } of this.#places) {
      if (!stillWelcome()) reader.end("login ended");
    }
  }

  /** Says goodbye to every reader. */
  close(): void {
    this.#pendingFlush?.();
    this.#pendingProbe();
    for (const { reader } of this.#places) reader.end("stop");
  }

  #flush(): void {
    const before = this.#sent;
    const frame = this.#newest;
    if (frame === null) return;
    this.#sequence += 1;
    const sequence = this.#sequence;
    this.#sent = frame;
    this.#snapshot = null;
    // One text serves all readers that have the frame before.
    const delta = before === null ? null : encode({ type: "delta", sequence, delta: diffFrames(before, frame) });
    for (const place of this.#places) {
      if (this.#isStalled(place)) continue;
      if (delta !== null && !place.whole && place.sequence === sequence - 1) {
        place.reader.send(delta);
        place.sequence = sequence;
      } else this.#resume(place);
    }
  }

  /** Sends all of the newest frame; one text serves all who need it. */
  #resume(place: Place): void {
    const frame = this.#sent;
    if (frame === null) return;
    const { about } = this.#options;
    this.#snapshot ??= encode({ type: "snapshot", sequence: this.#sequence, about, frame });
    place.reader.send(this.#snapshot);
    place.sequence = this.#sequence;
  }

  #isStalled(place: Place): boolean {
    if (place.reader.waitingBytes <= BACKLOG_BYTES) {
      place.stalledSince = null;
      return false;
    }
    const now = this.#options.clock.monotonicSeconds();
    place.stalledSince ??= now;
    if (now - place.stalledSince > STALL_SECONDS) place.reader.cutOff();
    return true;
  }

  #probe(): void {
    this.review();
    for (const { reader } of this.#places) {
      if (!reader.probe()) reader.cutOff();
    }
    this.#pendingProbe = this.#options.clock.after(PROBE_SECONDS, () => this.#probe());
  }
}

function encode(message: ServerMessage): StreamText {
  return { type: message.type, sequence: message.sequence, text: JSON.stringify(message) };
}
