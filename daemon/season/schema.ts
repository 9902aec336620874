// The log's tables. Rows of seconds arrive as small packed stretches, and stand by the hour afterwards; rollups, digests and the
// record stand beside them. It says what the file looks like and brings an older one forward; which file, others say.

import { closeSync, copyFileSync, fsyncSync, openSync, renameSync } from "node:fs";
import type { Database } from "better-sqlite3";
import type { ColumnSpec } from "./block.ts";
import { COLUMNS } from "./columns.ts";
import { bringForwardFrom1 } from "./schema-1.ts";

/** Rises with every change below; an older file is brought forward, a newer one is refused. */
export const SCHEMA_VERSION = 2;

/** Small pages: a stretch of ten seconds is some hundred bytes, and what is written is written in whole pages. */
export const PAGE_BYTES = 1_024;

const CREATE = `
CREATE TABLE run (
  id INTEGER PRIMARY KEY,
  key TEXT NOT NULL UNIQUE,         -- one start of the daemon, one import, or the demo season
  boot_id TEXT NOT NULL,
  version TEXT NOT NULL,
  simulated INTEGER NOT NULL,
  source TEXT NOT NULL,             -- 'live', 'imported' or 'demo'
  name TEXT,                        -- of the file imported
  model INTEGER REFERENCES model (id)
) STRICT;
CREATE TABLE model (
  id INTEGER PRIMARY KEY,
  text TEXT NOT NULL UNIQUE         -- JSON of the model the estimator ran on
) STRICT;
CREATE TABLE layout (
  id INTEGER PRIMARY KEY,
  columns TEXT NOT NULL UNIQUE      -- JSON of the columns of a packed stretch, in order
) STRICT;
CREATE TABLE recent (               -- as committed, until its hour is over
  id INTEGER PRIMARY KEY,
  run INTEGER NOT NULL REFERENCES run (id),
  layout INTEGER NOT NULL REFERENCES layout (id),
  first_number INTEGER NOT NULL, last_number INTEGER NOT NULL, rows INTEGER NOT NULL,
  first_monotonic_seconds REAL NOT NULL,
  offset_seconds REAL NOT NULL,     -- wall minus monotonic
  trusted INTEGER NOT NULL,
  body BLOB NOT NULL,
  checkpoint BLOB                   -- deflated; here because this page is being written anyway
) STRICT;
CREATE TABLE block (                -- one hour of one run
  id INTEGER PRIMARY KEY,
  hour INTEGER NOT NULL,            -- since 1970, UTC
  run INTEGER NOT NULL REFERENCES run (id),
  layout INTEGER NOT NULL REFERENCES layout (id),
  first_number INTEGER NOT NULL, last_number INTEGER NOT NULL, rows INTEGER NOT NULL,
  first_monotonic_seconds REAL NOT NULL,
  offset_seconds REAL NOT NULL,
  trusted INTEGER NOT NULL,
  body BLOB NOT NULL
) STRICT;
CREATE INDEX block_hour ON block (hour);
CREATE INDEX block_run ON block (run, last_number);
CREATE TABLE hour (
  hour INTEGER PRIMARY KEY,
  minutes BLOB,                     -- least, mean and greatest per minute; null where only quarters are known
  minutes_layout INTEGER REFERENCES layout (id),
  digest BLOB NOT NULL              -- deflated JSON
) STRICT;
CREATE TABLE series (
  id INTEGER PRIMARY KEY,
  name TEXT NOT NULL UNIQUE
) STRICT;
CREATE TABLE quarter (              -- least, mean, greatest and count per quarter hour
  id INTEGER PRIMARY KEY,           -- series.id * 2^32 + six hours since 1970 (UTC): a series lies together
  cells BLOB NOT NULL
) STRICT;
CREATE TABLE quarter_sum (          -- least, mean, greatest and count per six hours, for charts of a season
  id INTEGER PRIMARY KEY,           -- series.id * 2^32 + fifteen days since 1970 (UTC)
  cells BLOB NOT NULL
) STRICT;
CREATE TABLE entry (                -- the record: alarms, stages, commands, events, notes
  id INTEGER PRIMARY KEY,
  run INTEGER NOT NULL REFERENCES run (id),
  number INTEGER NOT NULL,
  at_seconds REAL NOT NULL,
  wall_seconds REAL NOT NULL,
  wall_trusted INTEGER NOT NULL,
  kind TEXT NOT NULL, tag TEXT NOT NULL, text TEXT NOT NULL, by TEXT,
  UNIQUE (run, number)
) STRICT;
CREATE INDEX entry_wall ON entry (wall_seconds);
CREATE TABLE session (              -- spans the operator marked: contests, heat runs
  id INTEGER PRIMARY KEY,
  kind TEXT NOT NULL,
  name TEXT NOT NULL,
  from_seconds REAL NOT NULL,
  to_seconds REAL NOT NULL
) STRICT;
CREATE TABLE checkpoint (
  id INTEGER PRIMARY KEY CHECK (id = 1),
  body BLOB NOT NULL
) STRICT;
`;

/** A file that a newer program wrote. */
export class NewerSchema extends Error {
  readonly version: number;

  constructor(file: string, version: number) {
    super(`${file} was written by a newer program (schema ${version}, known ${SCHEMA_VERSION})`);
    this.name = "NewerSchema";
    this.version = version;
  }
}

/** How the packed columns of today look. */
export const LAYOUT: readonly ColumnSpec[] = COLUMNS.map(({ name, step }) => ({ name, step }));

/**
 * Makes the tables in an empty file, or brings an older file forward, all of it or nothing, with a copy of it as it was kept beside.
 * @throws NewerSchema when the file was written by a newer program
 */
export function prepareSchema(database: Database): void {
  const version = database.pragma("user_version", { simple: true }) as number;
  if (version === SCHEMA_VERSION) return;
  if (version > SCHEMA_VERSION) throw new NewerSchema(database.name, version);
  if (version > 0) keepBefore(database, version);
  database.transaction(() => {
    if (version === 1) bringForwardFrom1(database, CREATE);
    else database.exec(CREATE);
    database.pragma(`user_version = ${SCHEMA_VERSION}`);
  })();
}

/** Where the log as it was is kept, for who goes back to the program before. */
export const keptName = (file: string, version: number): string => `${file}.schema-${version}`;

/** The whole file, its journal taken in; the caller holds the log alone. @throws what the disk says, and then nothing is changed */
function keepBefore(database: Database, version: number): void {
  database.pragma("wal_checkpoint(TRUNCATE)");
  const kept = keptName(database.name, version);
  const beside = `${kept}.part`;
  copyFileSync(database.name, beside);
  const descriptor = openSync(beside, "r");
  fsyncSync(descriptor);
  closeSync(descriptor);
  renameSync(beside, kept);
}

/** The layout's number in this file; entered when it is new. */
export function layoutId(database: Database, specs: readonly ColumnSpec[]): number {
  const text = JSON.stringify(specs);
  database.prepare("INSERT OR IGNORE INTO layout (columns) VALUES (?)").run(text);
  return database.prepare<[string], { id: number }>("SELECT id FROM layout WHERE columns = ?").get(text)!.id;
}
