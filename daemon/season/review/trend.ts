// Is a quantity getting worse? A robust slope over days with its uncertainty, and when it will reach its alarm.
// It reads points and says numbers; which quantity means wear stands elsewhere.

/** One day's value of a wear quantity. */
export type TrendPoint = { readonly days: number; readonly value: number };

export type Trend = {
  /** Median of all pairwise slopes (Theil 1950, Sen 1968), per day. */
  readonly slopePerDay: number;
  /** Standard uncertainty from Sen's rank interval, per day. */
  readonly slopeUncertaintyPerDay: number;
  /** Value of the line at the last point. */
  readonly valueNow: number;
  readonly points: number;
  /** Kendall's test says that the slope is not chance at 5 %. */
  readonly significant: boolean;
};

/** More points than this are thinned evenly: the pairs grow with the square. */
const MOST_POINTS = 400;

/** Two-sided 5 % point of the normal distribution. */
const Z_95 = 1.959964;

/** The trend of at least five points; null for fewer, or when all lie on one day. */
export function trendOf(points: readonly TrendPoint[]): Trend | null {
  const thinned = thin(points);
  const slopes: number[] = [];
  let concordance = 0;
  for (let later = 1; later < thinned.length; later += 1) {
    for (let earlier = 0; earlier < later; earlier += 1) {
      const days = thinned[later]!.days - thinned[earlier]!.days;
      if (days === 0) continue;
      const slope = (thinned[later]!.value - thinned[earlier]!.value) / days;
      slopes.push(slope);
      concordance += Math.sign(slope);
    }
  }
  if (thinned.length < 5 || slopes.length === 0) return null;
  slopes.sort((a, b) => a - b);
  const slopePerDay = quantile(slopes, 0.5);
  const n = thinned.length;
  const spread = Math.sqrt((n * (n - 1) * (2 * n + 5)) / 18);
  const low = quantile(slopes, (slopes.length - Z_95 * spread) / 2 / slopes.length);
  const high = quantile(slopes, (slopes.length + Z_95 * spread) / 2 / slopes.length);
  const lastDay = thinned.at(-1)!.days;
  const intercepts = thinned.map(({ days, value }) => value + slopePerDay * (lastDay - days)).sort((a, b) => a - b);
  return {
    slopePerDay,
    slopeUncertaintyPerDay: (high - low) / (2 * Z_95),
    valueNow: quantile(intercepts, 0.5),
    points: points.length,
    significant: Math.abs(concordance) > Z_95 * spread,
  };
}

/** Days until the line reaches `alarmValue`; null when it moves away, stands still, or the slope may be chance. */
export function daysUntil(trend: Trend, alarmValue: number): number | null {
  if (!trend.significant) return null;
  const gap = alarmValue - trend.valueNow;
  if (gap === 0) return 0;
  return Math.sign(gap) === Math.sign(trend.slopePerDay) ? gap / trend.slopePerDay : null;
}

function thin(points: readonly TrendPoint[]): readonly TrendPoint[] {
  if (points.length <= MOST_POINTS) return points;
  const stride = points.length / MOST_POINTS;
  return Array.from({ length: MOST_POINTS }, (_, index) => points[Math.floor(index * stride)]!);
}

/** Linear interpolation between order statistics; `ratio` is clamped to 0–1. */
function quantile(sorted: readonly number[], ratio: number): number {
  const place = Math.min(Math.max(ratio, 0), 1) * (sorted.length - 1);
  const below = sorted[Math.floor(place)]!;
  const above = sorted[Math.ceil(place)]!;
  return below + (above - below) * (place - Math.floor(place));
}
