// The season by local day. A day here is 24 hours between two local midnights of one fixed offset from UTC: pure arithmetic,
// no calendar of anybody's summer time.

import type { Day } from "../../wire/season.ts";
import type { DatedDigest } from "../hours.ts";
import { addUp, summaryOf } from "./summary.ts";

const DAY_HOURS = 24;
const HOUR_SECONDS = 3_600;
const DAY_SECONDS = 86_400;

/** Hours of one local day. */
export type DayHours = { readonly fromSeconds: number; readonly hours: readonly DatedDigest[] };

/** Days that have hours, rising. The offset counts in whole hours: digests know no finer time. */
export function byDay(hours: readonly DatedDigest[], utcOffsetSeconds: number): DayHours[] {
  const offsetHours = Math.round(utcOffsetSeconds / HOUR_SECONDS);
  const days = new Map<number, DatedDigest[]>();
  for (const dated of hours) {
    const day = Math.floor((dated.hour + offsetHours) / DAY_HOURS);
    const found = days.get(day);
    if (found === undefined) days.set(day, [dated]);
    else found.push(dated);
  }
  return [...days].map(([day, found]) => ({
    fromSeconds: day * DAY_SECONDS - offsetHours * HOUR_SECONDS,
    hours: found,
  }));
}

/** `isDemo` says of an hour whether it is made up. */
export function dayOf(
  { fromSeconds, hours }: DayHours,
  utcOffsetSeconds: number,
  isDemo: (hour: number) => boolean,
): Day {
  return {
    from_seconds: fromSeconds,
    date: new Date((fromSeconds + utcOffsetSeconds) * 1000).toISOString().slice(0, 10),
    demo: hours.some(({ hour }) => isDemo(hour)),
    ...summaryOf(addUp(hours)),
  };
}
