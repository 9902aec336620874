// A table of rollups: one row holds so many buckets of a series as 32-bit floats, least, mean, greatest and count after each other.
// It knows neither what the buckets stand for nor how they are rolled up.

import type { Database, Statement } from "better-sqlite3";
import { emptyRollup, type Rollup } from "./rollup.ts";

/** As `Rollup`, in the precision of the file. */
export type Cells = { readonly [name in keyof Rollup]: Float32Array };

type Stored = { readonly id: number; readonly cells: Buffer };

const FIELDS = ["min", "mean", "max", "count"] as const;
/** Rows of a series lie together: between its number times this and the next. */
const SERIES_SPAN = 2 ** 32;

export class CellTable {
  readonly #buckets: number;
  readonly #read: Statement<[number], Stored>;
  readonly #range: Statement<[number, number], Stored>;
  readonly #write: Statement<[number, Buffer]>;
  readonly #newest: Statement<[number, number], number | null>;

  /** `table` has columns id and cells; each row holds `buckets` buckets. */
  constructor(database: Database, table: "quarter" | "quarter_sum", buckets: number) {
    this.#buckets = buckets;
    this.#read = database.prepare(`SELECT id, cells FROM ${table} WHERE id = ?`);
    this.#range = database.prepare(`SELECT id, cells FROM ${table} WHERE id BETWEEN ? AND ? ORDER BY id`);
    this.#write = database.prepare(`INSERT OR REPLACE INTO ${table} (id, cells) VALUES (?, ?)`);
    this.#newest = database
      .prepare<[number, number], number>(`SELECT max(id) FROM ${table} WHERE id BETWEEN ? AND ?`)
      .pluck();
  }

  /** Replaces the buckets of `rollup` in a row, from `place` on; returns the row as it is then. */
  put(series: number, row: number, place: number, rollup: Cells | Rollup): Cells {
    const key = series * SERIES_SPAN + row;
    const floats = this.#floats(this.#read.get(key)?.cells);
    for (const [field, name] of FIELDS.entries()) floats.set(rollup[name], field * this.#buckets + place);
    this.#write.run(key, Buffer.from(floats.buffer, floats.byteOffset, floats.byteLength));
    return this.#cells(floats);
  }

  /** Rows of a series that are there, rising. @throws RangeError on a damaged one */
  rows(series: number, from: number, to: number): { readonly row: number; readonly cells: Cells }[] {
    const first = series * SERIES_SPAN;
    return this.#range
      .all(first + Math.max(0, from), first + Math.min(to, SERIES_SPAN - 1))
      .map(({ id, cells }) => ({ row: id - first, cells: this.#cells(this.#floats(cells)) }));
  }

  /** The last row of a series; null when there is none. */
  newest(series: number): number | null {
    const first = series * SERIES_SPAN;
    const id = this.#newest.get(first, first + SERIES_SPAN - 1) ?? null;
    return id === null ? null : id - first;
  }

  #cells(floats: Float32Array): Cells {
    const field = (index: number): Float32Array => floats.subarray(index * this.#buckets, (index + 1) * this.#buckets);
    return { min: field(0), mean: field(1), max: field(2), count: field(3) };
  }

  /** Little-endian, as every machine this runs on; empty buckets when there is no row yet. */
  #floats(bytes: Buffer | undefined): Float32Array {
    const size = FIELDS.length * this.#buckets;
    if (bytes === undefined) {
      const empty = emptyRollup(this.#buckets);
      const floats = new Float32Array(size);
      for (const [field, name] of FIELDS.entries()) floats.set(empty[name], field * this.#buckets);
      return floats;
    }
    if (bytes.length !== size * 4) throw new RangeError(`rollups: expected ${size * 4} bytes, got ${bytes.length}`);
    // A copy of its own, since a view needs its bytes aligned.
    return new Float32Array(new Uint8Array(bytes).buffer);
  }
}
