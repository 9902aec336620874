// Scenarios of our own: a made-up feedpoint behind an orchard gate on a lively evening, and its wiring as data.
// Figures only; nothing here runs.

import type { HardwareSpec } from "../ports.ts";
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

/** Wiring of the demo: two air sensors, the wall, outside air with humidity, tach, supply, drive detector, two permit lines. */
export const DEMO_SPEC: HardwareSpec = {
  sensors: [
    { name: "inlet", role: "inlet", source: { kind: "i2c", chip: "tmp117", bus: 1, address: 0x48 } },
    { name: "outlet", role: "outlet", source: { kind: "i2c", chip: "tmp117", bus: 1, address: 0x49 } },
    { name: "wall", role: "wall", source: { kind: "i2c", chip: "mcp9808", bus: 1, address: 0x18 } },
    { name: "ambient", role: "ambient", source: { kind: "i2c", chip: "sht4x", bus: 1, address: 0x44 } },
  ],
  tachometer: { kind: "gpio", line: { chipLabel: null, offset: 17 }, bias: "pull-up", pulsesPerRevolution: 2 },
  supply: { chip: "ina219", bus: 1, address: 0x40, shuntOhms: 0.1 },
  drive: { chip: "ads1115", bus: 1, address: 0x4a, forwardChannel: 0, reflectedChannel: 1 },
  relay: { reduce: { chipLabel: null, offset: 23 }, inhibit: { chipLabel: null, offset: 24 } },
  ptt: null,
  buzzer: null,
  fanCut: null,
  pulse: null,
};

/** Twelve sensors of every supported make on two buses and in the kernel, for the bench. */
export const TWELVE_SENSOR_SPEC: HardwareSpec = {
  ...DEMO_SPEC,
  sensors: [
    ...DEMO_SPEC.sensors,
    { name: "inlet left", role: "inlet", source: { kind: "i2c", chip: "tmp1075", bus: 1, address: 0x4c } },
    { name: "inlet right", role: "inlet", source: { kind: "i2c", chip: "lm75", bus: 1, address: 0x4d } },
    { name: "outlet left", role: "outlet", source: { kind: "i2c", chip: "tmp1075", bus: 3, address: 0x48 } },
    { name: "outlet right", role: "outlet", source: { kind: "i2c", chip: "tmp117", bus: 3, address: 0x49 } },
    { name: "wall low", role: "wall", source: { kind: "i2c", chip: "mcp9808", bus: 3, address: 0x19 } },
    { name: "shade", role: "ambient", source: { kind: "i2c", chip: "sht3x", bus: 3, address: 0x44 } },
    { name: "wall high", role: "wall", source: { kind: "hwmon", path: "/sys/class/hwmon/hwmon1/temp1_input" } },
    { name: "gate post", role: "ambient", source: { kind: "hwmon", path: "/sys/class/hwmon/hwmon2/temp1_input" } },
  ],
};
