// How a wear quantity has changed from the season's beginning to now, and whether that is more than its own scatter; and
// what the change of the airflow does to the core. Pure.

import { FILM_EXPONENT } from "../../daemon/core/physics/box.ts";
import type { SeasonReview, Wear } from "../../daemon/wire/season.ts";
import { gridOf, HOURS_A_DAY } from "./calendar.ts";

/** Days whose median is the level at either end of the season. */
const END_DAYS = 14;
const LEAST_DAYS = 5;
/** A change below so many standard uncertainties of the two medians is not told. */
const TELLING = 3;
/** Normal distribution: standard deviation over median absolute deviation; of a median over that of a mean. */
const MAD_TO_SIGMA = 1.4826;
const MEDIAN_TO_MEAN = Math.sqrt(Math.PI / 2);

export type Change = {
  readonly before: number;
  readonly now: number;
  /** Unix seconds of the first day compared. */
  readonly sinceSeconds: number;
  /** False where the difference may be chance. */
  readonly telling: boolean;
};

function median(values: readonly number[]): number {
  const sorted = [...values].sort((one, other) => one - other);
  const half = sorted.length >> 1;
  const high = sorted[half] ?? Number.NaN;
  return sorted.length % 2 === 1 ? high : ((sorted[half - 1] ?? Number.NaN) + high) / 2;
}

function levelOf(values: readonly number[]): { readonly level: number; readonly uncertainty: number } {
  const level = median(values);
  const sigma = MAD_TO_SIGMA * median(values.map((value) => Math.abs(value - level)));
  return { level, uncertainty: (sigma * MEDIAN_TO_MEAN) / Math.sqrt(values.length) };
}

/** First against last days; null when there are too few days to have both. */
export function changeOf({ points }: Pick<Wear, "points">): Change | null {
  const count = Math.min(END_DAYS, Math.floor(points.length / 2));
  const [first] = points;
  if (count < LEAST_DAYS || first === undefined) return null;
  const before = levelOf(points.slice(0, count).map(([, value]) => value));
  const now = levelOf(points.slice(-count).map(([, value]) => value));
  const doubt = Math.hypot(before.uncertainty, now.uncertainty);
  return {
    before: before.level,
    now: now.level,
    sinceSeconds: first[0],
    telling: Math.abs(now.level - before.level) > TELLING * doubt,
  };
}

/**
 * The rise of the core over the resting box in the warmest tenth of the season's hours on the air, K: each hour's peak less
 * the coolest hour without transmission of its day. Null when no day has both.
 */
export function workingRiseKelvin(review: Pick<SeasonReview, "hours" | "utc_offset_seconds">): number | null {
  const { cells, days } = gridOf(review);
  const rises: number[] = [];
  for (let day = 0; day < days; day += 1) {
    const known = cells
      .slice(day * HOURS_A_DAY, (day + 1) * HOURS_A_DAY)
      .flatMap((cell) => (cell === null || cell.peak_core_celsius === null ? [] : [cell]));
    const rest = known.filter((cell) => cell.transmitting_seconds === 0).map((cell) => cell.peak_core_celsius ?? 0);
    if (rest.length === 0) continue;
    const coolest = Math.min(...rest);
    for (const cell of known) {
      if (cell.transmitting_seconds > 0) rises.push((cell.peak_core_celsius ?? coolest) - coolest);
    }
  }
  rises.sort((one, other) => one - other);
  return rises[Math.floor(rises.length * 0.9)] ?? null;
}

/**
 * How much hotter the core runs for the same loss now, K, at `riseKelvin` over the air: its conductance to the air goes with
 * (fan speed × flow factor)^0.6, as in the model of the box; radiation and wall, which do not change, are left out.
 */
export function hotterKelvin(riseKelvin: number, airflowRatio: number): number {
  return riseKelvin * (airflowRatio ** -FILM_EXPONENT - 1);
}
