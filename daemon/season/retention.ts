// Keeps the log within its time, its size and the disk's free space by taking out the oldest hours of seconds, one at a time.
// Rollups, digests and every line of the record stay.

import type { Database } from "better-sqlite3";
import { HOUR_SECONDS } from "./segment.ts";

/** How much the log may hold. */
export type Retention = { readonly keepSeconds: number; readonly mostBytes: number };

/** Below this much free space on its disk the log lives off its own old hours. */
const SCARCE_BYTES = 64 * 1024 * 1024;
/** Room inside the file that is enough for the hours to come. */
const SPARE_BYTES = 1024 * 1024;
/** So much stays, however scarce the disk is. */
const KEEP_WHEN_SCARCE_SECONDS = 2 * 86_400;

/** Bytes of the file in use, and bytes in it that are free for new rows. */
export function fileBytes(database: Database): { readonly used: number; readonly spare: number } {
  const pragma = (name: string): number => database.pragma(name, { simple: true }) as number;
  const [pages, free, size] = [pragma("page_count"), pragma("freelist_count"), pragma("page_size")];
  return { used: (pages - free) * size, spare: free * size };
}

/**
 * Takes out one hour of seconds when there is too much; true when there may be more to take. `nowWallSeconds` null: nobody knows the
 * date, so nothing is too old; what is too much goes all the same, the stretch that was filed first.
 */
export function prune(
  database: Database,
  { keepSeconds, mostBytes }: Retention,
  nowWallSeconds: number | null,
  diskFreeBytes: number | null,
): boolean {
  const { used, spare } = fileBytes(database);
  const scarce = diskFreeBytes !== null && diskFreeBytes < SCARCE_BYTES && spare < SPARE_BYTES;
  const first = (sql: string): number | null => database.prepare<[], number | null>(sql).pluck().get() ?? null;
  if (nowWallSeconds === null) {
    const stretch = first("SELECT min(id) FROM block");
    const most = scarce ? KEEP_WHEN_SCARCE_SECONDS / HOUR_SECONDS : 0;
    if (stretch === null || !(used > mostBytes || (scarce && first("SELECT count(*) FROM block")! > most)))
      return false;
    database.prepare("DELETE FROM block WHERE id = ?").run(stretch);
    return true;
  }
  const ageSeconds = (hour: number): number => nowWallSeconds - (hour + 1) * HOUR_SECONDS;
  // What stands under a date that nobody vouched for may be of yesterday.
  const dated = first("SELECT min(hour) FROM block WHERE trusted = 1");
  if (dated !== null && ageSeconds(dated) > keepSeconds) {
    database.prepare("DELETE FROM block WHERE hour = ? AND trusted = 1").run(dated);
    return true;
  }
  const oldest = first("SELECT min(hour) FROM block");
  if (oldest === null || !(used > mostBytes || (scarce && ageSeconds(oldest) > KEEP_WHEN_SCARCE_SECONDS))) return false;
  database.prepare("DELETE FROM block WHERE hour = ?").run(oldest);
  return true;
}
