// Rollups by quarter hour, and their sums by six hours: rows of numbers as they lie in memory, some hours of a series in each, so that
// a season's curve is a few reads and an hour more is one small row rewritten. It stores and reads; how values are rolled up it
// leaves to rollup.ts.

import type { Database, Statement } from "better-sqlite3";
import { type Cells, CellTable } from "./cells.ts";
import { coarser, type Rollup } from "./rollup.ts";

export const QUARTER_SECONDS = 900;
/** What one row of quarters covers. */
export const PART_HOURS = 6;
export const PART_SECONDS = PART_HOURS * 3_600;
export const QUARTERS_A_PART = 24;
/** Parts in one row of sums: fifteen days. */
const PARTS_A_SUM = 60;
const QUARTERS_AN_HOUR = 4;

export class QuarterTable {
  readonly #quarters: CellTable;
  readonly #sums: CellTable;
  readonly #find: Statement<[string], number>;
  readonly #enter: Statement<[string]>;

  constructor(database: Database) {
    this.#quarters = new CellTable(database, "quarter", QUARTERS_A_PART);
    this.#sums = new CellTable(database, "quarter_sum", PARTS_A_SUM);
    this.#find = database.prepare<[string], number>("SELECT id FROM series WHERE name = ?").pluck();
    this.#enter = database.prepare("INSERT INTO series (name) VALUES (?)");
  }

  /** Replaces the four quarters of `hour` (hours since 1970). */
  writeHour(series: string, hour: number, quarters: Rollup): void {
    const part = Math.floor(hour / PART_HOURS);
    const ofPart = hour - part * PART_HOURS;
    const id = this.#idOf(series);
    const cells = this.#quarters.put(id, part, ofPart * QUARTERS_AN_HOUR, quarters);
    // A part that is not over has no sum yet; one that had a sum gets it anew.
    const over = ofPart === PART_HOURS - 1;
    if (over || this.#hasSum(id, part)) this.#sum(id, part, cells);
  }

  /** Replaces a whole part; `quarters` has 24 buckets. */
  writePart(series: string, part: number, quarters: Rollup): void {
    const id = this.#idOf(series);
    this.#sum(id, part, this.#quarters.put(id, part, 0, quarters));
  }

  /** The parts of a series that are there, rising, each with its 24 quarters. */
  parts(series: string, fromPart: number, toPart: number): { readonly part: number; readonly quarters: Cells }[] {
    const id = this.#find.get(series);
    if (id === undefined) return [];
    return this.#quarters.rows(id, fromPart, toPart).map(({ row, cells }) => ({ part: row, quarters: cells }));
  }

  /** Least and greatest of each part that is there, rising: from its sum, or from its quarters while it has none. */
  *extremes(
    series: string,
    fromPart: number,
    toPart: number,
  ): Generator<{ readonly part: number; readonly min: number; readonly max: number }> {
    const id = this.#find.get(series);
    if (id === undefined) return;
    const [first, last] = [Math.floor(fromPart / PARTS_A_SUM), Math.floor(toPart / PARTS_A_SUM)];
    for (const { row, cells } of this.#sums.rows(id, first, last)) {
      for (let place = 0; place < PARTS_A_SUM; place += 1) {
        const part = row * PARTS_A_SUM + place;
        if (part < fromPart || part > toPart) continue;
        if (cells.count[place]! > 0) yield { part, min: cells.min[place]!, max: cells.max[place]! };
        else yield* this.#unsummed(id, part, part);
      }
    }
    // What is newer than the newest row of sums.
    const newest = this.#sums.newest(id);
    const next = newest === null ? fromPart : (newest + 1) * PARTS_A_SUM;
    yield* this.#unsummed(id, Math.max(fromPart, next), toPart);
  }

  *#unsummed(id: number, from: number, to: number): Generator<{ part: number; min: number; max: number }> {
    for (const { row, cells } of this.#quarters.rows(id, from, to)) {
      const { min, max, count } = coarser(cells, QUARTERS_A_PART);
      if (count[0]! > 0) yield { part: row, min: min[0]!, max: max[0]! };
    }
  }

  #hasSum(id: number, part: number): boolean {
    const [row, place] = [Math.floor(part / PARTS_A_SUM), part % PARTS_A_SUM];
    return (this.#sums.rows(id, row, row)[0]?.cells.count[place] ?? 0) > 0;
  }

  #sum(id: number, part: number, cells: Cells): void {
    this.#sums.put(id, Math.floor(part / PARTS_A_SUM), part % PARTS_A_SUM, coarser(cells, QUARTERS_A_PART));
  }

  #idOf(series: string): number {
    return this.#find.get(series) ?? Number(this.#enter.run(series).lastInsertRowid);
  }
}
