// Rollups by quarter hour: per series and quarter of a day one row of numbers as they lie in memory, so that a season's curve is a
// few reads a day and an hour more is one small row rewritten. It stores and reads; it never computes a rollup.

import type { Database, Statement } from "better-sqlite3";
import { emptyRollup, type Rollup } from "./rollup.ts";

export const QUARTER_SECONDS = 900;
/** What one row of the table covers. */
export const PART_HOURS = 6;
export const QUARTERS_A_PART = 24;
const QUARTERS_AN_HOUR = 4;
const FIELDS = ["min", "mean", "max", "count"] as const;

/** Parts of a series lie between its number times this and the next. */
const SERIES_SPAN = 2 ** 32;

type Stored = { readonly id: number; readonly cells: Buffer };

export class QuarterTable {
  readonly #read: Statement<[number], Stored>;
  readonly #range: Statement<[number, number], Stored>;
  readonly #write: Statement<[number, Buffer]>;
  readonly #find: Statement<[string], number>;
  readonly #enter: Statement<[string]>;

  constructor(database: Database) {
    this.#read = database.prepare("SELECT id, cells FROM quarter WHERE id = ?");
    this.#range = database.prepare("SELECT id, cells FROM quarter WHERE id BETWEEN ? AND ? ORDER BY id");
    this.#write = database.prepare("INSERT OR REPLACE INTO quarter (id, cells) VALUES (?, ?)");
    this.#find = database.prepare<[string], number>("SELECT id FROM series WHERE name = ?").pluck();
    this.#enter = database.prepare("INSERT INTO series (name) VALUES (?)");
  }

  /** Replaces the four quarters of `hour` (hours since 1970). */
  writeHour(series: string, hour: number, quarters: Rollup): void {
    const part = Math.floor(hour / PART_HOURS);
    const key = this.#key(series, part);
    const cells = floatsOf(this.#read.get(key)?.cells);
    const first = (hour - part * PART_HOURS) * QUARTERS_AN_HOUR;
    for (let quarter = 0; quarter < QUARTERS_AN_HOUR; quarter += 1) {
      for (const [field, name] of FIELDS.entries()) {
        cells[field * QUARTERS_A_PART + first + quarter] = quarters[name][quarter]!;
      }
    }
    this.#write.run(key, bufferOf(cells));
  }

  /** Replaces a whole part; `quarters` has 24 buckets. */
  writePart(series: string, part: number, quarters: Rollup): void {
    const cells = new Float32Array(FIELDS.length * QUARTERS_A_PART);
    for (const [field, name] of FIELDS.entries()) cells.set(quarters[name], field * QUARTERS_A_PART);
    this.#write.run(this.#key(series, part), bufferOf(cells));
  }

  /** The parts of a series that are there, rising, each with its 24 quarters. */
  parts(
    series: string,
    fromPart: number,
    toPart: number,
  ): { readonly part: number; readonly quarters: QuarterCells }[] {
    const id = this.#find.get(series);
    if (id === undefined) return [];
    const first = id * SERIES_SPAN;
    const [from, to] = [Math.max(0, fromPart), Math.min(toPart, SERIES_SPAN - 1)];
    return this.#range
      .all(first + from, first + to)
      .map(({ id: key, cells }) => ({ part: key - first, quarters: cellsOf(cells) }));
  }

  #key(series: string, part: number): number {
    const id = this.#find.get(series) ?? Number(this.#enter.run(series).lastInsertRowid);
    return id * SERIES_SPAN + part;
  }
}

/** As `Rollup`, in the precision of the file. */
export type QuarterCells = { readonly [name in keyof Rollup]: Float32Array };

function cellsOf(bytes: Buffer): QuarterCells {
  const floats = floatsOf(bytes);
  const field = (index: number): Float32Array =>
    floats.subarray(index * QUARTERS_A_PART, (index + 1) * QUARTERS_A_PART);
  return { min: field(0), mean: field(1), max: field(2), count: field(3) };
}

/** Little-endian, as every machine this runs on; an empty part when there is none. @throws RangeError when damaged */
function floatsOf(bytes: Buffer | undefined): Float32Array {
  const size = FIELDS.length * QUARTERS_A_PART;
  if (bytes === undefined) {
    const empty = emptyRollup(QUARTERS_A_PART);
    const floats = new Float32Array(size);
    for (const [field, name] of FIELDS.entries()) floats.set(empty[name], field * QUARTERS_A_PART);
    return floats;
  }
  if (bytes.length !== size * 4)
    throw new RangeError(`quarters of a part of a day: expected ${size * 4} bytes, got ${bytes.length}`);
  // A copy of its own, since a view needs its bytes aligned.
  return new Float32Array(new Uint8Array(bytes).buffer);
}

function bufferOf(floats: Float32Array): Buffer {
  return Buffer.from(floats.buffer, floats.byteOffset, floats.byteLength);
}
