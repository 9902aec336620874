// Is the log whole? The database's own check, every packed stretch opened column by column, every rollup and digest read. It reads
// only, mends nothing, and says what it found.

import type { Database } from "better-sqlite3";
import { SERIES } from "./columns.ts";
import { digestsBetween, hoursKept, MinuteReader } from "./hours.ts";
import { blocksOfHour, hoursWithBlocks, type Piece, recentPieces } from "./pieces.ts";
import { QuarterTable } from "./quarters.ts";

export type Verdict = {
  /** Empty when the log is whole. */
  readonly faults: readonly string[];
  readonly rows: number;
  readonly stretches: number;
  readonly hours: number;
  readonly entries: number;
};

/** More would not help anybody. */
const MOST_FAULTS = 50;
const LAST_HOUR = 2 ** 31;

export function verifySeason(database: Database): Verdict {
  const faults: string[] = [];
  const note = (fault: string): void => {
    if (faults.length < MOST_FAULTS) faults.push(fault);
  };
  const attempt = (what: string, work: () => void): void => {
    try {
      work();
    } catch (error) {
      note(`${what}: ${error instanceof Error ? error.message : String(error)}`);
    }
  };
  attempt("database", () => {
    const said = database.pragma("integrity_check") as { readonly integrity_check: string }[];
    for (const { integrity_check } of said) if (integrity_check !== "ok") note(`database: ${integrity_check}`);
  });
  attempt("references", () => {
    const lost = database.pragma("foreign_key_check") as { readonly table: string }[];
    for (const { table } of lost) note(`database: a row of ${table} refers to nothing`);
  });
  let [rows, stretches, hours, entries] = [0, 0, 0, 0];
  const look = (piece: Piece): void => {
    stretches += 1;
    attempt(`${piece.table} ${piece.id}`, () => {
      rows += readAll(piece);
    });
  };
  attempt("seconds", () => {
    for (const hour of hoursWithBlocks(database, 0, LAST_HOUR)) {
      for (const piece of blocksOfHour(database, hour)) look(piece);
    }
    for (const piece of recentPieces(database)) look(piece);
  });
  attempt("minutes", () => {
    for (const { minutes } of new MinuteReader(database).hours(0, LAST_HOUR)) {
      hours += 1;
      if (minutes !== null) for (const name of SERIES) minutes.numbers(`${name}.mean`);
    }
  });
  attempt("digests", () => {
    const kept = hoursKept(database);
    // A year at a time would hold a year in memory; a month does not.
    for (let from = kept?.from ?? 1; kept !== null && from <= kept.to; from += 744) {
      digestsBetween(database, from, Math.min(from + 743, kept.to));
    }
  });
  attempt("quarter hours", () => {
    const table = new QuarterTable(database);
    for (const name of SERIES) table.parts(name, 0, LAST_HOUR);
  });
  attempt("record", () => {
    entries = database.prepare<[], number>("SELECT count(*) FROM entry").pluck().get() ?? 0;
  });
  return { faults, rows, stretches, hours, entries };
}

function readAll({ place, specs, open }: Piece): number {
  const block = open();
  if (block.count !== place.rows) throw new RangeError(`expected ${place.rows} rows, got ${block.count}`);
  if (place.lastNumber - place.firstNumber + 1 !== place.rows) throw new RangeError("its numbers leave rows out");
  block.seconds();
  for (const { name, step } of specs) {
    if (step === null) block.texts(name);
    else block.numbers(name);
  }
  return block.count;
}
