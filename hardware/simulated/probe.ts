// What a sensor at its place feels: the truth there, plus noise, plus what the script says is wrong with this one.
// It knows nothing of the chip that will turn it into bits.

import type { Role, SensorSpec } from "../ports.ts";
import type { ClimateProbe } from "./chips/sht.ts";
import type { FaultScript } from "./faults.ts";
import type { SimulatedFeedpoint, Truth } from "./feedpoint.ts";
import type { Random } from "./random.ts";

/** Where a sensor hangs and how restless the air is there. */
export type ProbeOptions = {
  readonly sensor: SensorSpec;
  readonly feedpoint: SimulatedFeedpoint;
  readonly faults: FaultScript;
  readonly random: Random;
  readonly now: () => number;
  /** Standard deviation of one sample, K: turbulence more than the chip's own noise. */
  readonly noiseKelvin: number;
};

/** The probe of one sensor of the specification. */
export function sensorProbe(options: ProbeOptions): ClimateProbe {
  const { sensor, feedpoint, faults, random, now, noiseKelvin } = options;
  let latest: number | null = null;

  function feel(): number {
    const offset = faults.ofPart("chip offset", sensor.name);
    const hours = offset === null ? 0 : (feedpoint.elapsedSeconds() - offset.startSeconds) / 3600;
    const error = offset === null ? 0 : offset.kelvin + offset.kelvinPerHour * hours;
    const role = faults.find("air sensors swapped") === null ? sensor.role : swapped(sensor.role);
    return truthAt(role, feedpoint.truth()) + error + noiseKelvin * random.normal();
  }
  return {
    now,
    celsius() {
      if (latest === null || faults.ofPart("value stuck", sensor.name) === null) latest = feel();
      return latest;
    },
    humidityRatio() {
      return Math.min(1, Math.max(0, feedpoint.truth().humidityRatio + 0.004 * random.normal()));
    },
  };
}

function swapped(role: Role): Role {
  if (role === "inlet") return "outlet";
  return role === "outlet" ? "inlet" : role;
}

function truthAt(role: Role, truth: Truth): number {
  switch (role) {
    case "inlet":
      return truth.inletCelsius;
    case "outlet":
      return truth.outletCelsius;
    case "wall":
      return truth.wallCelsius;
    case "ambient":
      return truth.ambientCelsius;
    case "core":
      return truth.meanCoreCelsius;
  }
}
