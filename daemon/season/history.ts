// Thinned series from the log: per bucket of time the least and the greatest value, so that no peak is averaged away.
// It reads; it never writes and never interpolates over a gap.

import type { Database } from "better-sqlite3";
import type { History } from "../wire/frame.ts";
import type { HistoryQuery } from "../wire/history.ts";
import { COLUMNS, TABLES, type TableName } from "./columns.ts";

type Triple = readonly [seconds: number, min: number, max: number];

function tableOf(series: string): TableName {
  const table = TABLES.find((name) => COLUMNS[name].some(([column]) => column === series));
  if (table === undefined) throw new RangeError(`no column of the log is named ${series}`);
  return table;
}

/** The series asked for; a bucket without a value has no point, so a gap stays a gap. */
export function readHistory(database: Database, query: HistoryQuery): History {
  const { fromSeconds, toSeconds, points, series } = query;
  const tables = [...new Set(series.map(tableOf))];
  const columns = series.flatMap((name) => [`min(${name})`, `max(${name})`]);
  const statement = database.prepare<[number, number, number, number], readonly (number | null)[]>(
    `SELECT avg(wall_seconds), ${columns.join(", ")}
     FROM instant ${tables.map((table) => `JOIN ${table} USING (id)`).join(" ")}
     WHERE wall_seconds BETWEEN ? AND ?
     GROUP BY min(cast((wall_seconds - ?) / ? AS INTEGER), ${points - 1})`,
  );
  const width = (toSeconds - fromSeconds) / points;
  const buckets = statement.raw(true).all(fromSeconds, toSeconds, fromSeconds, width) as unknown as (number | null)[][];
  const answer = Object.fromEntries(
    series.map((name, index) => {
      const found: Triple[] = [];
      for (const bucket of buckets) {
        const [seconds, min, max] = [bucket[0], bucket[1 + 2 * index], bucket[2 + 2 * index]];
        if (seconds != null && min != null && max != null) found.push([Math.round(seconds * 1000) / 1000, min, max]);
      }
      return [name, found];
    }),
  );
  return { from_seconds: fromSeconds, to_seconds: toSeconds, series: answer };
}
