// What a fan's bearing has done: hours of turning, and the same hours weighted by the air that passed it. Common practice, no
// source: makers state bearing life at 40 °C, and it is said to halve for every 15 K above. It predicts no failure.

import type { FanLife } from "../../wire/season.ts";
import type { HourDigest } from "../digest.ts";

const STATED_CELSIUS = 40;
const HALVING_KELVIN = 15;

/** Hours of turning, rounded to tenths, plain and weighted. */
export function fanLifeOf({ fan }: HourDigest): FanLife {
  // Cooler air is not credited: nobody states a longer life for it.
  const weighted = fan.outletSeconds.reduce(
    (sum, [degree, seconds]) => sum + seconds * 2 ** (Math.max(0, degree + 0.5 - STATED_CELSIUS) / HALVING_KELVIN),
    0,
  );
  const known = fan.outletSeconds.reduce((sum, [, seconds]) => sum + seconds, 0);
  // Turning without an outlet reading counts as it is.
  const hours = (seconds: number): number => Math.round(seconds / 360) / 10;
  return {
    turning_hours: hours(fan.turningSeconds),
    weighted_hours: hours(weighted + fan.turningSeconds - known),
    starts: fan.startSeconds.length,
    rule: `hours above ${STATED_CELSIUS} °C count double for every ${HALVING_KELVIN} K (common practice, no source)`,
  };
}
