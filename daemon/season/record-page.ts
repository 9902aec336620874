// The record in the order in which things happened: a page of it newest first, or what came after a line. Lines are numbered as
// they are entered, across boots too, so the order needs no clock: one that was not set yet, is set meanwhile or steps back moves
// no line, and new lines move none either. It only reads.

import type { Database } from "better-sqlite3";
import type { RecordKind, RecordLine, RecordPage } from "../wire/alarm.ts";

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

/** A line with the start of the daemon that made it and its place there. */
export type LoggedLine = RecordLine & { readonly run: string; readonly number: number };

/** Made by a daemon at work; what an operator wrote for themselves stays here. */
const TOLD = "run.source = 'live' AND entry.kind <> 'note'";
const LOGGED = `SELECT entry.id, entry.wall_seconds, entry.wall_trusted, entry.kind, entry.tag, entry.text, entry.by,
  run.key AS run, entry.number FROM entry JOIN run ON run.id = entry.run WHERE ${TOLD}`;

/** The record as it is told to others, in order; `run` is the key of the present run. */
export function recordSource(open: () => Database, run: string) {
  const count = (sql: string, ...values: unknown[]): number =>
    open()
      .prepare<unknown[], number>(sql)
      .pluck()
      .get(...values) ?? 0;
  return {
    after: (id: number, most: number): readonly LoggedLine[] =>
      open()
        .prepare<unknown[], LoggedRow>(`${LOGGED} AND entry.id > ? ORDER BY entry.id LIMIT ?`)
        .all(id, most)
        .map(logged),
    recent: (most: number): readonly LoggedLine[] =>
      open().prepare<unknown[], LoggedRow>(`${LOGGED} ORDER BY entry.id DESC LIMIT ?`).all(most).map(logged),
    newest: (earlierRunsOnly: boolean): number =>
      earlierRunsOnly
        ? count("SELECT max(entry.id) FROM entry JOIN run ON run.id = entry.run WHERE run.key <> ?", run)
        : count("SELECT max(id) FROM entry"),
    count: (afterId: number): number =>
      count(`SELECT count(*) FROM entry JOIN run ON run.id = entry.run WHERE ${TOLD} AND entry.id > ?`, afterId),
  };
}

type LoggedRow = Row & { run: string; number: number };
const logged = (row: LoggedRow): LoggedLine => ({ ...row, wall_trusted: row.wall_trusted === 1 });
