// How the log's file is opened: to write, with every commit forced to the medium, or to read beside a daemon that writes. And the text
// that it keeps for the next start.

import { statSync } from "node:fs";
import { inflateRawSync } from "node:zlib";
import Database from "better-sqlite3";
import { PAGE_BYTES, prepareSchema } from "./schema.ts";

/** Memory for the file's pages, KiB; the log is written in order and read seldom. */
const CACHE_KIBIBYTES = 2_048;
const JOURNAL_BYTES = 16 * 1024 * 1024;
/** Pages in the journal before they are copied into the file: a page that is written again until then is copied once. */
const COPY_PAGES = 12_000;

/** Settings of a connection that writes. Every commit is forced to the medium: the last ten seconds are all a power cut may take. */
export function openDatabase(file: string): Database.Database {
  const database = new Database(file, { timeout: 1_000 });
  try {
    database.pragma(`page_size = ${PAGE_BYTES}`);
    database.pragma("journal_mode = WAL");
    database.pragma("synchronous = FULL");
    database.pragma("foreign_keys = ON");
    database.pragma(`cache_size = -${CACHE_KIBIBYTES}`);
    database.pragma(`journal_size_limit = ${JOURNAL_BYTES}`);
    database.pragma(`wal_autocheckpoint = ${COPY_PAGES}`);
    prepareSchema(database);
    return database;
  } catch (error) {
    database.close();
    throw error;
  }
}

/** A connection that only reads; the daemon may run meanwhile. @throws what the disk says */
export function openReadOnly(file: string): Database.Database {
  return new Database(file, { readonly: true, fileMustExist: true, timeout: 2_000 });
}

/** The text kept for the next start; null when there is none. */
export function checkpointIn(database: Database.Database): string | null {
  const read = (sql: string): Buffer | null => database.prepare<[], Buffer>(sql).pluck().get() ?? null;
  const body =
    read("SELECT checkpoint FROM recent WHERE checkpoint IS NOT NULL ORDER BY id DESC LIMIT 1") ??
    read("SELECT body FROM checkpoint WHERE id = 1");
  return body === null ? null : inflateRawSync(body).toString("utf8");
}

/** The text kept in `file`, which nobody has open here; null when there is none. @throws what the disk says */
export function checkpointOf(file: string): string | null {
  if ((statSync(file, { throwIfNoEntry: false })?.size ?? 0) === 0) return null;
  const database = openReadOnly(file);
  try {
    return checkpointIn(database);
  } finally {
    database.close();
  }
}
