// What the heartbeat has published and the service thread has not yet taken or stored. Bounded: newest wins for the stream,
// the log's rows sit in a ring, entries of the record are kept until they are on the disk. It never touches a thread or a clock.

import type { Answer } from "../core/commands.ts";
import type { HardwareHealth } from "../wire/check.ts";
import type { Beat, LogProgress, NumberedEntry, Parcel } from "./messages.ts";

/** How much may wait; every bound is a count. */
export type OutboxBounds = {
  /** Beats waiting for the log; the oldest fall out. */
  readonly rows: number;
  /** Entries waiting for the record; the last place is kept for a count of those that found none. */
  readonly entries: number;
  /** Answers to operators; the oldest fall out. */
  readonly answers: number;
  readonly rowsPerParcel: number;
  readonly entriesPerParcel: number;
};

/** A quarter of an hour of rows, and more entries than a year of alarms. */
const OUTBOX_BOUNDS: OutboxBounds = {
  rows: 900,
  entries: 10_000,
  answers: 256,
  rowsPerParcel: 120,
  entriesPerParcel: 500,
};

const NOTHING_YET: LogProgress = {
  acceptedRow: 0,
  acceptedEntry: 0,
  persistedRow: 0,
  persistedEntry: 0,
  writable: true,
  trouble: null,
  diskFreeRatio: null,
};

/** Entries and beats are numbered by the caller, rising from 1. */
export class Outbox {
  readonly #bounds: OutboxBounds;
  #rows: Beat[] = [];
  #entries: NumberedEntry[] = [];
  #newest: Beat | null = null;
  #checkpoint: string | null = null;
  /** The one handed over last: until the log is sure, a thread that dies or a disk that refuses may have lost it. */
  #handedOver: string | null = null;
  #answers: Answer[] = [];
  #health: HardwareHealth | null = null;
  #progress: LogProgress = NOTHING_YET;
  #parcels = 0;
  #underway: number | null = null;
  #overflowed = 0;

  /** @throws RangeError when a bound is not a positive whole number. */
  constructor(bounds: OutboxBounds = OUTBOX_BOUNDS) {
    for (const [name, bound] of Object.entries(bounds)) {
      if (!Number.isSafeInteger(bound) || bound < 1)
        throw new RangeError(`outbox: ${name} must be a whole number above 0`);
    }
    this.#bounds = bounds;
  }

  get progress(): LogProgress {
    return this.#progress;
  }

  /** Whether a parcel waits for its receipt, or there is nobody to send one to. */
  get isUnderway(): boolean {
    return this.#underway !== null;
  }

  /** What waits, for tests and figures. */
  get waiting(): { readonly rows: number; readonly entries: number } {
    return { rows: this.#rows.length, entries: this.#entries.length };
  }

  publish(beat: Beat): void {
    this.#newest = beat;
    this.#rows.push(beat);
    if (this.#rows.length > this.#bounds.rows) this.#rows.shift();
  }

  enter(entry: NumberedEntry): void {
    if (this.#entries.length < this.#bounds.entries - 1) {
      this.#entries.push(entry);
      return;
    }
    // The first entries tell how it began, so they stay; the last place says how many found no room.
    if (this.#entries.length === this.#bounds.entries) this.#entries.pop();
    else this.#overflowed = 0;
    this.#overflowed += 1;
    const text = `${this.#overflowed} entries were lost: the log could not be written and the memory for them was full`;
    this.#entries.push({ ...entry, kind: "event", tag: "record-overflow", text, by: null });
  }

  /** The newest checkpoint replaces one that still waits. */
  checkpoint(checkpoint: string): void {
    this.#checkpoint = checkpoint;
  }

  /** The newest replaces one that still waits. */
  health(health: HardwareHealth): void {
    this.#health = health;
  }

  answer(answer: Answer): void {
    this.#answers.push(answer);
    if (this.#answers.length > this.#bounds.answers) this.#answers.shift();
  }

  /** The next parcel, or null while one is under way or there is nothing to send. */
  next(): Parcel | null {
    if (this.#underway !== null) return null;
    const { acceptedRow, acceptedEntry, writable } = this.#progress;
    const rows = writable ? firstAfter(this.#rows, acceptedRow, this.#bounds.rowsPerParcel) : [];
    const entries = writable ? firstAfter(this.#entries, acceptedEntry, this.#bounds.entriesPerParcel) : [];
    const parcel: Parcel = {
      kind: "parcel",
      number: this.#parcels + 1,
      newest: this.#newest,
      rows,
      entries,
      // Also for a log that cannot be written: it has a place to put it aside.
      checkpoint: this.#checkpoint,
      answers: this.#answers,
      health: this.#health,
    };
    const lists = [rows, entries, parcel.answers];
    if (parcel.newest === null && parcel.checkpoint === null && lists.every((list) => list.length === 0)) return null;
    this.#parcels = parcel.number;
    this.#underway = parcel.number;
    this.#newest = null;
    if (parcel.checkpoint !== null) {
      this.#handedOver = parcel.checkpoint;
      this.#checkpoint = null;
    }
    this.#answers = [];
    this.#health = null;
    return parcel;
  }

  /** The service thread took a parcel. A receipt for another parcel gives no credit. */
  receipt(number: number, log: LogProgress): void {
    if (this.#underway !== number) return;
    this.#underway = null;
    // One that a log could not write is for the same log again once it can: sent at once, the two would never rest.
    if (log.writable && !this.#progress.writable) this.#checkpoint ??= this.#handedOver;
    this.#follow(log);
  }

  /** A new service thread is there: nothing is under way, and what is not on the disk is to be sent again. */
  restarted(log: LogProgress): void {
    this.#underway = null;
    this.#answers = [];
    this.#checkpoint ??= this.#handedOver;
    this.#follow(log);
  }

  /** The service thread is gone: until another is there, nothing is sent. */
  orphaned(): void {
    this.#underway = Number.POSITIVE_INFINITY;
  }

  #follow(log: LogProgress): void {
    this.#progress = log;
    this.#rows = this.#rows.filter((row) => row.number > log.persistedRow);
    this.#entries = this.#entries.filter((entry) => entry.number > log.persistedEntry);
  }
}

function firstAfter<Item extends { readonly number: number }>(
  items: readonly Item[],
  after: number,
  most: number,
): readonly Item[] {
  const first = items.findIndex((item) => item.number > after);
  return first < 0 ? [] : items.slice(first, first + most);
}
