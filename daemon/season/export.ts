// The season as a table: every second, or least, mean and greatest per minute or quarter hour. Rows come one hour after the other,
// so that a year needs no more memory than a day. It knows no file format.

import type { Database } from "better-sqlite3";
import { type Cell, COLUMNS } from "./columns.ts";
import { hoursKept, MinuteReader } from "./hours.ts";
import { extremesOf, MINUTES_AN_HOUR, meansOf } from "./minutes.ts";
import { byDate, hoursWithBlocks, type Piece, recentPieces } from "./pieces.ts";
import { PART_HOURS, QUARTER_SECONDS, QuarterTable } from "./quarters.ts";
import { addToRollup, coarser, emptyRollup, type Rollup } from "./rollup.ts";
import { readRows } from "./rows.ts";
import { HOUR_SECONDS, hourOf, startOf } from "./segment.ts";

export type Every = 1 | 60 | 900;

export type ExportColumn = {
  readonly name: string;
  readonly kind: "number" | "text";
  /** Symbol for people; empty for a number without one. */
  readonly unit: string;
  readonly meaning: string;
};

export type ExportTable = { readonly columns: readonly ExportColumn[]; readonly rows: Iterable<readonly Cell[]> };

const DATE: ExportColumn = { name: "date_seconds", kind: "number", unit: "s", meaning: "Unix time (UTC)" };
const SIMULATED: ExportColumn = {
  name: "simulated",
  kind: "number",
  unit: "",
  meaning: "1: from a simulated feedpoint, not measured",
};
const SOURCE: ExportColumn = {
  name: "source",
  kind: "text",
  unit: "",
  meaning: "live, imported, or demo (made up); of an average what most of its time is",
};
const SERIES = COLUMNS.filter(({ step }) => step !== null);
const KINDS = ["min", "mean", "max"] as const;

/** From `fromSeconds` up to, not including, `toSeconds`. */
export function exportTable(database: Database, every: Every, fromSeconds: number, toSeconds: number): ExportTable {
  if (every === 1) return { columns: SECOND_COLUMNS, rows: seconds(database, fromSeconds, toSeconds) };
  const span = { fromSeconds, toSeconds };
  const rows = every === 60 ? minutes(database, span) : quarters(database, span);
  return { columns: ROLLUP_COLUMNS, rows };
}

const SECOND_COLUMNS: readonly ExportColumn[] = [
  DATE,
  SIMULATED,
  SOURCE,
  { name: "wall_trusted", kind: "number", unit: "", meaning: "1: the clock was synchronised" },
  { name: "monotonic_seconds", kind: "number", unit: "s", meaning: "clock of the boot, which never jumps" },
  { name: "run", kind: "number", unit: "", meaning: "which start of the daemon" },
  ...COLUMNS.map(
    ({ name, step, unit, group }): ExportColumn => ({
      name,
      kind: step === null ? "text" : "number",
      unit,
      meaning: group,
    }),
  ),
];

const ROLLUP_COLUMNS: readonly ExportColumn[] = [
  DATE,
  SIMULATED,
  SOURCE,
  ...SERIES.flatMap(({ name, unit }) =>
    KINDS.map(
      (kind): ExportColumn => ({ name: `${kind}_${name}`, kind: "number", unit, meaning: `${kind} of ${name}` }),
    ),
  ),
];

type Origin = {
  readonly id: number;
  readonly simulated: number;
  readonly source: string;
  readonly name: string | null;
};

const originsOf = (database: Database): readonly Origin[] =>
  database.prepare<[], Origin>("SELECT id, simulated, source, name FROM run ORDER BY id").all();

function* seconds(database: Database, fromSeconds: number, toSeconds: number): Generator<readonly Cell[]> {
  const origins = new Map(originsOf(database).map((origin) => [origin.id, origin]));
  const names = COLUMNS.map(({ name }) => name);
  for (const row of readRows(database, names, fromSeconds, toSeconds)) {
    const origin = origins.get(row.run);
    const { dateSeconds, trusted, monotonicSeconds, run, cells } = row;
    yield [
      Math.round(dateSeconds * 1000) / 1000,
      origin?.simulated ?? null,
      origin?.source ?? null,
      Number(trusted),
      Math.round(monotonicSeconds * 1000) / 1000,
      run,
      ...cells,
    ];
  }
}

/** Where the rows of an hour come from: its seconds tell; hours of the demo have none. */
function originOfHour(
  database: Database,
  origins: readonly Origin[],
): (hour: number, runs: readonly number[]) => Origin | null {
  const demo = origins.find(({ source }) => source === "demo");
  const until = demo === undefined ? Number.NEGATIVE_INFINITY : Number(demo.name);
  const longest = database
    .prepare<[number], number>("SELECT run FROM block WHERE hour = ? GROUP BY run ORDER BY sum(rows) DESC LIMIT 1")
    .pluck();
  return (hour, runs) => {
    const run = longest.get(hour) ?? runs[0];
    if (run !== undefined) return origins.find(({ id }) => id === run) ?? null;
    // Seconds taken out by retention: a file holds either simulated or real rows, never both.
    return hour < until ? (demo ?? null) : (origins.find(({ source }) => source === "live") ?? null);
  };
}

function* minutes(database: Database, span: Span): Generator<readonly Cell[]> {
  const { fromSeconds, toSeconds } = span;
  const originOf = originOfHour(database, originsOf(database));
  const reader = new MinuteReader(database);
  const loose = looseHours(database);
  const [fromHour, toHour] = [hourOf(fromSeconds), hourOf(toSeconds)];
  const done = new Set<number>();
  for (const { hour, minutes: block } of reader.hours(fromHour, toHour)) {
    if (block === null) continue;
    done.add(hour);
    const columns = SERIES.flatMap(({ name }) => {
      const extremes = extremesOf(block, name);
      return [extremes?.min, meansOf(block, name), extremes?.max];
    });
    const row = (minute: number): Cell[] => columns.map((values) => plain(values?.[minute]));
    yield* hourRows({ hour, every: 60, origin: originOf(hour, []) }, row, span);
  }
  for (const [hour, pieces] of loose) {
    if (done.has(hour) || hour < fromHour || hour > toHour) continue;
    const rollups = rollupsOf(hour, pieces);
    yield* rollupRows({ hour, every: 60, origin: originOf(hour, [pieces[0]!.run]) }, rollups, span);
  }
}

function* quarters(database: Database, span: Span): Generator<readonly Cell[]> {
  const { fromSeconds, toSeconds } = span;
  const originOf = originOfHour(database, originsOf(database));
  const table = new QuarterTable(database);
  const part = (seconds: number): number => Math.floor(hourOf(seconds) / PART_HOURS);
  const loose = looseHours(database);
  const packed = new Set(hoursWithBlocks(database, hourOf(fromSeconds), hourOf(toSeconds)));
  const kept = hoursKept(database);
  const first = Math.max(part(fromSeconds), part((kept?.from ?? 0) * HOUR_SECONDS));
  const last = Math.min(part(toSeconds), part((kept?.to ?? -1) * HOUR_SECONDS));
  for (let at = first; at <= last; at += 1) {
    const found = SERIES.map(({ name }) => table.parts(name, at, at)[0]?.quarters);
    if (found.every((cells) => cells === undefined)) continue;
    const row = (quarter: number): Cell[] =>
      found.flatMap((cells) => KINDS.map((kind) => plain(cells?.[kind][quarter], 7)));
    for (let hour = 0; hour < PART_HOURS; hour += 1) {
      const here = at * PART_HOURS + hour;
      const origin = originOf(here, []);
      const inHour = (quarter: number): Cell[] => row(hour * 4 + quarter);
      yield* hourRows({ hour: here, every: QUARTER_SECONDS, origin }, inHour, span);
    }
  }
  for (const [hour, pieces] of loose) {
    if (packed.has(hour) || hour < hourOf(fromSeconds) || hour > hourOf(toSeconds)) continue;
    const rollups = rollupsOf(hour, pieces).map((rollup) => coarser(rollup, 15));
    yield* rollupRows({ hour, every: QUARTER_SECONDS, origin: originOf(hour, [pieces[0]!.run]) }, rollups, span);
  }
}

function looseHours(database: Database): Map<number, Piece[]> {
  const hours = new Map<number, Piece[]>();
  for (const piece of recentPieces(database).sort(byDate)) {
    const hour = hourOf(startOf(piece.place));
    hours.set(hour, [...(hours.get(hour) ?? []), piece]);
  }
  return hours;
}

/** Minutes of an hour that is not packed yet, one rollup a series. */
function rollupsOf(hour: number, pieces: readonly Piece[]): Rollup[] {
  const opened = pieces.map((piece) => ({ start: startOf(piece.place), block: piece.open() }));
  return SERIES.map(({ name }) => {
    const rollup = emptyRollup(MINUTES_AN_HOUR);
    for (const { start, block } of opened) {
      const values = block.numbers(name);
      const offsets = block.seconds();
      if (values === null) continue;
      const minuteOf = (row: number): number => Math.floor((start + offsets[row]! - hour * HOUR_SECONDS) / 60);
      addToRollup(rollup, values, (row) => Math.min(minuteOf(row), MINUTES_AN_HOUR - 1));
    }
    return rollup;
  });
}

/** An hour in rows of `every` seconds. */
type Hour = { readonly hour: number; readonly every: number; readonly origin: Origin | null };
/** Unix seconds; what begins at the end is not in it. */
type Span = { readonly fromSeconds: number; readonly toSeconds: number };

function rollupRows(hour: Hour, rollups: readonly Rollup[], span: Span): Generator<readonly Cell[]> {
  const row = (at: number): Cell[] => rollups.flatMap((rollup) => KINDS.map((kind) => plain(rollup[kind][at])));
  return hourRows(hour, row, span);
}

function* hourRows(
  { hour, every, origin }: Hour,
  row: (index: number) => Cell[],
  { fromSeconds, toSeconds }: Span,
): Generator<readonly Cell[]> {
  for (let index = 0; index < HOUR_SECONDS / every; index += 1) {
    const date = hour * HOUR_SECONDS + index * every;
    if (date < fromSeconds || date >= toSeconds) continue;
    const cells = row(index);
    if (cells.every((cell) => cell === null)) continue;
    yield [date, origin?.simulated ?? null, origin?.source ?? null, ...cells];
  }
}

/** Without the dust behind the last digit that was kept. */
function plain(value: number | undefined, digits = 10): Cell {
  return value === undefined || Number.isNaN(value) ? null : Number(value.toPrecision(digits));
}
