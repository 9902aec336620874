// Rows cut into stretches that can be packed together: one layout, one offset between wall and monotonic time, one hour.
// Pure; it knows no file.

import type { ColumnSpec, Columns, Text } from "./block.ts";
import type { Cell } from "./columns.ts";

/** One row on its way into the log; `cells` in the order of the layout. */
export type FiledRow = {
  /** Rises from 1 within a run. */
  readonly number: number;
  readonly monotonicSeconds: number;
  readonly wallSeconds: number;
  readonly wallTrusted: boolean;
  readonly cells: readonly Cell[];
};

/** Where a stretch of rows stands in time; its numbers leave none out. Its date is `firstMonotonicSeconds + offsetSeconds`. */
export type Place = {
  readonly firstNumber: number;
  readonly lastNumber: number;
  readonly rows: number;
  readonly firstMonotonicSeconds: number;
  /** Wall minus monotonic seconds. */
  readonly offsetSeconds: number;
  readonly trusted: boolean;
};

export type Segment = { readonly place: Place; readonly columns: Columns };

export const HOUR_SECONDS = 3_600;
/** A wall clock that moved by less was not set, it was read at another instant. */
const SAME_CLOCK_SECONDS = 0.5;

/** Unix second of the first row. */
export const startOf = (place: Place): number => place.firstMonotonicSeconds + place.offsetSeconds;

/** Number of the hour since 1970 (UTC) that a date lies in. */
export const hourOf = (seconds: number): number => Math.floor(seconds / HOUR_SECONDS);

/** The stretches of `rows`, which rise in monotonic time. */
export function segmentsOf(specs: readonly ColumnSpec[], rows: readonly FiledRow[]): Segment[] {
  const segments: Segment[] = [];
  let from = 0;
  for (let index = 1; index <= rows.length; index += 1) {
    if (index < rows.length && belongsTogether(rows[from]!, rows[index]!, index - from)) continue;
    segments.push(segmentOf(specs, rows.slice(from, index)));
    from = index;
  }
  return segments;
}

function belongsTogether(first: FiledRow, row: FiledRow, distance: number): boolean {
  const moved = row.wallSeconds - row.monotonicSeconds - (first.wallSeconds - first.monotonicSeconds);
  return (
    row.number === first.number + distance &&
    Math.abs(moved) <= SAME_CLOCK_SECONDS &&
    row.wallTrusted === first.wallTrusted &&
    row.monotonicSeconds >= first.monotonicSeconds &&
    hourOf(row.wallSeconds - moved) === hourOf(first.wallSeconds)
  );
}

function segmentOf(specs: readonly ColumnSpec[], rows: readonly FiledRow[]): Segment {
  const first = rows[0]!;
  const seconds = new Int32Array(rows.length);
  for (const [index, row] of rows.entries()) {
    const second = Math.round(row.monotonicSeconds - first.monotonicSeconds);
    seconds[index] = index === 0 ? 0 : Math.max(second, seconds[index - 1]!);
  }
  const numbers: Record<string, Float64Array> = {};
  const texts: Record<string, Text[]> = {};
  for (const [index, { name, step }] of specs.entries()) {
    if (step === null) texts[name] = rows.map(({ cells }) => textIn(cells[index]));
    else numbers[name] = Float64Array.from(rows, ({ cells }) => numberIn(cells[index]));
  }
  return {
    place: {
      firstNumber: first.number,
      lastNumber: rows.at(-1)!.number,
      rows: rows.length,
      firstMonotonicSeconds: first.monotonicSeconds,
      offsetSeconds: first.wallSeconds - first.monotonicSeconds,
      trusted: first.wallTrusted,
    },
    columns: { seconds, numbers, texts },
  };
}

const numberIn = (cell: Cell | undefined): number => (typeof cell === "number" ? cell : Number.NaN);
const textIn = (cell: Cell | undefined): Text => (typeof cell === "string" ? cell : null);

/** Can `next`, which follows `before`, stand in one block with it that begins with `first`? */
export function joins(first: Place, before: Place, next: Place): boolean {
  return (
    next.trusted === first.trusted &&
    next.firstNumber === before.lastNumber + 1 &&
    next.firstMonotonicSeconds >= before.firstMonotonicSeconds &&
    Math.abs(next.offsetSeconds - first.offsetSeconds) <= SAME_CLOCK_SECONDS
  );
}

/** Several stretches as one; each joins the first. */
export function joinSegments(specs: readonly ColumnSpec[], segments: readonly Segment[]): Segment {
  const first = segments[0]!.place;
  const rows = segments.reduce((sum, { place }) => sum + place.rows, 0);
  const seconds = new Int32Array(rows);
  let at = 0;
  for (const { place, columns } of segments) {
    const shift = Math.round(place.firstMonotonicSeconds - first.firstMonotonicSeconds);
    for (let index = 0; index < columns.seconds.length; index += 1, at += 1) {
      seconds[at] = Math.max(columns.seconds[index]! + shift, at === 0 ? 0 : seconds[at - 1]!);
    }
  }
  const numbers: Record<string, Float64Array> = {};
  const texts: Record<string, Text[]> = {};
  for (const { name, step } of specs) {
    if (step === null) texts[name] = segments.flatMap(({ columns }) => [...columns.texts[name]!]);
    else numbers[name] = concatenated(segments, name, rows);
  }
  return {
    place: { ...first, lastNumber: segments.at(-1)!.place.lastNumber, rows },
    columns: { seconds, numbers, texts },
  };
}

function concatenated(segments: readonly Segment[], name: string, rows: number): Float64Array {
  const all = new Float64Array(rows);
  let at = 0;
  for (const { columns } of segments) {
    const values = columns.numbers[name]!;
    for (let index = 0; index < values.length; index += 1, at += 1) all[at] = values[index]!;
  }
  return all;
}

/** A stretch cut at every full hour of its date. */
export function splitByHour(specs: readonly ColumnSpec[], segment: Segment): Segment[] {
  const { place, columns } = segment;
  const start = startOf(place);
  const cuts = [0];
  for (let row = 1; row < columns.seconds.length; row += 1) {
    if (hourOf(start + columns.seconds[row]!) !== hourOf(start + columns.seconds[row - 1]!)) cuts.push(row);
  }
  if (cuts.length === 1) return [segment];
  return cuts.map((from, index) => slice(specs, segment, from, cuts[index + 1] ?? columns.seconds.length));
}

function slice(specs: readonly ColumnSpec[], { place, columns }: Segment, from: number, to: number): Segment {
  const shift = columns.seconds[from]!;
  const numbers: Record<string, ArrayLike<number>> = {};
  const texts: Record<string, readonly Text[]> = {};
  for (const { name, step } of specs) {
    if (step === null) texts[name] = columns.texts[name]!.slice(from, to);
    else numbers[name] = Array.prototype.slice.call(columns.numbers[name]!, from, to) as number[];
  }
  return {
    place: {
      ...place,
      firstNumber: place.firstNumber + from,
      lastNumber: place.firstNumber + to - 1,
      rows: to - from,
      firstMonotonicSeconds: place.firstMonotonicSeconds + shift,
    },
    columns: {
      seconds: Array.from({ length: to - from }, (_, row) => columns.seconds[from + row]! - shift),
      numbers,
      texts,
    },
  };
}
