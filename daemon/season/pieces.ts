// The seconds of the log as stretches in order of their date: packed hours, and what was committed since. It reads only.

import type { Database } from "better-sqlite3";
import { type ColumnSpec, OpenBlock } from "./block.ts";
import { HOUR_SECONDS, hourOf, type Place, startOf } from "./segment.ts";

/** One stretch of rows; `open` unpacks its head, columns are unpacked when asked for. */
export type Piece = {
  readonly table: "recent" | "block" | "pending";
  readonly id: number;
  readonly run: number;
  readonly place: Place;
  readonly specs: readonly ColumnSpec[];
  readonly open: () => OpenBlock;
};

type PieceRow = {
  readonly id: number;
  readonly run: number;
  readonly columns: string;
  readonly first_number: number;
  readonly last_number: number;
  readonly rows: number;
  readonly first_monotonic_seconds: number;
  readonly offset_seconds: number;
  readonly trusted: number;
  readonly body: Buffer;
};

const FIELDS = `run, first_number, last_number, rows, first_monotonic_seconds, offset_seconds, trusted, body`;

/** Layouts are few and read often: parsed once per reading. */
function pieceReader(table: "recent" | "block"): (row: PieceRow) => Piece {
  const parsed = new Map<string, readonly ColumnSpec[]>();
  return (row) => {
    const specs = parsed.get(row.columns) ?? (JSON.parse(row.columns) as ColumnSpec[]);
    parsed.set(row.columns, specs);
    return {
      table,
      id: row.id,
      run: row.run,
      place: {
        firstNumber: row.first_number,
        lastNumber: row.last_number,
        rows: row.rows,
        firstMonotonicSeconds: row.first_monotonic_seconds,
        offsetSeconds: row.offset_seconds,
        trusted: row.trusted === 1,
      },
      specs,
      open: () => new OpenBlock(specs, row.body),
    };
  };
}

function select(table: "recent" | "block", where: string): string {
  return `SELECT ${table}.id AS id, ${FIELDS}, columns FROM ${table} JOIN layout ON layout.id = ${table}.layout ${where}`;
}

/** Stretches committed since their hour began, oldest first. */
export function recentPieces(database: Database): Piece[] {
  const rows = database.prepare<[], PieceRow>(select("recent", "ORDER BY recent.id")).all();
  return rows.map(pieceReader("recent"));
}

/** Packed stretches of one hour in order of their date. */
export function blocksOfHour(database: Database, hour: number): Piece[] {
  const rows = database.prepare<[number], PieceRow>(select("block", "WHERE hour = ?")).all(hour);
  return rows.map(pieceReader("block")).sort(byDate);
}

/** Packed stretches of one boot whose dates nobody vouched for. */
export function untrustedBlocks(database: Database, bootId: string): Piece[] {
  const where = "WHERE trusted = 0 AND run IN (SELECT id FROM run WHERE boot_id = ?) ORDER BY block.id";
  const rows = database.prepare<[string], PieceRow>(select("block", where)).all(bootId);
  return rows.map(pieceReader("block"));
}

export const byDate = (one: Piece, other: Piece): number => startOf(one.place) - startOf(other.place);

/** Everything between two dates, one hour in memory at a time; `pending` is what is not committed yet. */
export function* piecesBetween(
  database: Database,
  fromSeconds: number,
  toSeconds: number,
  pending: readonly Piece[] = [],
): Generator<Piece> {
  const loose = [...recentPieces(database), ...pending].sort(byDate);
  const hours = hoursWithBlocks(database, hourOf(fromSeconds), hourOf(toSeconds));
  let next = 0;
  for (const hour of hours) {
    const blocks = blocksOfHour(database, hour);
    const here = [...blocks];
    while (next < loose.length && hourOf(startOf(loose[next]!.place)) <= hour) here.push(loose[next++]!);
    yield* here.sort(byDate).filter((piece) => touches(piece, fromSeconds, toSeconds));
  }
  yield* loose.slice(next).filter((piece) => touches(piece, fromSeconds, toSeconds));
}

function touches({ place }: Piece, fromSeconds: number, toSeconds: number): boolean {
  const start = startOf(place);
  return start <= toSeconds && start + HOUR_SECONDS >= fromSeconds;
}

/** Hours with packed seconds, rising. */
export function hoursWithBlocks(database: Database, fromHour: number, toHour: number): number[] {
  return database
    .prepare<[number, number], number>("SELECT DISTINCT hour FROM block WHERE hour BETWEEN ? AND ? ORDER BY hour")
    .pluck()
    .all(fromHour, toHour);
}
