// What the log keeps beside rows: the record's lines, the spans an operator marked, and where its rows come from. It reads, and writes spans.

import type { Database } from "better-sqlite3";
import type { SeasonNote, Session, SessionKind } from "../wire/season.ts";

/** Spans that a log may hold; more are refused. */
const MOST_SESSIONS = 1_000;

/** Lines of the record of some kinds, oldest first. */
export function notesBetween(
  database: Database,
  fromSeconds: number,
  toSeconds: number,
  kinds: readonly string[],
): SeasonNote[] {
  const places = kinds.map(() => "?").join(", ");
  return database
    .prepare<unknown[], SeasonNote>(
      `SELECT wall_seconds AS at_seconds, kind, tag, text, by FROM entry
       WHERE wall_seconds BETWEEN ? AND ? AND kind IN (${places}) ORDER BY wall_seconds, id`,
    )
    .all(fromSeconds, toSeconds, ...kinds);
}

/** Marked spans that touch this one (Unix seconds), by their beginning. */
export function sessionsBetween(database: Database, fromSeconds: number, toSeconds: number): Session[] {
  return database
    .prepare<[number, number], Session>(
      "SELECT id, kind, name, from_seconds, to_seconds FROM session WHERE to_seconds >= ? AND from_seconds <= ? ORDER BY from_seconds",
    )
    .all(fromSeconds, toSeconds);
}

/** Marks a span. @throws RangeError when there are too many already */
export function markSession(
  database: Database,
  session: { kind: SessionKind; name: string; from_seconds: number; to_seconds: number },
): Session {
  const count = database.prepare<[], number>("SELECT count(*) FROM session").pluck().get() ?? 0;
  if (count >= MOST_SESSIONS) throw new RangeError(`there are ${count} sessions already; remove one first`);
  const { lastInsertRowid } = database
    .prepare("INSERT INTO session (kind, name, from_seconds, to_seconds) VALUES (?, ?, ?, ?)")
    .run(session.kind, session.name, session.from_seconds, session.to_seconds);
  return { id: Number(lastInsertRowid), ...session };
}

/** True when there was one. */
export function removeSession(database: Database, id: number): boolean {
  return database.prepare("DELETE FROM session WHERE id = ?").run(id).changes === 1;
}

/** Where the rows of a log come from. */
export type Sources = { readonly simulated: boolean; readonly demo: boolean; readonly imported: boolean };

/** Which kinds of run the log has rows of. */
export function sourcesOf(database: Database): Sources {
  const has = (condition: string): boolean =>
    database.prepare<[], number>(`SELECT EXISTS (SELECT 1 FROM run WHERE ${condition})`).pluck().get() === 1;
  return { simulated: has("simulated = 1"), demo: has("source = 'demo'"), imported: has("source = 'imported'") };
}

/** The demo season ends before this hour; null when there is none. It is written before the first live row. */
export function demoUntilHour(database: Database): number | null {
  const name = database.prepare<[], string>("SELECT name FROM run WHERE source = 'demo'").pluck().get();
  return name === undefined ? null : Number(name);
}
