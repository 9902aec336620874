// The log's file: opens it, holds it alone, writes batches, answers queries. Every call may throw what the disk says;
// it never retries, waits or forgives: that is the log's business.

import { statfsSync } from "node:fs";
import { dirname } from "node:path";
import Database from "better-sqlite3";
import { COLUMNS, type LogEntry, type LogRow, TABLES } from "./columns.ts";
import { takeLock } from "./lock.ts";
import { prepareSchema } from "./schema.ts";

/** Which start of the daemon the rows belong to. */
export type RunIdentity = {
  /** Unique per start. */
  readonly key: string;
  readonly bootId: string;
  readonly version: string;
  readonly simulated: boolean;
};

/** Pages of memory the file may use, KiB; the log is written in order and read seldom. */
const CACHE_KIBIBYTES = 2_048;
const JOURNAL_BYTES = 4 * 1024 * 1024;

export class Store {
  readonly #file: string;
  readonly #lock: Database.Database;
  readonly #database: Database.Database;
  readonly #run: number;
  readonly #instant: Database.Statement<unknown[]>;
  readonly #tables: readonly {
    readonly insert: Database.Statement<unknown[]>;
    readonly cells: (row: LogRow) => unknown[];
  }[];
  readonly #entry: Database.Statement<unknown[]>;
  readonly #write: (batch: Batch) => void;

  /**
   * @throws FileInUse when another process has it; otherwise what the disk or the file's version says
   */
  constructor(file: string, run: RunIdentity) {
    this.#file = file;
    this.#lock = takeLock(file);
    try {
      this.#database = new Database(file, { timeout: 1_000 });
      this.#database.pragma("journal_mode = WAL");
      this.#database.pragma("foreign_keys = ON");
      this.#database.pragma(`cache_size = -${CACHE_KIBIBYTES}`);
      this.#database.pragma(`journal_size_limit = ${JOURNAL_BYTES}`);
      prepareSchema(this.#database);
      this.#run = this.#enterRun(run);
    } catch (error) {
      this.#lock.close();
      throw error;
    }
    const database = this.#database;
    this.#instant = database.prepare(
      "INSERT OR IGNORE INTO instant (run, number, monotonic_seconds, wall_seconds, wall_trusted) VALUES (?, ?, ?, ?, ?)",
    );
    this.#tables = TABLES.map((table) => {
      const columns = COLUMNS[table];
      const names = ["id", ...columns.map(([name]) => name)];
      const insert = database.prepare<unknown[]>(
        `INSERT INTO ${table} (${names.join(", ")}) VALUES (${names.map(() => "?").join(", ")})`,
      );
      return { insert, cells: (row) => columns.map(([, of]) => of(row)) };
    });
    this.#entry = database.prepare(
      "INSERT OR IGNORE INTO entry (run, number, at_seconds, wall_seconds, wall_trusted, kind, tag, text, by) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
    );
    this.#write = database.transaction((batch: Batch) => this.#insert(batch));
  }

  /** Numbers of this run's last row and entry on the disk; 0 when there is none. */
  persisted(): { readonly row: number; readonly entry: number } {
    const last = (table: string): number =>
      this.#database
        .prepare<[number], { last: number | null }>(`SELECT max(number) AS last FROM ${table} WHERE run = ?`)
        .get(this.#run)?.last ?? 0;
    return { row: last("instant"), entry: last("entry") };
  }

  /** Writes all of it or nothing. Entries of the record are forced to the medium; rows follow with the next checkpoint of the WAL. */
  write(batch: Batch): void {
    const durable = batch.entries.length > 0;
    if (durable) this.#database.pragma("synchronous = FULL");
    try {
      this.#write(batch);
    } finally {
      if (durable) this.#database.pragma("synchronous = NORMAL");
    }
  }

  /** The text kept for the next start; null when there is none. */
  checkpoint(): string | null {
    const kept = this.#database.prepare<[], { text: string }>("SELECT text FROM checkpoint WHERE id = 1").get();
    return kept?.text ?? null;
  }

  /** For reading: history, export. */
  get database(): Database.Database {
    return this.#database;
  }

  /** Free share of the disk the file is on, 0–1; null where the system does not say. */
  diskFreeRatio(): number | null {
    const { bavail, blocks } = statfsSync(dirname(this.#file));
    return blocks > 0 ? bavail / blocks : null;
  }

  close(): void {
    this.#database.close();
    this.#lock.close();
  }

  #enterRun({ key, bootId, version, simulated }: RunIdentity): number {
    this.#database
      .prepare("INSERT OR IGNORE INTO run (key, boot_id, version, simulated) VALUES (?, ?, ?, ?)")
      .run(key, bootId, version, Number(simulated));
    const found = this.#database.prepare<[string], { id: number }>("SELECT id FROM run WHERE key = ?").get(key);
    if (found === undefined) throw new Error(`${this.#file}: the run was not entered`);
    return found.id;
  }

  #insert({ rows, entries, checkpoint }: Batch): void {
    for (const row of rows) {
      const times = [row.number, row.outlook.atSeconds, row.wallSeconds, Number(row.wallTrusted)];
      const { changes, lastInsertRowid } = this.#instant.run(this.#run, ...times);
      // A row sent again after the service thread died is on the disk already.
      if (changes === 0) continue;
      for (const { insert, cells } of this.#tables) insert.run(lastInsertRowid, ...cells(row));
    }
    for (const { number, atSeconds, wallSeconds, wallTrusted, kind, tag, text, by } of entries) {
      this.#entry.run(this.#run, number, atSeconds, wallSeconds, Number(wallTrusted), kind, tag, text, by);
    }
    if (checkpoint !== null) {
      this.#database.prepare("INSERT OR REPLACE INTO checkpoint (id, text) VALUES (1, ?)").run(checkpoint);
    }
  }
}

export type Batch = {
  readonly rows: readonly LogRow[];
  readonly entries: readonly LogEntry[];
  readonly checkpoint: string | null;
};
