// The log's file: opens it, holds it alone, writes batches, packs hours. Every call may throw what the disk says; it never
// retries, waits or forgives: that is the log's business.

import { statfsSync } from "node:fs";
import { dirname } from "node:path";
import { deflateRawSync } from "node:zlib";
import type Database from "better-sqlite3";
import { COLUMNS, type LogEntry, type LogRow } from "./columns.ts";
import { checkpointIn, openDatabase } from "./connection.ts";
import { type BandOf, Filing } from "./filing.ts";
import { takeLock } from "./lock.ts";
import { LAYOUT } from "./schema.ts";
import { type FiledRow, hourOf, segmentsOf } from "./segment.ts";

/** Which start of the daemon the rows belong to. */
export type RunIdentity = {
  /** Unique per start. */
  readonly key: string;
  readonly bootId: string;
  readonly version: string;
  readonly simulated: boolean;
  /** Live rows unless it says otherwise. */
  readonly source?: "live" | "imported" | "demo";
  /** Of the file imported. */
  readonly name?: string;
  /** JSON of the model the estimator runs on. */
  readonly model?: string;
};

/** What is written together. */
export type Batch = {
  readonly rows: readonly LogRow[];
  readonly entries: readonly LogEntry[];
  readonly checkpoint: string | null;
};

/** A row of the daemon as the log files it. */
export function filedRow(row: LogRow): FiledRow {
  return {
    number: row.number,
    monotonicSeconds: row.outlook.atSeconds,
    wallSeconds: row.wallSeconds,
    wallTrusted: row.wallTrusted,
    cells: COLUMNS.map(({ of }) => of(row)),
  };
}

export class Store {
  readonly #file: string;
  readonly #lock: Database.Database;
  readonly #database: Database.Database;
  readonly #run: number;
  readonly #bootId: string;
  readonly #filing: Filing;
  readonly #entry: Database.Statement<unknown[]>;
  readonly #write: (batch: FiledBatch) => void;
  readonly #pack: () => boolean;
  #lastRow: number;
  /** Rows or entries of this boot stand under a date nobody vouched for. */
  #undated: boolean;
  /** An hour may be over; true at the start, for what the last run left. */
  #mayPack = true;
  #hour: number | null = null;

  /** @throws FileInUse when another process has it; otherwise what the disk or the file's version says */
  constructor(file: string, run: RunIdentity, bandOf: BandOf) {
    this.#file = file;
    this.#bootId = run.bootId;
    this.#lock = takeLock(file);
    let opened: Database.Database | null = null;
    try {
      opened = openDatabase(file);
      this.#database = opened;
      this.#run = enterRun(opened, run);
      this.#filing = new Filing(opened, bandOf);
    } catch (error) {
      opened?.close();
      this.#lock.close();
      throw error;
    }
    const database = this.#database;
    this.#entry = database.prepare(
      "INSERT OR IGNORE INTO entry (run, number, at_seconds, wall_seconds, wall_trusted, kind, tag, text, by) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
    );
    this.#write = database.transaction((batch: FiledBatch) => this.#insert(batch));
    this.#pack = database.transaction(() => this.#filing.packOne());
    this.#lastRow = this.persisted().row;
    this.#undated = this.#hasUndated();
  }

  /** Numbers of this run's last row and entry on the disk; 0 when there is none. */
  persisted(): { readonly row: number; readonly entry: number } {
    const last = (table: string, column: string): number =>
      this.#database
        .prepare<[number], number | null>(`SELECT max(${column}) FROM ${table} WHERE run = ?`)
        .pluck()
        .get(this.#run) ?? 0;
    return {
      row: Math.max(last("recent", "last_number"), last("block", "last_number")),
      entry: last("entry", "number"),
    };
  }

  /** Writes all of it or nothing, forced to the medium when it returns. */
  write({ rows, entries, checkpoint }: Batch): void {
    this.file({ rows: rows.map(filedRow), entries, checkpoint });
  }

  /** The same with rows that are filed already. */
  file(batch: FiledBatch): void {
    this.#write(batch);
    const last = batch.rows.at(-1);
    if (last === undefined) return;
    this.#lastRow = Math.max(this.#lastRow, last.number);
    const hour = hourOf(last.wallSeconds);
    this.#mayPack ||= hour !== this.#hour;
    this.#hour = hour;
  }

  /** Packs one hour that is over; true when there may be more. Costs nothing while no hour has ended. */
  pack(): boolean {
    if (this.#mayPack) this.#mayPack = this.#pack();
    return this.#mayPack;
  }

  /** The text kept for the next start; null when there is none. */
  checkpoint(): string | null {
    return checkpointIn(this.#database);
  }

  /** For reading: history, review, export. */
  get database(): Database.Database {
    return this.#database;
  }

  get run(): number {
    return this.#run;
  }

  get filing(): Filing {
    return this.#filing;
  }

  /** Free space of the disk the file is on; null where the system does not say. */
  disk(): { readonly freeRatio: number; readonly freeBytes: number } | null {
    const { bavail, blocks, bsize } = statfsSync(dirname(this.#file));
    return blocks > 0 ? { freeRatio: bavail / blocks, freeBytes: bavail * bsize } : null;
  }

  close(): void {
    this.#database.close();
    this.#lock.close();
  }

  #hasUndated(): boolean {
    const of = (table: string, flag: string): string =>
      `EXISTS (SELECT 1 FROM ${table} JOIN run ON run.id = ${table}.run WHERE ${flag} = 0 AND boot_id = $boot)`;
    const sql = `SELECT ${of("recent", "trusted")} OR ${of("block", "trusted")} OR ${of("entry", "wall_trusted")}`;
    return this.#database.prepare<unknown[], number>(sql).pluck().get({ boot: this.#bootId }) === 1;
  }

  #insert({ rows, entries, checkpoint }: FiledBatch): void {
    // A row sent again after the service thread died is on the disk already.
    const fresh = rows.filter(({ number }) => number > this.#lastRow);
    const segments = segmentsOf(LAYOUT, fresh);
    const kept = checkpoint === null ? null : deflateRawSync(checkpoint);
    for (const [index, segment] of segments.entries()) {
      this.#filing.addRecent(this.#run, segment, index === segments.length - 1 ? kept : null);
    }
    if (kept !== null && segments.length === 0) this.#keepCheckpoint(kept);
    for (const { number, atSeconds, wallSeconds, wallTrusted, kind, tag, text, by } of entries) {
      this.#entry.run(this.#run, number, atSeconds, wallSeconds, Number(wallTrusted), kind, tag, text, by);
    }
    this.#date(fresh, entries);
  }

  /** A checkpoint without rows goes to the newest stretch, where the next start looks first. */
  #keepCheckpoint(body: Buffer): void {
    const { changes } = this.#database
      .prepare("UPDATE recent SET checkpoint = ? WHERE id = (SELECT max(id) FROM recent)")
      .run(body);
    if (changes === 0) this.#database.prepare("INSERT OR REPLACE INTO checkpoint (id, body) VALUES (1, ?)").run(body);
  }

  #date(rows: readonly FiledRow[], entries: readonly LogEntry[]): void {
    const doubtful = rows.some((row) => !row.wallTrusted) || entries.some((entry) => !entry.wallTrusted);
    const sure = rows.findLast((row) => row.wallTrusted);
    if (sure !== undefined && (this.#undated || doubtful)) {
      this.#filing.redate(this.#bootId, sure.wallSeconds - sure.monotonicSeconds);
      this.#undated = false;
    } else this.#undated ||= doubtful;
  }
}

export type FiledBatch = {
  readonly rows: readonly FiledRow[];
  readonly entries: readonly LogEntry[];
  readonly checkpoint: string | null;
};

/** The run's number in this file; a run that is there already goes on. */
export function enterRun(database: Database.Database, run: RunIdentity): number {
  const { key, bootId, version, simulated, source = "live", name, model } = run;
  if (model !== undefined) database.prepare("INSERT OR IGNORE INTO model (text) VALUES (?)").run(model);
  database
    .prepare(
      `INSERT OR IGNORE INTO run (key, boot_id, version, simulated, source, name, model)
       VALUES (?, ?, ?, ?, ?, ?, (SELECT id FROM model WHERE text = ?))`,
    )
    .run(key, bootId, version, Number(simulated), source, name ?? null, model ?? null);
  const id = database.prepare<[string], number>("SELECT id FROM run WHERE key = ?").pluck().get(key);
  if (id === undefined) throw new Error(`${database.name}: the run was not entered`);
  return id;
}
