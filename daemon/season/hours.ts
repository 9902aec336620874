// Reads what is kept of each hour beside its seconds: rollups by minute, and the digest. It never writes.

import { inflateRawSync } from "node:zlib";
import type { Database, Statement } from "better-sqlite3";
import { type ColumnSpec, OpenBlock } from "./block.ts";
import type { HourDigest } from "./digest.ts";

type HourRow = { readonly hour: number; readonly minutes: Buffer | null; readonly columns: string | null };

export class MinuteReader {
  readonly #range: Statement<[number, number], HourRow>;
  readonly #layouts = new Map<string, readonly ColumnSpec[]>();

  constructor(database: Database) {
    this.#range = database.prepare(
      `SELECT hour, minutes, columns FROM hour LEFT JOIN layout ON layout.id = minutes_layout
       WHERE hour BETWEEN ? AND ? ORDER BY hour`,
    );
  }

  /** Hours that are there, rising; `minutes` is null where only quarters are known. */
  *hours(fromHour: number, toHour: number): Generator<{ readonly hour: number; readonly minutes: OpenBlock | null }> {
    for (const { hour, minutes, columns } of this.#range.iterate(fromHour, toHour)) {
      yield {
        hour,
        minutes: minutes === null || columns === null ? null : new OpenBlock(this.#layout(columns), minutes),
      };
    }
  }

  #layout(columns: string): readonly ColumnSpec[] {
    const specs = this.#layouts.get(columns) ?? (JSON.parse(columns) as ColumnSpec[]);
    this.#layouts.set(columns, specs);
    return specs;
  }
}

export type DatedDigest = { readonly hour: number; readonly digest: HourDigest };

/** Digests of the hours between two hours (since 1970), rising. */
export function digestsBetween(database: Database, fromHour: number, toHour: number): DatedDigest[] {
  return database
    .prepare<[number, number], { hour: number; digest: Buffer }>(
      "SELECT hour, digest FROM hour WHERE hour BETWEEN ? AND ? ORDER BY hour",
    )
    .all(fromHour, toHour)
    .map(({ hour, digest }) => ({ hour, digest: JSON.parse(inflateRawSync(digest).toString("utf8")) as HourDigest }));
}

/** First and last hour of which anything is known beside the record; null in an empty log. */
export function hoursKept(database: Database): { readonly from: number; readonly to: number } | null {
  const found = database
    .prepare<[], { from: number | null; to: number | null }>('SELECT min(hour) AS "from", max(hour) AS "to" FROM hour')
    .get();
  return found?.from == null || found.to === null ? null : { from: found.from, to: found.to };
}
