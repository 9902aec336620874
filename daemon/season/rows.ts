// The log row by row, in order of date, an hour in memory at a time. It reads only, and rounds nothing.

import type { Database } from "better-sqlite3";
import type { Cell } from "./columns.ts";
import { type Piece, piecesBetween } from "./pieces.ts";
import { startOf } from "./segment.ts";

/** One second as it was kept. */
export type SeasonRow = {
  /** Unix seconds. */
  readonly dateSeconds: number;
  /** Seconds of the boot's clock that never jumps. */
  readonly monotonicSeconds: number;
  /** The date came from a clock that was synchronised. */
  readonly trusted: boolean;
  /** Number of the run in this file, and of the row within its run. */
  readonly run: number;
  readonly number: number;
  /** In the order of the columns asked for; null where there is no value or no such column yet. */
  readonly cells: readonly Cell[];
};

/** Rows from `fromSeconds` up to, not including, `toSeconds`. */
export function* readRows(
  database: Database,
  columns: readonly string[],
  fromSeconds: number,
  toSeconds: number,
): Generator<SeasonRow> {
  for (const piece of piecesBetween(database, fromSeconds, toSeconds)) {
    yield* rowsIn(piece, columns, fromSeconds, toSeconds);
  }
}

function* rowsIn(
  piece: Piece,
  columns: readonly string[],
  fromSeconds: number,
  toSeconds: number,
): Generator<SeasonRow> {
  const block = piece.open();
  const seconds = block.seconds();
  const start = startOf(piece.place);
  const read = columns.map((name) => block.numbers(name) ?? block.texts(name));
  for (let row = 0; row < block.count; row += 1) {
    const dateSeconds = start + seconds[row]!;
    if (dateSeconds < fromSeconds || dateSeconds >= toSeconds) continue;
    yield {
      dateSeconds,
      monotonicSeconds: piece.place.firstMonotonicSeconds + seconds[row]!,
      trusted: piece.place.trusted,
      run: piece.run,
      number: piece.place.firstNumber + row,
      cells: read.map((values) => plain(values?.[row])),
    };
  }
}

/** Without the dust that counting in steps leaves behind the last digit that was kept. */
function plain(cell: number | string | null | undefined): Cell {
  if (typeof cell !== "number") return cell ?? null;
  return Number.isNaN(cell) ? null : Number(cell.toPrecision(12));
}
