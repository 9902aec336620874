// Sixty made-up minutes as the digest of an hour, in the shape that real rows give. It makes nothing up itself.

import { bandIn, greater, type HourDigest, REVERSAL_KELVIN } from "../digest.ts";
import type { Box } from "./box.ts";
import type { Activity } from "./calendar.ts";

/** Supply of the demo's fan. */
export const FAN_VOLTS = 12;

/** One minute as it was lived. */
export type Minute = {
  readonly share: number;
  readonly core: number;
  readonly upper: number;
  readonly air: number;
  readonly outlet: number;
  readonly wall: number;
  readonly drive: number;
  readonly loss: number;
  readonly values: Readonly<Record<string, number>>;
};

/** `luck` from 0 to 1: now and then the fan was started in this hour. */
export function fillDigest(
  into: HourDigest,
  minutes: readonly Minute[],
  activity: Activity | null,
  box: Box,
  luck: number,
): void {
  const core = new Map<number, number>();
  const outlets = new Map<number, number>();
  const add = (histogram: Map<number, number>, degree: number): void => {
    histogram.set(degree, (histogram.get(degree) ?? 0) + 60);
  };
  for (const { share, core: celsius, upper, air, outlet, drive, loss } of minutes) {
    const seconds = 60 * share;
    into.seconds += 60;
    into.transmittingSeconds += seconds;
    into.driveJoules += drive * 60;
    into.lossJoules += loss * 60;
    into.peakCoreCelsius = greater(into.peakCoreCelsius, celsius);
    into.peakUpperCelsius = greater(into.peakUpperCelsius, upper);
    into.stageSeconds[upper > 100 ? 1 : 0] += 60;
    add(core, Math.floor(celsius));
    add(outlets, Math.floor(outlet));
    turn(into.reversals, celsius);
    if (celsius - air > 20) {
      into.flowFactor.sum += box.flow * 60;
      into.flowFactor.count += 60;
    }
    if (activity === null || share === 0) continue;
    const band = bandIn(into, activity.band);
    band.seconds += seconds;
    band.driveJoules += drive * 60;
    band.lossJoules += loss * 60;
    band.peakCoreCelsius = greater(band.peakCoreCelsius, celsius);
    band.lossFactorSum += (box.lossFactor[activity.band] ?? 1) * seconds;
    band.lossFactorCount += Math.round(seconds);
  }
  if (activity !== null) {
    into.overs = activity.oversAnHour;
    bandIn(into, activity.band).overs = activity.oversAnHour;
  } else rest(into, minutes, box);
  into.coreSeconds = [...core].sort(([one], [other]) => one - other);
  into.fan.turningSeconds = into.seconds;
  into.fan.outletSeconds = [...outlets].sort(([one], [other]) => one - other);
  into.fan.volts = { sum: FAN_VOLTS * 3600, count: 3600 };
  into.fan.rpm = { sum: box.rpmPerVolt * FAN_VOLTS * 3600, count: 3600 };
  if (luck < 0.03) into.fan.startSeconds.push(Math.round(box.startSeconds * 100) / 100);
}

function rest(into: HourDigest, minutes: readonly Minute[], box: Box): void {
  for (const { air, outlet, wall } of minutes) {
    for (const [name, value] of [
      ["inlet", air],
      ["outlet", outlet + box.outletOffset - air],
      ["wall", wall + box.wallOffset - air],
      ["ambient", box.ambientOffset],
    ] as const) {
      into.rest[name].sum += value * 60;
      into.rest[name].count += 60;
    }
  }
}

/** As for real rows: turns of more than REVERSAL_KELVIN. */
function turn(reversals: number[], celsius: number): void {
  const value = Math.round(celsius * 10) / 10;
  const last = reversals.at(-1);
  const before = reversals.at(-2);
  if (last === undefined) reversals.push(value);
  else if (before !== undefined && Math.sign(last - before) === Math.sign(value - last))
    reversals[reversals.length - 1] = value;
  else if (Math.abs(value - last) >= REVERSAL_KELVIN) reversals.push(value);
}
