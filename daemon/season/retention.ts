// Keeps the log within its time and its size by taking out the oldest one-second rows, a little at a time.
// It never takes out a line of the record.

import type { Database } from "better-sqlite3";

/** How much the log may hold. */
export type Retention = { readonly keepSeconds: number; readonly mostBytes: number };

/** Rows taken out in one go: some tens of milliseconds on an SD card. */
const CHUNK = 5_000;

function usedBytes(database: Database): number {
  const pragma = (name: string): number => database.pragma(name, { simple: true }) as number;
  return (pragma("page_count") - pragma("freelist_count")) * pragma("page_size");
}

/** Takes out one chunk when there is too much; true when there may be more to take. */
export function prune(database: Database, { keepSeconds, mostBytes }: Retention, nowWallSeconds: number): boolean {
  const oldest = "SELECT id FROM instant WHERE wall_seconds < ? ORDER BY id LIMIT ?";
  const tooOld = database
    .prepare(`DELETE FROM instant WHERE id IN (${oldest})`)
    .run(nowWallSeconds - keepSeconds, CHUNK);
  if (tooOld.changes > 0) return tooOld.changes === CHUNK;
  if (usedBytes(database) <= mostBytes) return false;
  const first = "SELECT id FROM instant ORDER BY id LIMIT ?";
  return database.prepare(`DELETE FROM instant WHERE id IN (${first})`).run(CHUNK).changes > 0;
}
