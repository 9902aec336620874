// Hours of a season as days by hours: where each lies in the map, and which days and months stand on the axis. Pure; a day
// begins at the midnight of one fixed offset from UTC.

import type { SeasonHour, SeasonReview } from "../../daemon/wire/season.ts";

export const DAY_SECONDS = 86_400;
const HOUR_SECONDS = 3600;
export const HOURS_A_DAY = 24;

/** The season as a grid; `cells` holds day × 24 + hour, null where nothing is known. */
export type SeasonGrid = {
  readonly firstDay: number;
  readonly days: number;
  readonly offsetSeconds: number;
  readonly cells: readonly (SeasonHour | null)[];
};

/** Whole local days since 1970 of a moment. */
export const dayOf = (wallSeconds: number, offsetSeconds: number): number =>
  Math.floor((wallSeconds + offsetSeconds) / DAY_SECONDS);

/** First second, Unix, of a local day. */
export const startOfDay = (day: number, offsetSeconds: number): number => day * DAY_SECONDS - offsetSeconds;

/** All hours of the review, a null for each that the log does not know. */
export function gridOf(review: Pick<SeasonReview, "hours" | "utc_offset_seconds">): SeasonGrid {
  const offsetSeconds = review.utc_offset_seconds;
  const offsetHours = Math.round(offsetSeconds / HOUR_SECONDS);
  const first = review.hours[0];
  const last = review.hours.at(-1);
  if (first === undefined || last === undefined) return { firstDay: 0, days: 0, offsetSeconds, cells: [] };
  const firstDay = Math.floor((first.hour + offsetHours) / HOURS_A_DAY);
  const days = Math.floor((last.hour + offsetHours) / HOURS_A_DAY) - firstDay + 1;
  const cells: (SeasonHour | null)[] = Array.from({ length: days * HOURS_A_DAY }, () => null);
  for (const hour of review.hours) cells[hour.hour + offsetHours - firstDay * HOURS_A_DAY] = hour;
  return { firstDay, days, offsetSeconds, cells };
}

/** First day of each month that begins within the grid, as days from its first. */
export function monthStarts({ firstDay, days }: Pick<SeasonGrid, "firstDay" | "days">): readonly number[] {
  return Array.from({ length: days }, (_, index) => index).filter(
    (index) => new Date((firstDay + index) * DAY_SECONDS * 1000).getUTCDate() === 1,
  );
}
