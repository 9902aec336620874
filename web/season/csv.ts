// What is shown as comma-separated values (RFC 4180): CRLF, quotes where needed, SI units in the names of the columns, and
// in each row whether it is simulated. Pure; the browser offers it as a file in download.ts.

import type { SeasonReview, SessionSummary, Wear } from "../../daemon/wire/season.ts";
import type { Span } from "./span.ts";

type Cell = string | number | null;

/** One text field; quoted when it holds a comma, a quote or a line's end (RFC 4180, 2.6 and 2.7). */
export function field(cell: Cell): string {
  const text = cell === null ? "" : String(cell);
  return /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}

export const csv = (rows: readonly (readonly Cell[])[]): string =>
  rows.map((row) => `${row.map(field).join(",")}\r\n`).join("");

/** Seconds as ISO 8601 in UTC. */
const utc = (wallSeconds: number): string => new Date(wallSeconds * 1000).toISOString().replace(".000Z", "Z");

/** `simulated`, `demo`, `imported` or `measured`, for each row. */
function originOf({ simulated, demo, imported }: Pick<SeasonReview, "simulated" | "demo" | "imported">): string {
  if (simulated || demo) return demo ? "simulated; demo season in part" : "simulated";
  return imported ? "measured; imported in part" : "measured";
}

/** An hour a line. */
export function hoursCsv(review: SeasonReview): string {
  const origin = originOf(review);
  const head = ["time", "peak_core_celsius", "transmitting_seconds", "heat_joules", "origin"];
  return csv([
    head,
    ...review.hours.map((hour) => [
      utc(hour.hour * 3600),
      hour.peak_core_celsius,
      hour.transmitting_seconds,
      hour.heat_joules,
      origin,
    ]),
  ]);
}

/** A day and a quantity a line, of the days within `span` (Unix seconds). */
export function wearCsv(review: SeasonReview, wears: readonly Wear[], span: Span): string {
  const origin = originOf(review);
  return csv([
    ["time", "quantity", "value", "unit", "origin"],
    ...wears.flatMap(({ quantity, unit, points }) =>
      points
        .filter(([at]) => at >= span.from && at <= span.to)
        .map(([at, value]) => [utc(at), quantity, value, unit, origin]),
    ),
  ]);
}

export type ElapsedTrace = {
  readonly session: SessionSummary;
  /** Seconds since the session's start, lowest and highest, °C. */
  readonly points: readonly (readonly [elapsed: number, low: number, high: number])[];
};

/** The core of each session by elapsed seconds within `span`. */
export function tracesCsv(review: SeasonReview, traces: readonly ElapsedTrace[], span: Span): string {
  const origin = originOf(review);
  return csv([
    ["session", "elapsed_seconds", "core_celsius_min", "core_celsius_max", "origin"],
    ...traces.flatMap(({ session, points }) =>
      points
        .filter(([elapsed]) => elapsed >= span.from && elapsed <= span.to)
        .map(([elapsed, low, high]) => [session.name, Math.round(elapsed), low, high, origin]),
    ),
  ]);
}
