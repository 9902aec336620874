// What digests of hours add up to: a day, a session, a season. Pure; it judges nothing.

import type { BandSummary, CycleClass, Summary } from "../../wire/season.ts";
import { WATCHED_CELSIUS } from "../../wire/season.ts";
import { addDigest, emptyDigest, type HourDigest } from "../digest.ts";
import type { DatedDigest } from "../hours.ts";
import { countCycles, cyclesByRange } from "./rainflow.ts";

/** Lower edges of the classes in which thermal cycles are told, K. */
const CYCLE_EDGES_KELVIN = [2, 5, 10, 20, 30, 40, 60, 80];

/** Hours in order added up; hours that follow each other are contiguous. */
export function addUp(hours: readonly DatedDigest[]): HourDigest {
  const sum = emptyDigest();
  let before: number | null = null;
  for (const { hour, digest } of hours) {
    addDigest(sum, digest, before !== null && hour === before + 1);
    before = hour;
  }
  return sum;
}

/** Totals and peaks, rounded for the wire; null where nothing was known. */
export function summaryOf(digest: HourDigest): Summary {
  return {
    known_seconds: round(digest.seconds),
    transmitting_seconds: round(digest.transmittingSeconds),
    overs: digest.overs,
    duty_ratio: digest.seconds === 0 ? null : round(digest.transmittingSeconds / digest.seconds, 1e4),
    drive_joules: round(digest.driveJoules),
    heat_joules: round(digest.lossJoules),
    peak_core_celsius: rounded(digest.peakCoreCelsius, 100),
    peak_core_upper_celsius: rounded(digest.peakUpperCelsius, 100),
    seconds_above: WATCHED_CELSIUS.map((celsius) => secondsAbove(digest, celsius)),
    reduced_seconds: round(digest.stageSeconds[1]),
    inhibited_seconds: round(digest.stageSeconds[2]),
    sensor_errors_receiving: digest.sensorErrors.receiving,
    sensor_errors_transmitting: digest.sensorErrors.transmitting,
    bands: Object.keys(digest.bands)
      .sort(byWavelength)
      .map((band) => bandOf(band, digest)),
  };
}

/** Seconds of the core at or above a whole degree. */
export function secondsAbove({ coreSeconds }: HourDigest, celsius: number): number {
  return round(coreSeconds.reduce((sum, [degree, seconds]) => (degree >= celsius ? sum + seconds : sum), 0));
}

/** Temperature cycles of the core by range (ASTM E1049-85, rainflow), half cycles as 0.5. */
export function cyclesOf(digest: HourDigest): readonly CycleClass[] {
  return cyclesByRange(countCycles(digest.reversals), CYCLE_EDGES_KELVIN).map(({ from, to, count }) => ({
    from_kelvin: from,
    to_kelvin: to,
    count,
  }));
}

function bandOf(band: string, { bands }: HourDigest): BandSummary {
  const { seconds, overs, driveJoules, lossJoules, peakCoreCelsius, lossFactorSum, lossFactorCount } = bands[band]!;
  return {
    band,
    transmitting_seconds: round(seconds),
    overs,
    drive_joules: round(driveJoules),
    heat_joules: round(lossJoules),
    peak_core_celsius: rounded(peakCoreCelsius, 100),
    loss_factor: lossFactorCount === 0 ? null : round(lossFactorSum / lossFactorCount, 1e4),
  };
}

/** 160 m first; a band without a number last. */
export function byWavelength(one: string, other: string): number {
  const metres = (band: string): number => Number.parseFloat(band) || 0;
  return metres(other) - metres(one);
}

const round = (value: number, scale = 1): number => Math.round(value * scale) / scale;
const rounded = (value: number | null, scale: number): number | null => (value === null ? null : round(value, scale));
