// Evidence over time that inlet and outlet are exchanged: a box that heats its air cannot cool it.
// Measuring only: seconds of evidence, gathered and lost again; the alarm judges.

import type { Readings } from "../readings.ts";
import { outletRise } from "./fan-pulse.ts";

/** More than sensor tolerance, in either direction, K. */
const TELLING_KELVIN = 1;
/** With the transmitter known to heat the core, a second tells more. */
const HEATED_WEIGHT = 3;
const HEATING_WATTS = 50;
const MOST_SECONDS = 900;

/** The evidence after `elapsedSeconds` more of these readings. It tells only while the fan turns. */
export function gatherSwapEvidence(
  evidenceSeconds: number,
  readings: Readings,
  turning: boolean | null,
  elapsedSeconds: number,
): number {
  const rise = outletRise(readings);
  if (turning !== true || rise === null) return evidenceSeconds;
  if (rise > TELLING_KELVIN) return Math.max(evidenceSeconds - elapsedSeconds, 0);
  if (rise >= -TELLING_KELVIN) return evidenceSeconds;
  const watts = readings.drive === null ? null : readings.drive.watts.value;
  const weight = watts !== null && watts > HEATING_WATTS ? HEATED_WEIGHT : 1;
  return Math.min(evidenceSeconds + weight * Math.min(elapsedSeconds, 10), MOST_SECONDS);
}

/** From `enoughSeconds` of evidence on the two are taken for exchanged, until half of it is lost again. */
export function areSwapped(before: boolean, evidenceSeconds: number, enoughSeconds: number): boolean {
  return evidenceSeconds >= (before ? enoughSeconds / 2 : enoughSeconds);
}

/**
 * While the outlet does not read colder it does no harm to take the two by their names, exchanged or not: equal air is the same either
 * way round, and a warmer outlet makes the core hotter. Withdrawn then as well, they could never prove that they are right again.
 */
export function areHarmless(readings: Readings): boolean {
  const rise = outletRise(readings);
  return rise !== null && rise >= -TELLING_KELVIN;
}
