// The gate between what was read and what is believed: not-a-number, impossible, jumping, stuck and exchanged readings are withdrawn here,
// and of two drives that disagree the larger counts. It never repairs a value, and returns the same object when there is nothing to object to.

import type { Reading, Readings } from "../readings.ts";
import { bad, suspect } from "../readings.ts";

/** What an air or wall thermometer can be, and what a probe on the ferrite can be, °C. */
const AIR_CELSIUS = [-60, 150] as const;
const CORE_CELSIUS = [-60, 400] as const;
const DRIVE_WATTS = [0, 100_000] as const;

function within(reading: Reading | null, low: number, high: number): Reading | null {
  if (reading === null || reading.value === null) return reading;
  return reading.value >= low && reading.value <= high ? reading : bad("OUT_OF_RANGE");
}

function withdrawn(reading: Reading | null, code: string | null): Reading | null {
  return code === null || reading === null || reading.value === null ? reading : bad(code);
}

/** Readings without values that cannot be. */
export function screenRange(readings: Readings): Readings {
  const inlet = within(readings.inlet, ...AIR_CELSIUS);
  const outlet = within(readings.outlet, ...AIR_CELSIUS);
  const wall = within(readings.wall, ...AIR_CELSIUS);
  const ambient = within(readings.ambient, ...AIR_CELSIUS);
  const core = within(readings.core, ...CORE_CELSIUS);
  const humidityRatio = within(readings.humidityRatio, 0, 1.05);
  const supplyVolts = within(readings.supplyVolts, -1, 100);
  const supplyAmperes = within(readings.supplyAmperes, -10, 100);
  const watts = readings.drive === null ? null : within(readings.drive.watts, ...DRIVE_WATTS);
  const rpm = readings.fan === null ? null : within(readings.fan.rpm, 0, 1e6);
  if (
    inlet === readings.inlet &&
    outlet === readings.outlet &&
    wall === readings.wall &&
    ambient === readings.ambient &&
    core === readings.core &&
    humidityRatio === readings.humidityRatio &&
    supplyVolts === readings.supplyVolts &&
    supplyAmperes === readings.supplyAmperes &&
    (readings.drive === null || watts === readings.drive.watts) &&
    (readings.fan === null || rpm === readings.fan.rpm)
  ) {
    return readings;
  }
  return {
    ...readings,
    inlet,
    outlet,
    wall,
    ambient,
    core,
    humidityRatio,
    supplyVolts,
    supplyAmperes,
    drive: readings.drive === null || watts === null ? null : { ...readings.drive, watts },
    fan: readings.fan === null || rpm === null ? null : { ...readings.fan, rpm },
  };
}

/**
 * While two sources of the drive are so many times apart, the larger counts, as suspect: the bound then covers what either says.
 * The same object when they agree, or there is one.
 */
export function doubtDrive(readings: Readings, ratio: number): Readings {
  const { drive, driveEvidence } = readings;
  if (drive === null || driveEvidence.powerRatio === null || driveEvidence.powerRatio < ratio) return readings;
  const said = driveEvidence.sources.flatMap(({ watts }) => within(watts, ...DRIVE_WATTS)?.value ?? []);
  return said.length === 0
    ? readings
    : { ...readings, drive: { ...drive, watts: suspect(Math.max(...said), "DISAGREE") } };
}

/** A core reading below the coldest that the core can be is withdrawn: a probe has fallen off. The same object otherwise. */
export function vetCore(readings: Readings, coldestCelsius: number | null): Readings {
  const { core } = readings;
  if (core === null || core.value === null || coldestCelsius === null || core.value >= coldestCelsius) return readings;
  return { ...readings, core: bad("DISAGREE") };
}

/** What is held against one thermometer; a code withdraws its value, a doubt only widens it. */
export type Objection = { readonly code: string | null; readonly doubted: boolean };

type Thermometer = "inlet" | "outlet" | "wall" | "ambient";

/** The reading after its objection. */
function weighed(reading: Reading | null, { code, doubted }: Objection): Reading | null {
  if (code !== null) return withdrawn(reading, code);
  return doubted && reading?.quality === "good" ? suspect(reading.value, "JUMPED") : reading;
}

/** Readings after what is held against their thermometers; the same object when nothing is. */
export function object(readings: Readings, objections: { readonly [name in Thermometer]?: Objection }): Readings {
  let after: Readings = readings;
  for (const name of ["inlet", "outlet", "wall", "ambient"] as const) {
    const objection = objections[name];
    if (objection === undefined) continue;
    const reading = weighed(readings[name], objection);
    if (reading !== readings[name]) after = { ...after, [name]: reading };
  }
  return after;
}
