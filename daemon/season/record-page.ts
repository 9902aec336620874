// One page of the record, newest first, by the lines' own numbers so that new lines move nothing. It only reads.

import type { Database } from "better-sqlite3";
import type { RecordKind, RecordPage } from "../wire/alarm.ts";

export type RecordQuery = {
  /** Only lines entered before this one; null = from the newest. */
  readonly before: number | null;
  readonly lines: number;
  readonly kinds: readonly RecordKind[];
};

type Row = {
  id: number;
  wall_seconds: number;
  wall_trusted: 0 | 1;
  kind: RecordKind;
  tag: string;
  text: string;
  by: string | null;
};

/** At most `lines` lines; one more is read to know whether there are earlier ones. */
export function recordPage(database: Database, { before, lines, kinds }: RecordQuery): RecordPage {
  const places = kinds.map(() => "?").join(", ");
  const rows = database
    .prepare<unknown[], Row>(
      `SELECT id, wall_seconds, wall_trusted, kind, tag, text, by FROM entry
       WHERE id < ? AND kind IN (${places}) ORDER BY id DESC LIMIT ?`,
    )
    .all(before ?? Number.MAX_SAFE_INTEGER, ...kinds, lines + 1);
  const shown = rows.slice(0, lines).map((row) => ({ ...row, wall_trusted: row.wall_trusted === 1 }));
  return { lines: shown, before: rows.length > lines ? (shown.at(-1)?.id ?? null) : null };
}
