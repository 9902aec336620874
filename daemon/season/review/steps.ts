// Steps in a quantity's daily values: a new fan, a cleaned vent, a moved sensor. The levels just before and just after a day are
// compared by medians, less the drift that both sides show, so that a few bad days or slow wear make no step. It finds; the
// operator's notes may say why.

import type { TrendPoint } from "./trend.ts";

/** The first day of the new level, and the levels just before and after (medians). */
export type Step = { readonly days: number; readonly before: number; readonly after: number };

/** Points compared on each side. */
const SIDE = 8;
/** At the ends of the season fewer must do. */
const LEAST_SIDE = 5;
const MOST_STEPS = 8;
/** The levels must differ by so many standard deviations of a median of SIDE points, and of a single day. */
const TELLING_RATIO = 5;
const TELLING_DAYS = 2;
/** Median absolute deviation to standard deviation, and standard deviation of a median to that of a mean: normal distribution. */
const MAD_TO_SIGMA = 1.4826;
const MEDIAN_TO_MEAN = Math.sqrt(Math.PI / 2);
/** Values that never scatter are compared with this share of themselves. */
const LEAST_SCATTER = 1e-4;

type Jump = {
  readonly cut: number;
  readonly size: number;
  readonly plain: number;
  readonly ratio: number;
  readonly cost: number;
};

/** Steps in order of their day; `points` rise in days. */
export function stepsIn(points: readonly TrendPoint[]): Step[] {
  const sigma = scatterOf(points);
  const jumps: Jump[] = [];
  for (let cut = LEAST_SIDE; cut <= points.length - LEAST_SIDE; cut += 1) {
    const jump = jumpAt(points, cut, sigma);
    const least = TELLING_DAYS * sigma;
    // With the drift and without it the levels must differ, and to the same side.
    const tells = Math.abs(jump.size) >= least && Math.abs(jump.plain) >= least && jump.size * jump.plain > 0;
    if (tells && jump.ratio >= TELLING_RATIO) jumps.push(jump);
  }
  const kept: number[] = [];
  while (jumps.length > 0 && kept.length < MOST_STEPS) {
    const { cut } = clearest(jumps);
    kept.push(cut);
    // What is seen across the same edge is the same step.
    for (let index = jumps.length - 1; index >= 0; index -= 1) {
      if (Math.abs(jumps[index]!.cut - cut) < SIDE) jumps.splice(index, 1);
    }
  }
  return kept
    .sort((one, other) => one - other)
    .map((cut) => ({
      days: points[cut]!.days,
      before: median(valuesOf(points.slice(Math.max(0, cut - SIDE), cut))),
      after: median(valuesOf(points.slice(cut, cut + SIDE))),
    }));
}

/** Of the cuts at which the step is nearly at its largest, the one whose sides are each most alike. */
function clearest(jumps: readonly Jump[]): Jump {
  const largest = Math.max(...jumps.map(({ ratio }) => ratio));
  const near = jumps.filter(({ ratio }) => ratio >= 0.7 * largest);
  return near.reduce((best, jump) => (jump.cost < best.cost ? jump : best));
}

function jumpAt(points: readonly TrendPoint[], cut: number, sigma: number): Jump {
  const left = points.slice(Math.max(0, cut - SIDE), cut);
  const right = points.slice(cut, cut + SIDE);
  const apart = median(right.map(({ days }) => days)) - median(left.map(({ days }) => days));
  const drift = (slopeOf(left) + slopeOf(right)) / 2;
  const plain = median(valuesOf(right)) - median(valuesOf(left));
  const size = plain - drift * apart;
  // The drift is no better known than a straight line through so few days.
  const levels = MEDIAN_TO_MEAN ** 2 * (1 / left.length + 1 / right.length);
  const noise = sigma * Math.sqrt(levels + (apart / 2) ** 2 * (1 / leverOf(left) + 1 / leverOf(right)));
  return {
    cut,
    size,
    plain,
    ratio: Math.abs(size) / noise,
    cost: deviation(valuesOf(left)) + deviation(valuesOf(right)),
  };
}

/** Standard deviation of one day's value, from the differences of neighbours: neither drift nor steps count. */
function scatterOf(points: readonly TrendPoint[]): number {
  if (points.length < 3) return Number.POSITIVE_INFINITY;
  const differences = points.slice(1).map(({ value }, index) => Math.abs(value - points[index]!.value));
  const least = LEAST_SCATTER * Math.max(1e-6, Math.abs(median(valuesOf(points))));
  return Math.max(least, (MAD_TO_SIGMA * median(differences)) / Math.SQRT2);
}

/** Median of the slopes between all pairs, per day. */
function slopeOf(points: readonly TrendPoint[]): number {
  const slopes = points.flatMap(({ days, value }, later) =>
    points.slice(0, later).map((earlier) => (value - earlier.value) / (days - earlier.days)),
  );
  return median(slopes.filter(Number.isFinite));
}

/** Sum of squared distances of the days from their mean: what a slope is known by. */
function leverOf(points: readonly TrendPoint[]): number {
  const mean = points.reduce((sum, { days }) => sum + days, 0) / points.length;
  return points.reduce((sum, { days }) => sum + (days - mean) ** 2, 0);
}

function deviation(values: readonly number[]): number {
  const middle = median(values);
  return values.reduce((sum, value) => sum + Math.abs(value - middle), 0);
}

const valuesOf = (points: readonly TrendPoint[]): number[] => points.map(({ value }) => value);

/** 0 for nothing. */
export function median(values: readonly number[]): number {
  if (values.length === 0) return 0;
  const sorted = [...values].sort((one, other) => one - other);
  const half = sorted.length >> 1;
  return sorted.length % 2 === 1 ? sorted[half]! : (sorted[half - 1]! + sorted[half]!) / 2;
}
