// Thinned series from the log: per bucket of time the least and the greatest value, so that no peak is averaged away.
// It reads the coarsest rollup that is fine enough, and seconds where it must; it never writes and never bridges a gap.

import type { Database } from "better-sqlite3";
import type { History } from "../wire/frame.ts";
import type { HistoryQuery } from "../wire/history.ts";
import { SERIES } from "./columns.ts";
import { MinuteReader } from "./hours.ts";
import { extremesOf } from "./minutes.ts";
import { blocksOfHour, byDate, hoursWithBlocks, type Piece, recentPieces } from "./pieces.ts";
import { PART_HOURS, PART_SECONDS, QUARTER_SECONDS, QUARTERS_A_PART, QuarterTable } from "./quarters.ts";
import { HOUR_SECONDS, hourOf, startOf } from "./segment.ts";
import { Thinner } from "./thinner.ts";

const MINUTE_SECONDS = 60;
const QUARTERS_AN_HOUR = 4;

/** The series asked for; a bucket without a value has no point. `pending` is what is not committed yet. */
export function readHistory(database: Database, query: HistoryQuery, pending: readonly Piece[] = []): History {
  const { fromSeconds, toSeconds, points, series } = query;
  const stranger = series.find((name) => !SERIES.includes(name));
  if (stranger !== undefined) throw new RangeError(`no column of the log is named ${stranger}`);
  const thinners = new Map(series.map((name) => [name, new Thinner(fromSeconds, toSeconds, points)]));
  const bucketSeconds = (toSeconds - fromSeconds) / points;
  if (bucketSeconds >= PART_SECONDS) takeParts(database, query, thinners);
  else if (bucketSeconds >= QUARTER_SECONDS) takeQuarters(database, query, thinners, null);
  else takeHours(database, query, thinners, bucketSeconds >= MINUTE_SECONDS);
  for (const piece of [...recentPieces(database), ...pending].sort(byDate)) takePiece(piece, query, thinners);
  const answer = Object.fromEntries([...thinners].map(([name, thinner]) => [name, thinner.points()]));
  return { from_seconds: fromSeconds, to_seconds: toSeconds, series: answer };
}

type Thinners = ReadonlyMap<string, Thinner>;

function takeParts(database: Database, { fromSeconds, toSeconds }: HistoryQuery, thinners: Thinners): void {
  const table = new QuarterTable(database);
  const parts = [Math.floor(fromSeconds / PART_SECONDS), Math.floor(toSeconds / PART_SECONDS)] as const;
  for (const [name, thinner] of thinners) {
    for (const { part, min, max } of table.extremes(name, ...parts)) {
      thinner.add((part + 0.5) * PART_SECONDS, min, max);
    }
  }
}

/** Quarters of whole hours; `only` restricts it to some hours. */
function takeQuarters(
  database: Database,
  { fromSeconds, toSeconds }: HistoryQuery,
  thinners: Thinners,
  only: ReadonlySet<number> | null,
): void {
  const table = new QuarterTable(database);
  const parts = [Math.floor(fromSeconds / PART_SECONDS), Math.floor(toSeconds / PART_SECONDS)] as const;
  for (const [name, thinner] of thinners) {
    for (const { part, quarters } of table.parts(name, ...parts)) {
      for (let quarter = 0; quarter < QUARTERS_A_PART; quarter += 1) {
        if (quarters.count[quarter] === 0) continue;
        if (only !== null && !only.has(part * PART_HOURS + Math.floor(quarter / QUARTERS_AN_HOUR))) continue;
        const middle = part * PART_SECONDS + (quarter + 0.5) * QUARTER_SECONDS;
        thinner.add(middle, quarters.min[quarter]!, quarters.max[quarter]!);
      }
    }
  }
}

/** Hour by hour: seconds, or minutes where these are fine enough or all that is left, or else quarters. */
function takeHours(database: Database, query: HistoryQuery, thinners: Thinners, minutesDo: boolean): void {
  const [fromHour, toHour] = [hourOf(query.fromSeconds), hourOf(query.toSeconds)];
  const packed = minutesDo ? [] : hoursWithBlocks(database, fromHour, toHour);
  for (const hour of packed) {
    for (const piece of blocksOfHour(database, hour)) takePiece(piece, query, thinners);
  }
  const done = new Set(packed);
  const coarse = new Set<number>();
  const reader = new MinuteReader(database);
  for (const { hour, minutes } of reader.hours(fromHour, toHour)) {
    if (done.has(hour)) continue;
    if (minutes === null) {
      coarse.add(hour);
      continue;
    }
    for (const [name, thinner] of thinners) {
      const cells = extremesOf(minutes, name);
      if (cells === null) continue;
      for (let minute = 0; minute < cells.min.length; minute += 1) {
        const middle = hour * HOUR_SECONDS + (minute + 0.5) * MINUTE_SECONDS;
        thinner.add(middle, cells.min[minute]!, cells.max[minute]!);
      }
    }
  }
  if (coarse.size > 0) takeQuarters(database, query, thinners, coarse);
}

function takePiece(piece: Piece, { fromSeconds, toSeconds }: HistoryQuery, thinners: Thinners): void {
  const start = startOf(piece.place);
  if (start > toSeconds || start + HOUR_SECONDS < fromSeconds) return;
  const block = piece.open();
  const seconds = block.seconds();
  for (const [name, thinner] of thinners) {
    const values = block.numbers(name);
    if (values !== null) thinner.addRows(start, seconds, values);
  }
}
