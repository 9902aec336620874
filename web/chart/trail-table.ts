// The chart's table twin: the highest values of each minute, newest first. Pure.

import { TRAIL_SERIES, type Trail, type TrailSeries } from "../trail.ts";

export type MinuteRow = { readonly atSeconds: number } & { readonly [name in TrailSeries]: number | null };

/** One row per minute of the daemon's clock shifted by `offsetSeconds`, so that minutes are those of the wall clock. */
export function minuteRows(trail: Trail, offsetSeconds: number): readonly MinuteRow[] {
  const rows = new Map<number, { [name in TrailSeries]: number | null }>();
  for (const name of TRAIL_SERIES) {
    for (const [at, , high] of trail[name]) {
      const minute = Math.floor((at + offsetSeconds) / 60) * 60 - offsetSeconds;
      const row = rows.get(minute) ?? {
        core_celsius: null,
        core_upper_celsius: null,
        outlet_celsius: null,
        inlet_celsius: null,
        drive_watts: null,
      };
      row[name] = Math.max(row[name] ?? Number.NEGATIVE_INFINITY, high);
      rows.set(minute, row);
    }
  }
  return [...rows].sort(([left], [right]) => right - left).map(([atSeconds, row]) => ({ atSeconds, ...row }));
}
