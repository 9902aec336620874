// Everybody who reads one stream: a snapshot first, then numbered texts. Dumb and bounded: a slow reader skips some and gets a fresh
// snapshot, a dead one is cut off, none holds up another. What the texts say, and what carries them, it does not know.

import type { Cancel, Clock } from "../../hardware/ports.ts";
import { Places } from "../access/places.ts";

/** One message as it leaves, the same text for every reader. */
export type StreamText = { readonly type: "snapshot" | "delta"; readonly sequence: number; readonly text: string };

/** A message of a stream as the text that leaves. */
export function streamText(message: { readonly type: StreamText["type"]; readonly sequence: number }): StreamText {
  return { type: message.type, sequence: message.sequence, text: JSON.stringify(message) };
}

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
  /** Where it reads. */
  readonly address: string;
  /** Asked again while it lasts. */
  readonly stillWelcome: () => boolean;
  /** Sequence of what it has from before; null: none. */
  readonly held: number | null;
  /** True: a snapshot each time, for those who do not want to add up deltas. */
  readonly whole: boolean;
};

export type AudienceOptions = {
  /** The machine's clock. */
  readonly clock: Clock;
  /** Readers at once, of all kinds. */
  readonly mostReaders: number;
  /** Bytes that may wait for one reader; beyond, it is skipped until it has caught up. */
  readonly backlogBytes: number;
  /** Everything as it stands under this number; null while there is nothing yet. */
  readonly snapshot: (sequence: number) => StreamText | null;
};

/** A reader that answers no probe within this time is cut off. */
const PROBE_SECONDS = 10;
/** A reader that has not caught up after this time is cut off. */
const STALL_SECONDS = 30;
/** Of so many places one is left to other addresses. */
const ONE_FOR_OTHERS_IN = 16;

type Place = Pick<Seat, "stillWelcome" | "whole"> & {
  readonly reader: StreamReader;
  /** Sequence of what it has; null before its snapshot. */
  sequence: number | null;
  stalledSince: number | null;
};

export class Audience {
  readonly #options: AudienceOptions;
  readonly #seats: Places;
  readonly #places = new Set<Place>();
  #snapshot: StreamText | null = null;
  #sequence = 0;
  #pendingProbe: Cancel;
  #refused = 0;

  /** @throws RangeError when there is no place for anybody */
  constructor(options: AudienceOptions) {
    if (!Number.isSafeInteger(options.mostReaders) || options.mostReaders < 1) {
      throw new RangeError("stream: mostReaders must be a whole number above 0");
    }
    this.#options = options;
    const { mostReaders } = options;
    this.#seats = new Places(mostReaders, mostReaders - Math.floor(mostReaders / ONE_FOR_OTHERS_IN));
    this.#pendingProbe = options.clock.after(PROBE_SECONDS, () => this.#probe());
  }

  /** Readers that find a place at once. */
  get most(): number {
    return this.#options.mostReaders;
  }

  get readers(): number {
    return this.#places.size;
  }

  /** Readers turned away because all places were taken. */
  get refused(): number {
    return this.#refused;
  }

  /** Whether another reader of this address finds a place; when none does, this counts as one turned away. */
  hasPlace(address: string): boolean {
    if (this.#seats.isFree(address)) return true;
    this.#refused += 1;
    return false;
  }

  /** Serves `reader` from now on until the function that is returned is called. */
  join(reader: StreamReader, { address, stillWelcome, held, whole }: Seat): () => void {
    const leave = this.#seats.take(address);
    const sequence = held === this.#sequence ? held : null;
    const place: Place = { reader, stillWelcome, whole, sequence, stalledSince: null };
    this.#places.add(place);
    if (sequence === null) this.#resume(place);
    return () => {
      this.#places.delete(place);
      leave();
    };
  }

  /** One text under the next number serves all who have the one before; where it is null, and whoever lags, gets a snapshot. */
  send(deltaOf: (sequence: number) => StreamText | null): void {
    this.#sequence += 1;
    this.#snapshot = null;
    const delta = deltaOf(this.#sequence);
    for (const place of this.#places) {
      if (this.#isStalled(place)) continue;
      if (delta !== null && !place.whole && place.sequence === this.#sequence - 1) {
        place.reader.send(delta);
        place.sequence = this.#sequence;
      } else this.#resume(place);
    }
  }

  /** Ends the streams of those who may look no longer: a login that ended, a password or token that was withdrawn. */
  review(): void {
    for (const { reader, stillWelcome } of this.#places) {
      if (!stillWelcome()) reader.end("login ended");
    }
  }

  /** Says goodbye to every reader. */
  close(): void {
    this.#pendingProbe();
    for (const { reader } of this.#places) reader.end("stop");
  }

  /** Sends everything as it stands; one text serves all who need it. */
  #resume(place: Place): void {
    this.#snapshot ??= this.#options.snapshot(this.#sequence);
    if (this.#snapshot === null) return;
    place.reader.send(this.#snapshot);
    place.sequence = this.#sequence;
  }

  #isStalled(place: Place): boolean {
    if (place.reader.waitingBytes <= this.#options.backlogBytes) {
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
