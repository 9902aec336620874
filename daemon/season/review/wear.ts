// The quantities that mean wear, one value a day, with their trend, their steps and when they reach their alarm.
// Which they are stands here and nowhere else; the numbers come from digests, the alarm's values from the caller.

import type { SeasonNote, Wear, WearStep } from "../../wire/season.ts";
import { type HourDigest, meanOf } from "../digest.ts";
import type { DatedDigest } from "../hours.ts";
import type { DayHours } from "./days.ts";
import { median, type Step, stepsIn } from "./steps.ts";
import { addUp, byWavelength } from "./summary.ts";
import { daysUntil, type TrendPoint, trendOf } from "./trend.ts";

/** Value at which an alarm comes, by quantity without its band; a quantity without one has no entry. */
export type WearAlarms = Readonly<Record<string, number>>;

type Quantity = {
  readonly quantity: string;
  readonly name: string;
  readonly unit: string;
  readonly decimals: number;
  readonly of: (day: DayHours, sum: HourDigest) => number | null;
};

const DAY_SECONDS = 86_400;
const MONTH_DAYS = 30.44;
/** A day's mean of fewer seconds is no value of that day. */
const LEAST_SECONDS = 60;
/** Sensors are compared in the coldest hours of a day without transmission before. */
const COLDEST_HOURS = 3;
const QUIET_HOURS_BEFORE = 2;
/** A note so near may be why. */
const NEAR_DAYS = 2;

/** Every wear quantity of which there is a value, bands first, by wavelength. */
export function wearOf(days: readonly DayHours[], notes: readonly SeasonNote[], alarms: WearAlarms): Wear[] {
  const sums = days.map((day) => ({ day, sum: addUp(day.hours) }));
  const bands = [...new Set(sums.flatMap(({ sum }) => Object.keys(sum.bands)))].filter((band) => band !== "unknown");
  const quantities = [...bands.sort(byWavelength).map(lossFactor), ...QUANTITIES];
  return quantities.flatMap((quantity) => {
    const points = sums.flatMap(({ day, sum }) => {
      const value = quantity.of(day, sum);
      return value === null ? [] : [{ days: day.fromSeconds / DAY_SECONDS + 0.5, value }];
    });
    return points.length === 0
      ? []
      : [judge(quantity, points, notes, alarms[quantity.quantity.split(" ", 1)[0]!] ?? null)];
  });
}

const lossFactor = (band: string): Quantity => ({
  quantity: `loss_factor ${band}`,
  name: `loss factor on ${band}`,
  unit: "",
  decimals: 3,
  of: (_, { bands }) => {
    const found = bands[band];
    if (found === undefined || found.lossFactorCount < LEAST_SECONDS) return null;
    return found.lossFactorSum / found.lossFactorCount;
  },
});

const QUANTITIES: readonly Quantity[] = [
  {
    quantity: "flow_factor",
    name: "flow factor",
    unit: "",
    decimals: 3,
    of: (_, { flowFactor }) => (flowFactor.count < LEAST_SECONDS ? null : meanOf(flowFactor)),
  },
  {
    quantity: "fan_rpm_per_volt",
    name: "fan speed per volt",
    unit: "1/(min·V)",
    decimals: 1,
    of: (_, { fan }) => (fan.volts.count < LEAST_SECONDS ? null : fan.rpm.sum / fan.volts.sum),
  },
  {
    quantity: "fan_start_seconds",
    name: "fan start time",
    unit: "s",
    decimals: 2,
    of: (_, { fan }) => (fan.startSeconds.length === 0 ? null : median(fan.startSeconds)),
  },
  ...(["outlet", "wall", "ambient"] as const).map(
    (sensor): Quantity => ({
      quantity: `${sensor}_offset_kelvin`,
      name: `${sensor} minus inlet, cold at rest`,
      unit: "K",
      decimals: 2,
      of: (day) => restOffset(day.hours, sensor),
    }),
  ),
];

/** All sensors should agree when the box is cold: the mean over the coldest quiet hours of the day. */
function restOffset(hours: readonly DatedDigest[], sensor: "outlet" | "wall" | "ambient"): number | null {
  const quiet = hours.filter(
    ({ digest }, index) =>
      digest.rest[sensor].count > 0 &&
      hours
        .slice(Math.max(0, index - QUIET_HOURS_BEFORE), index)
        .every(({ digest: before }) => before.transmittingSeconds === 0),
  );
  const coldest = [...quiet]
    .sort((one, other) => meanOf(one.digest.rest.inlet)! - meanOf(other.digest.rest.inlet)!)
    .slice(0, COLDEST_HOURS);
  return meanOf(
    coldest.reduce(
      (mean, { digest }) => ({
        sum: mean.sum + digest.rest[sensor].sum,
        count: mean.count + digest.rest[sensor].count,
      }),
      { sum: 0, count: 0 },
    ),
  );
}

function judge(
  { quantity, name, unit, decimals }: Quantity,
  points: readonly TrendPoint[],
  notes: readonly SeasonNote[],
  alarmValue: number | null,
): Wear {
  const steps = stepsIn(points);
  const since = steps.at(-1)?.days ?? points[0]!.days;
  const current = points.filter(({ days }) => days >= since);
  const trend = trendOf(current);
  const daysToAlarm = trend === null || alarmValue === null ? null : daysUntil(trend, alarmValue);
  const tell = (value: number): string => `${value.toFixed(decimals)}${unit === "" ? "" : ` ${unit}`}`;
  return {
    quantity,
    name,
    unit,
    points: points.map(({ days, value }) => [Math.round(days * DAY_SECONDS), Number(value.toPrecision(6))]),
    steps: steps.map((step) => wearStep(step, notes)),
    trend:
      trend === null
        ? null
        : {
            slope_per_month: Number((trend.slopePerDay * MONTH_DAYS).toPrecision(4)),
            slope_uncertainty_per_month: Number((trend.slopeUncertaintyPerDay * MONTH_DAYS).toPrecision(2)),
            value_now: Number(trend.valueNow.toPrecision(6)),
            significant: trend.significant,
            from_seconds: Math.round(since * DAY_SECONDS),
            to_seconds: Math.round(points.at(-1)!.days * DAY_SECONDS),
          },
    alarm_value: alarmValue,
    days_to_alarm: daysToAlarm === null ? null : Math.round(daysToAlarm),
    sentence: sentenceOf(name, tell, unit === "" ? "" : ` ${unit}`, current, trend, daysToAlarm),
  };
}

function sentenceOf(
  name: string,
  tell: (value: number) => string,
  unit: string,
  current: readonly TrendPoint[],
  trend: ReturnType<typeof trendOf>,
  daysToAlarm: number | null,
): string {
  const subject = name.charAt(0).toUpperCase() + name.slice(1);
  if (trend === null)
    return `${subject}: ${tell(median(current.map(({ value }) => value)))}, too few days for a trend.`;
  if (!trend.significant) return `${subject}: ${tell(trend.valueNow)}, no trend that could not be chance.`;
  const month = trend.slopePerDay * MONTH_DAYS;
  const slope = `${month > 0 ? "rising" : "falling"} by ${brief(Math.abs(month))}${unit} a month`;
  const reach = daysToAlarm === null ? "" : `; at this pace it will reach the alarm in ${inTime(daysToAlarm)}`;
  return `${subject}: ${tell(trend.valueNow)}, ${slope} (± ${brief(trend.slopeUncertaintyPerDay * MONTH_DAYS)})${reach}.`;
}

/** Two significant digits without an exponent. */
const brief = (value: number): string => (value === 0 ? "0" : String(Number(value.toPrecision(2))));

/** Coarse on purpose: the line is no more exact. */
function inTime(days: number): string {
  if (days < 14) return `${Math.max(1, Math.round(days))} days`;
  if (days < 75) return `${Math.round(days / 7)} weeks`;
  if (days < 730) return `${Math.round(days / MONTH_DAYS)} months`;
  return "more than two years";
}

function wearStep({ days, before, after }: Step, notes: readonly SeasonNote[]): WearStep {
  const atSeconds = days * DAY_SECONDS;
  const near = notes
    .filter(({ at_seconds }) => Math.abs(at_seconds - atSeconds) <= NEAR_DAYS * DAY_SECONDS)
    .sort((one, other) => Math.abs(one.at_seconds - atSeconds) - Math.abs(other.at_seconds - atSeconds));
  return {
    at_seconds: Math.round(atSeconds),
    before: Number(before.toPrecision(6)),
    after: Number(after.toPrecision(6)),
    attributed_to: near[0]?.text ?? null,
  };
}
