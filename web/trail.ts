// The last half hour for the chart: bounded buckets of [second, lowest, highest] per series, from the daemon's history and
// then from live frames. It keeps extremes and never averages: a peak that was there is still there.

import type { Frame, History, QuantityName } from "../daemon/wire/frame.ts";

export const TRAIL_SERIES = [
  "core_celsius",
  "core_upper_celsius",
  "outlet_celsius",
  "inlet_celsius",
  "drive_watts",
] as const satisfies readonly QuantityName[];
export type TrailSeries = (typeof TRAIL_SERIES)[number];

/** Second (daemon's monotonic clock) of the bucket's start, lowest and highest value seen in it. */
export type Extremes = readonly [atSeconds: number, low: number, high: number];
export type Trail = { readonly [name in TrailSeries]: readonly Extremes[] };

/** Length of the chart, s. */
export const TRAIL_SECONDS = 1800;
/** Width of one bucket, s; 600 of them are about as many as a chart can tell apart. */
export const BUCKET_SECONDS = 3;
/** A transmitter that gives less is not transmitting; below a detector's own offset, W. */
const TRANSMITTING_WATTS = 2;

export const EMPTY_TRAIL: Trail = {
  core_celsius: [],
  core_upper_celsius: [],
  outlet_celsius: [],
  inlet_celsius: [],
  drive_watts: [],
};

const bucketOf = (atSeconds: number): number => Math.floor(atSeconds / BUCKET_SECONDS) * BUCKET_SECONDS;

function trimmed(extremes: readonly Extremes[], nowSeconds: number): readonly Extremes[] {
  const oldest = bucketOf(nowSeconds) - TRAIL_SECONDS;
  const first = extremes.findIndex(([at]) => at >= oldest);
  return first <= 0 ? extremes : extremes.slice(first);
}

function appended(extremes: readonly Extremes[], [at, low, high]: Extremes): readonly Extremes[] {
  const bucket = bucketOf(at);
  const last = extremes.at(-1);
  if (last === undefined || bucket > last[0]) return [...extremes, [bucket, low, high]];
  if (bucket < last[0]) return extremes;
  if (low >= last[1] && high <= last[2]) return extremes;
  return [...extremes.slice(0, -1), [last[0], Math.min(last[1], low), Math.max(last[2], high)]];
}

/** The trail with one live frame taken in. Time running backwards means another boot: the trail begins anew. */
export function withFrame(trail: Trail, frame: Frame): Trail {
  const newest = Math.max(...TRAIL_SERIES.map((name) => trail[name].at(-1)?.[0] ?? Number.NEGATIVE_INFINITY));
  const base = frame.at_seconds + BUCKET_SECONDS < newest ? EMPTY_TRAIL : trail;
  const entries = TRAIL_SERIES.map((name) => {
    const value = frame.quantities[name]?.value ?? null;
    const extremes = value === null ? base[name] : appended(base[name], [frame.at_seconds, value, value]);
    return [name, trimmed(extremes, frame.at_seconds)] as const;
  });
  return Object.fromEntries(entries) as Trail;
}

/** The daemon's history joined with what was seen live; where both know a bucket, the live one stands. */
export function withHistory(trail: Trail, history: History, nowSeconds: number): Trail {
  const entries = TRAIL_SERIES.map((name) => {
    const known = new Set(trail[name].map(([at]) => at));
    let past: readonly Extremes[] = [];
    for (const triple of history.series[name] ?? []) {
      if (triple[0] <= nowSeconds && !known.has(bucketOf(triple[0]))) past = appended(past, triple);
    }
    const all = [...past, ...trail[name]].sort(([left], [right]) => left - right);
    return [name, trimmed(all, nowSeconds)] as const;
  });
  return Object.fromEntries(entries) as Trail;
}

/** A span of seconds in which the transmitter was on: all of the time, or (at the edges of overs) part of it. */
export type Transmission = { readonly from: number; readonly to: number; readonly whole: boolean };

/** The transmissions of the trail; buckets of one kind are joined over a single missing one, which is rounding, not a pause. */
export function transmissions(trail: Trail): readonly Transmission[] {
  const spans: Transmission[] = [];
  for (const [at, low, high] of trail.drive_watts) {
    if (high < TRANSMITTING_WATTS) continue;
    const whole = low >= TRANSMITTING_WATTS;
    const to = at + BUCKET_SECONDS;
    const last = spans.at(-1);
    if (last !== undefined && last.whole === whole && at <= last.to + BUCKET_SECONDS)
      spans[spans.length - 1] = { ...last, to };
    else spans.push({ from: at, to, whole });
  }
  return spans;
}

/** Stretches of operating: transmissions joined over pauses of up to `pauseSeconds`. */
export function operating(
  overs: readonly Transmission[],
  pauseSeconds = 30,
): readonly { readonly from: number; readonly to: number }[] {
  const stretches: { readonly from: number; readonly to: number }[] = [];
  for (const { from, to } of overs) {
    const last = stretches.at(-1);
    if (last !== undefined && from - last.to <= pauseSeconds) stretches[stretches.length - 1] = { from: last.from, to };
    else stretches.push({ from, to });
  }
  return stretches;
}

/** How much of the chart there is to show, s: steps up to half an hour, so that a young log does not look empty. */
export function shownSeconds(trail: Trail, nowSeconds: number): number {
  const first = Math.min(nowSeconds, ...TRAIL_SERIES.map((name) => trail[name][0]?.[0] ?? nowSeconds));
  return [300, 600, 1200].find((span) => nowSeconds - first <= span) ?? TRAIL_SECONDS;
}

/** Largest drive in the last `withinSeconds`, W; null where the drive is not known. */
export function heaviestDriveWatts(trail: Trail, nowSeconds: number, withinSeconds = 600): number | null {
  const recent = trail.drive_watts.filter(([at]) => at >= nowSeconds - withinSeconds);
  return recent.length === 0 ? null : Math.max(...recent.map(([, , high]) => high));
}
