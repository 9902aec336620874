// The review of a season put together: one sentence, days, hours for the heat map, wear, sessions, notes. It reads the log and
// computes; what to do about it is the operator's business.

import type { Database } from "better-sqlite3";
import type { SeasonReview, Summary, Wear } from "../../wire/season.ts";
import type { BandOf } from "../filing.ts";
import { demoUntilHour, notesBetween, sessionsBetween, sourcesOf } from "../records.ts";
import { HOUR_SECONDS } from "../segment.ts";
import { byDay, dayOf } from "./days.ts";
import { fanLifeOf } from "./fan-life.ts";
import { hoursOf, sessionOf } from "./sessions.ts";
import { addUp, cyclesOf, secondsAbove, summaryOf } from "./summary.ts";
import { type WearAlarms, wearOf } from "./wear.ts";

export type ReviewQuestion = {
  readonly name: string;
  readonly fromSeconds: number;
  readonly toSeconds: number;
  /** Whole hours; the reader's days begin at this offset's midnight. */
  readonly utcOffsetSeconds: number;
  readonly limitCelsius: number;
  readonly alarms: WearAlarms;
  readonly bandOf: BandOf;
};

/** Kinds of the record that stand on the season's axis. */
const SHOWN_KINDS = ["note", "command", "proof test", "stage"];
const WHY_KINDS = ["note", "command"];
const MOST_NOTES = 500;

export function reviewSeason(database: Database, question: ReviewQuestion): SeasonReview {
  const { name, fromSeconds, toSeconds, utcOffsetSeconds, limitCelsius, alarms, bandOf } = question;
  const { hours } = hoursOf(database, fromSeconds, toSeconds, bandOf);
  const sum = addUp(hours);
  const days = byDay(hours, utcOffsetSeconds);
  const total = summaryOf(sum);
  const notes = notesBetween(database, fromSeconds, toSeconds, SHOWN_KINDS);
  const wear = wearOf(
    days,
    notes.filter(({ kind }) => WHY_KINDS.includes(kind)),
    alarms,
  );
  const demoUntil = demoUntilHour(database);
  const isDemo = (hour: number): boolean => demoUntil !== null && hour < demoUntil;
  return {
    name,
    ...sourcesOf(database),
    demo: hours.some(({ hour }) => isDemo(hour)),
    from_seconds: (hours[0]?.hour ?? Math.floor(fromSeconds / HOUR_SECONDS)) * HOUR_SECONDS,
    to_seconds: ((hours.at(-1)?.hour ?? Math.floor(fromSeconds / HOUR_SECONDS)) + 1) * HOUR_SECONDS,
    utc_offset_seconds: utcOffsetSeconds,
    sentence: sentenceOf(total, days.length, secondsAbove(sum, Math.floor(limitCelsius)), limitCelsius, wear),
    total,
    days: days.map((day) => dayOf(day, utcOffsetSeconds, isDemo)),
    hours: hours.map(({ hour, digest }) => ({
      hour,
      peak_core_celsius: digest.peakCoreCelsius,
      transmitting_seconds: Math.round(digest.transmittingSeconds),
      heat_joules: Math.round(digest.lossJoules),
    })),
    cycles: cyclesOf(sum),
    wear,
    fan: fanLifeOf(sum),
    sessions: sessionsBetween(database, fromSeconds, toSeconds).map((session) => sessionOf(database, session, bandOf)),
    notes: notes.slice(-MOST_NOTES),
  };
}

function sentenceOf(
  { overs, transmitting_seconds, peak_core_celsius, inhibited_seconds }: Summary,
  days: number,
  overLimitSeconds: number,
  limitCelsius: number,
  wear: readonly Wear[],
): string {
  if (days === 0) return "Nothing is logged yet.";
  const hours = Math.round(transmitting_seconds / 360) / 10;
  const peak =
    peak_core_celsius === null
      ? "the core's temperature is not known"
      : `the core reached ${peak_core_celsius.toFixed(0)} °C at most`;
  const limit =
    overLimitSeconds > 0
      ? ` and was above ${limitCelsius.toFixed(0)} °C for ${overLimitSeconds.toFixed(0)} s`
      : inhibited_seconds >= 60
        ? ` and power was inhibited for ${Math.round(inhibited_seconds / 60)} min`
        : "";
  const soonest = wear
    .filter(({ days_to_alarm }) => days_to_alarm !== null)
    .sort((one, other) => one.days_to_alarm! - other.days_to_alarm!)[0];
  const worst = soonest === undefined ? "nothing wears towards an alarm" : soonest.sentence.replace(/\.$/, "");
  const span = days === 1 ? "One day" : `${days} days`;
  return `${span}, ${overs} overs in ${hours} h on the air: ${peak}${limit}; ${worst.charAt(0).toLowerCase()}${worst.slice(1)}.`;
}
