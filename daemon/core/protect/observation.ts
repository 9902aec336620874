// The first part of a cycle: what was read, freed of what cannot be, and how it behaves over time. It believes and decides nothing.

import type { Readings } from "../readings.ts";
import { isStuck } from "./conditions/sensors.ts";
import { coldestCore } from "./core-check.ts";
import { turnsFor } from "./fan.ts";
import type { Program } from "./program.ts";
import { doubtDrive, type Objection, object, screenRange, vetCore } from "./screen.ts";
import { isDoubted, isJumping, type SensorWatch, watchSensor } from "./sensor-watch.ts";
import type { State } from "./state.ts";
import { areHarmless } from "./swapped.ts";
import { advanceUpsets, beginUpsets, type Upsets } from "./upsets.ts";

export type Observation = {
  /** Readings without values that cannot be. */
  readonly measured: Readings;
  /** The same without those that are stuck, jumping or exchanged, and the larger of two drives that disagree: what the filters may have. */
  readonly believed: Readings;
  /** The coldest that the core can be; null when nothing but a core reading would speak of it. */
  readonly coldestCelsius: number | null;
  readonly transmitting: boolean | null;
  /** Unix seconds; null while the clock is not trusted. */
  readonly wallSeconds: number | null;
  readonly inletWatch: SensorWatch | null;
  readonly outletWatch: SensorWatch | null;
  readonly wallWatch: SensorWatch | null;
  readonly ambientWatch: SensorWatch | null;
  readonly upsets: Upsets;
  /** The outlet's number moved in this cycle; the outlet was found to stand still in this cycle. */
  readonly outletMoved: boolean;
  readonly outletFoundStuck: boolean;
};

/** From this much drive on the transmitter counts as keyed when nobody says so, W. */
const KEYED_WATTS = 5;

function isTransmitting({ drive }: Readings): boolean | null {
  if (drive === null) return null;
  if (drive.transmitting !== null) return drive.transmitting;
  return drive.watts.value === null ? null : drive.watts.value >= KEYED_WATTS;
}

function jumpObjection(watch: SensorWatch | null, nowSeconds: number): Objection {
  return { code: isJumping(watch) ? "JUMP" : null, doubted: isDoubted(watch, nowSeconds) };
}

/** Everything that one cycle's readings show. */
export function observe(program: Program, state: State, readings: Readings, nowSeconds: number): Observation {
  const possible = screenRange(readings);
  const wallWatch = watchSensor(state.wallWatch, possible.wall, null, nowSeconds);
  const ambientWatch = watchSensor(state.ambientWatch, possible.ambient, null, nowSeconds);
  // No alarm of their own speaks of the jumps of these two; so to everybody they are bad meanwhile.
  const measured = object(possible, {
    wall: jumpObjection(wallWatch, nowSeconds),
    ambient: jumpObjection(ambientWatch, nowSeconds),
  });
  const { upkeep, ambient } = measured;
  const transmitting = isTransmitting(measured);
  const air = ambient === null ? null : ambient.value;
  const inletWatch = watchSensor(state.inletWatch, measured.inlet, air, nowSeconds);
  const outletWatch = watchSensor(state.outletWatch, measured.outlet, state.movedKelvin, nowSeconds);
  const { stuckSeconds } = program.alarms;
  const inletStuck = isStuck(inletWatch, "inlet", stuckSeconds, nowSeconds);
  const outletStuck = isStuck(outletWatch, "outlet", stuckSeconds, nowSeconds);
  const exchanged = state.swapped && !areHarmless(measured);
  const airObjection = (stuck: boolean, watch: SensorWatch | null): Objection => {
    if (exchanged) return { code: "EXCHANGED", doubted: false };
    return stuck ? { code: "STUCK", doubted: false } : jumpObjection(watch, nowSeconds);
  };
  const weighed = object(doubtDrive(measured, program.alarms.drivePowerRatio), {
    inlet: airObjection(inletStuck, inletWatch),
    outlet: airObjection(outletStuck, outletWatch),
  });
  const coldestCelsius = coldestCore(program.model, weighed, turnsFor(state.fan.verdict), state.run, nowSeconds);
  const { sensorErrorsTransmitting: keyed, sensorErrorsReceiving: unkeyed } = upkeep;
  const upsets = advanceUpsets(
    state.upsets ?? beginUpsets(keyed, unkeyed, nowSeconds),
    keyed,
    unkeyed,
    transmitting,
    nowSeconds,
  );
  const wallSeconds = upkeep.wallTrusted ? upkeep.wallSeconds : null;
  return {
    measured: vetCore(measured, coldestCelsius),
    believed: vetCore(weighed, coldestCelsius),
    coldestCelsius,
    transmitting,
    wallSeconds,
    inletWatch,
    outletWatch,
    wallWatch,
    ambientWatch,
    upsets,
    outletMoved: outletWatch?.changedSeconds === nowSeconds,
    outletFoundStuck: outletStuck && !isStuck(state.outletWatch, "outlet", stuckSeconds, state.atSeconds),
  };
}
