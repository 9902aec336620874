// Rollups by quarter hour: per series and day one row of numbers as they lie in memory, so that a season's curve is a few hundred
// reads. It stores and reads; it never computes a rollup.

import type { Database, Statement } from "better-sqlite3";
import { emptyRollup, type Rollup } from "./rollup.ts";

export const QUARTER_SECONDS = 900;
export const QUARTERS_A_DAY = 96;
const HOURS_A_DAY = 24;
const QUARTERS_AN_HOUR = 4;
const FIELDS = ["min", "mean", "max", "count"] as const;

type Stored = { readonly series: string; readonly day: number; readonly cells: Buffer };

export class QuarterTable {
  readonly #read: Statement<[string, number], Stored>;
  readonly #range: Statement<[string, number, number], Stored>;
  readonly #write: Statement<[string, number, Buffer]>;

  constructor(database: Database) {
    this.#read = database.prepare("SELECT series, day, cells FROM quarter WHERE series = ? AND day = ?");
    this.#range = database.prepare(
      "SELECT series, day, cells FROM quarter WHERE series = ? AND day BETWEEN ? AND ? ORDER BY day",
    );
    this.#write = database.prepare("INSERT OR REPLACE INTO quarter (series, day, cells) VALUES (?, ?, ?)");
  }

  /** Replaces the four quarters of `hour` (hours since 1970). */
  writeHour(series: string, hour: number, quarters: Rollup): void {
    const day = Math.floor(hour / HOURS_A_DAY);
    const cells = floatsOf(this.#read.get(series, day)?.cells);
    const first = (hour - day * HOURS_A_DAY) * QUARTERS_AN_HOUR;
    for (let quarter = 0; quarter < QUARTERS_AN_HOUR; quarter += 1) {
      for (const [field, name] of FIELDS.entries()) {
        cells[field * QUARTERS_A_DAY + first + quarter] = quarters[name][quarter]!;
      }
    }
    this.#write.run(series, day, bufferOf(cells));
  }

  /** Replaces a whole day; `quarters` has 96 buckets. */
  writeDay(series: string, day: number, quarters: Rollup): void {
    const cells = new Float32Array(FIELDS.length * QUARTERS_A_DAY);
    for (const [field, name] of FIELDS.entries()) cells.set(quarters[name], field * QUARTERS_A_DAY);
    this.#write.run(series, day, bufferOf(cells));
  }

  /** The days of a series that are there, rising, each with its 96 quarters. */
  days(series: string, fromDay: number, toDay: number): { readonly day: number; readonly quarters: QuarterCells }[] {
    return this.#range.all(series, fromDay, toDay).map(({ day, cells }) => ({ day, quarters: cellsOf(cells) }));
  }
}

/** As `Rollup`, in the precision of the file. */
export type QuarterCells = { readonly [name in keyof Rollup]: Float32Array };

function cellsOf(bytes: Buffer): QuarterCells {
  const floats = floatsOf(bytes);
  const field = (index: number): Float32Array => floats.subarray(index * QUARTERS_A_DAY, (index + 1) * QUARTERS_A_DAY);
  return { min: field(0), mean: field(1), max: field(2), count: field(3) };
}

/** Little-endian, as every machine this runs on; an empty day when there is none. @throws RangeError when damaged */
function floatsOf(bytes: Buffer | undefined): Float32Array {
  const size = FIELDS.length * QUARTERS_A_DAY;
  if (bytes === undefined) {
    const empty = emptyRollup(QUARTERS_A_DAY);
    const floats = new Float32Array(size);
    for (const [field, name] of FIELDS.entries()) floats.set(empty[name], field * QUARTERS_A_DAY);
    return floats;
  }
  if (bytes.length !== size * 4)
    throw new RangeError(`quarters of a day: expected ${size * 4} bytes, got ${bytes.length}`);
  // A copy of its own, since a view needs its bytes aligned.
  return new Float32Array(new Uint8Array(bytes).buffer);
}

function bufferOf(floats: Float32Array): Buffer {
  return Buffer.from(floats.buffer, floats.byteOffset, floats.byteLength);
}
