// Scenarios of our own: a made-up feedpoint behind an orchard gate on a lively evening. Figures only; nothing here runs.

import { eveningPattern } from "./evening.ts";
import type { FanMake } from "./fan.ts";
import type { OperatingPattern } from "./pattern.ts";
import { nominalPlant, type PlantParameters } from "./plant.ts";
import type { Climate } from "./weather.ts";

/** Everything that the simulated world consists of, apart from its wiring. */
export type Scenario = {
  readonly feedpointName: string;
  readonly transformer: {
    readonly mix: string;
    readonly toroids: number;
    readonly outerMillimeters: number;
    readonly innerMillimeters: number;
    readonly heightMillimeters: number;
    readonly primaryTurns: number;
  };
  readonly plant: PlantParameters;
  readonly climate: Climate;
  readonly pattern: OperatingPattern;
  readonly fan: FanMake;
  readonly supplyVolts: number;
  /** Power that the shack leaves when `reduce` is released, W. */
  readonly reducedWatts: number;
  readonly startOfDaySeconds: number;
  readonly prerollSeconds: number;
  /** Detector output at 1 kW forward, V; it follows the square root of power. */
  readonly detectorKilowattVolts: number;
  readonly standingWaveRatio: number;
  readonly noiseKelvin: number;
};

/** The feedpoint of the first start: half past eight on a mild evening, the operator has been at it for most of an hour. */
export function demoScenario(seed: number): Scenario {
  return {
    feedpointName: "Orchard gate",
    transformer: {
      mix: "43",
      toroids: 3,
      outerMillimeters: 61,
      innerMillimeters: 35.55,
      heightMillimeters: 12.7,
      primaryTurns: 3,
    },
    plant: nominalPlant(),
    climate: {
      seed,
      meanCelsius: 19.5,
      swingKelvin: 4.5,
      dewPointCelsius: 12,
      unrestKelvin: 0.5,
      sunriseHour: 5.5,
      sunsetHour: 20.75,
      noonSunWatts: 5,
      cloudRatio: 0.4,
    },
    pattern: eveningPattern(seed, "contest"),
    fan: { nominalRpm: 11_000, nominalVolts: 12, runningAmperes: 0.17, stalledAmperes: 0.27 },
    supplyVolts: 12,
    reducedWatts: 400,
    startOfDaySeconds: 20.5 * 3600,
    prerollSeconds: 40 * 60,
    detectorKilowattVolts: 2,
    standingWaveRatio: 1.3,
    noiseKelvin: 0.08,
  };
}
