// The season log as the service thread sees it: takes rows and entries in bounded batches, commits rows every ten seconds and
// entries at once. A disk that is full, read-only or gone stops the log, never the daemon; it tries again later.

import type { Database } from "better-sqlite3";
import type { History } from "../wire/frame.ts";
import type { HistoryQuery } from "../wire/history.ts";
import { OpenBlock, packBlock } from "./block.ts";
import type { LogEntry, LogRow } from "./columns.ts";
import { checkpointOf } from "./connection.ts";
import type { BandOf, Filing } from "./filing.ts";
import { readHistory } from "./history.ts";
import { Keepsake, keptBeside } from "./keepsake.ts";
import { FileInUse } from "./lock.ts";
import type { Piece } from "./pieces.ts";
import { prune, type Retention } from "./retention.ts";
import { LAYOUT, NewerSchema } from "./schema.ts";
import { segmentsOf } from "./segment.ts";
import { filedRow, type RunIdentity, Store } from "./store.ts";

export type SeasonLogOptions = {
  readonly file: string;
  readonly run: RunIdentity;
  readonly retention: Retention;
  readonly bandOf: BandOf;
};

/** How far the log has come, by number of row and entry of this run. */
export type Progress = {
  readonly acceptedRow: number;
  readonly acceptedEntry: number;
  readonly persistedRow: number;
  readonly persistedEntry: number;
  readonly writable: boolean;
  readonly trouble: string | null;
  readonly diskFreeRatio: number | null;
};

const COMMIT_SECONDS = 10;
/** A checkpoint that comes with nothing for the record may wait so long: it would double what is written. */
const CHECKPOINT_SECONDS = 60;
const RETRY_SECONDS = 10;
const PRUNE_SECONDS = 600;
const PRUNE_AGAIN_SECONDS = 5;
/** Rows that wait for a commit; more force one. */
const MOST_PENDING = 2_000;

type Batch = { rows: LogRow[]; entries: LogEntry[]; checkpoint: string | null };

export class SeasonLog {
  readonly #options: SeasonLogOptions;
  #store: Store | null = null;
  readonly #keepsake: Keepsake;
  #pending: Batch = { rows: [], entries: [], checkpoint: null };
  #persisted = { row: 0, entry: 0 };
  #trouble: string | null = null;
  #diskFreeRatio: number | null = null;
  #commitAt = 0;
  #checkpointAt = 0;
  #retryAt = 0;
  #pruneAt = 0;
  #diskFreeBytes: number | null = null;

  /**
   * Opens the file; a disk that does not let it is a trouble to be told, not an error.
   * Seconds are monotonic seconds of the machine's clock.
   * @throws FileInUse when another process has the file, NewerSchema when a newer program wrote it: what it remembers of a trip
   * cannot be read then
   */
  constructor(options: SeasonLogOptions, nowSeconds: number) {
    this.#options = options;
    this.#keepsake = new Keepsake(options.file);
    this.#open(nowSeconds);
  }

  get progress(): Progress {
    return {
      acceptedRow: this.#pending.rows.at(-1)?.number ?? this.#persisted.row,
      acceptedEntry: this.#pending.entries.at(-1)?.number ?? this.#persisted.entry,
      persistedRow: this.#persisted.row,
      persistedEntry: this.#persisted.entry,
      writable: this.#trouble === null,
      trouble: this.#trouble,
      diskFreeRatio: this.#diskFreeRatio,
    };
  }

  /** What the last run left to begin from, read past a disk that cannot be written; null when there is none. @throws what the disk says */
  checkpoint(): string | null {
    const { file } = this.#options;
    return keptBeside(file) ?? (this.#store === null ? checkpointOf(file) : this.#store.checkpoint());
  }

  /** Takes what came; commits when it is time. While there is trouble it takes nothing, so that the sender keeps it: the checkpoint is set aside. */
  take(rows: readonly LogRow[], entries: readonly LogEntry[], checkpoint: string | null, now: Now): void {
    if (this.#trouble !== null && now.seconds >= this.#retryAt) this.#reopen(now.seconds);
    if (this.#trouble !== null) {
      if (checkpoint !== null) this.#keepsake.keep(checkpoint);
      return;
    }
    this.#pending.rows.push(...rows);
    this.#pending.entries.push(...entries);
    this.#pending.checkpoint = checkpoint ?? this.#pending.checkpoint;
    const full = this.#pending.rows.length >= MOST_PENDING;
    if (full || this.#pending.entries.length > 0 || now.seconds >= this.#commitAt) this.#commit(now.seconds);
    if (this.#trouble === null) this.#pack(now.seconds);
    if (this.#trouble === null && now.seconds >= this.#pruneAt) this.#prune(now);
  }

  /** Thinned series, rows that wait for a commit among them. @throws what the disk says */
  history(query: HistoryQuery): History {
    return readHistory(this.database, query, this.#pendingPieces());
  }

  /** For reading and for marking sessions. @throws Error when the log is not open */
  get database(): Database {
    if (this.#store === null) throw new Error(this.#trouble ?? "the log is closed");
    return this.#store.database;
  }

  /** True while nothing was ever written to the file. */
  isEmpty(): boolean {
    if (this.#store === null) return false;
    const sql = "SELECT EXISTS (SELECT 1 FROM recent) OR EXISTS (SELECT 1 FROM hour) OR EXISTS (SELECT 1 FROM entry)";
    return this.#store.database.prepare<[], number>(sql).pluck().get() === 0;
  }

  /** Runs something that writes beside rows, all of it or nothing; null when the log cannot be written now. */
  beside<Result>(work: (database: Database, filing: Filing) => Result): Result | null {
    const store = this.#store;
    if (store === null || this.#trouble !== null) return null;
    try {
      return store.database.transaction(() => work(store.database, store.filing))();
    } catch (error) {
      this.#trouble = error instanceof Error ? error.message : String(error);
      return null;
    }
  }

  /** Commits what waits and lets go of the file. */
  close(nowSeconds: number): void {
    this.#commit(nowSeconds, true);
    this.#store?.close();
    this.#store = null;
    this.#keepsake.close();
  }

  #open(nowSeconds: number): void {
    try {
      this.#store?.close();
      this.#store = null;
      this.#store = new Store(this.#options.file, this.#options.run, this.#options.bandOf);
      this.#persisted = this.#store.persisted();
      this.#measureDisk(this.#store);
      this.#trouble = null;
      this.#commitAt = nowSeconds + COMMIT_SECONDS;
    } catch (error) {
      if (error instanceof FileInUse || error instanceof NewerSchema) throw error;
      this.#fail(error, nowSeconds);
    }
    this.#keepsake.open();
  }

  #reopen(nowSeconds: number): void {
    try {
      this.#open(nowSeconds);
    } catch (error) {
      this.#fail(error, nowSeconds);
    }
  }

  #commit(nowSeconds: number, last = false): void {
    const { rows, entries } = this.#pending;
    const due = last || entries.length > 0 || nowSeconds >= this.#checkpointAt;
    const checkpoint = due ? this.#pending.checkpoint : null;
    this.#commitAt = nowSeconds + COMMIT_SECONDS;
    if (this.#store === null || (rows.length === 0 && entries.length === 0 && checkpoint === null)) return;
    const store = this.#store;
    try {
      this.#keepsake.around(checkpoint, () => store.write({ rows, entries, checkpoint }));
      if (checkpoint !== null) this.#checkpointAt = nowSeconds + CHECKPOINT_SECONDS;
      this.#persisted = {
        row: rows.at(-1)?.number ?? this.#persisted.row,
        entry: entries.at(-1)?.number ?? this.#persisted.entry,
      };
      this.#pending = { rows: [], entries: [], checkpoint: due ? null : this.#pending.checkpoint };
      this.#measureDisk(this.#store);
    } catch (error) {
      this.#fail(error, nowSeconds);
    }
  }

  /** One hour at a time, so that the stream never waits for a season. */
  #pack(nowSeconds: number): void {
    if (this.#store === null) return;
    try {
      this.#store.pack();
    } catch (error) {
      this.#fail(error, nowSeconds);
    }
  }

  #measureDisk(store: Store): void {
    const disk = store.disk();
    this.#diskFreeRatio = disk?.freeRatio ?? null;
    this.#diskFreeBytes = disk?.freeBytes ?? null;
  }

  #pendingPieces(): Piece[] {
    return segmentsOf(LAYOUT, this.#pending.rows.map(filedRow)).map(({ place, columns }, index) => ({
      table: "pending",
      id: index,
      run: 0,
      place,
      specs: LAYOUT,
      open: () => new OpenBlock(LAYOUT, packBlock(LAYOUT, columns)),
    }));
  }

  #prune({ seconds, wallSeconds, wallTrusted }: Now): void {
    if (this.#store === null) return;
    try {
      // A clock that was never set must not decide what is old; what is too much is too much without it.
      const now = wallTrusted ? wallSeconds : null;
      const more = prune(this.#store.database, this.#options.retention, now, this.#diskFreeBytes);
      this.#pruneAt = seconds + (more ? PRUNE_AGAIN_SECONDS : PRUNE_SECONDS);
    } catch (error) {
      this.#fail(error, seconds);
    }
  }

  /** What waited is dropped here: the heartbeat keeps it until it is told that it is on the disk. The checkpoint is set aside. */
  #fail(error: unknown, nowSeconds: number): void {
    if (this.#pending.checkpoint !== null) this.#keepsake.keep(this.#pending.checkpoint);
    this.#pending = { rows: [], entries: [], checkpoint: null };
    this.#trouble = error instanceof Error ? error.message : String(error);
    this.#retryAt = nowSeconds + RETRY_SECONDS;
  }
}

/** Monotonic seconds of the machine, and the wall time with how much to believe it. */
export type Now = { readonly seconds: number; readonly wallSeconds: number; readonly wallTrusted: boolean };
