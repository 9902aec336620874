// A heat run of the demo feedpoint on the truth plant, as sensors and a hand-held thermometer would record it: five quiet minutes,
// key-down, cool-down. Noise is drawn from a seed; the truth stands beside for whoever wants to compare.

import { configFrom } from "../../daemon/commands/flags.ts";
import { modelOf } from "../../daemon/config/model.ts";
import {
  advancePlant,
  beginPlant,
  drawPlant,
  meanCoreCelsius,
  sensedOutletCelsius,
} from "../../hardware/simulated/plant.ts";
import { seededRandom } from "../../hardware/simulated/random.ts";

export type Second = {
  readonly inletCelsius: number;
  readonly outletCelsius: number;
  readonly driveWatts: number;
  readonly coreCelsius: number;
};

const MINUTE = 60;
const HERTZ = 3.65e6;
const AIR_CELSIUS = 20;

/** A box that is played second by second. */
export type Play = {
  /** The core's mean after the last second. */
  readonly coreCelsius: number;
  /** One second at `watts` on 80 m with the fan at `fanRatio` of its speed, as the thermometers see it. */
  readonly next: (watts: number, fanRatio?: number) => Second;
};

/** A box drawn from `seed`, cold; thermometers of `noiseKelvin`. */
export function beginPlay(seed: number, noiseKelvin = 0.08): Play {
  const random = seededRandom(seed);
  const plant = drawPlant(random.fork("plant"));
  const noise = random.fork("noise");
  const fraction = modelOf(configFrom(undefined)).bands.find(({ band }) => band === "80 m")?.lossFraction ?? Number.NaN;
  const state = beginPlant(plant, AIR_CELSIUS);
  const next = (driveWatts: number, fanRatio = 1): Second => {
    advancePlant(plant, state, {
      dtSeconds: 1,
      driveWatts,
      lossFraction: fraction * (plant.bandLossFactors["80 m"] ?? 1),
      fanRatio,
      flowFactor: 1,
      inletCelsius: AIR_CELSIUS,
      ambientCelsius: AIR_CELSIUS,
      sunWatts: 0,
    });
    return {
      inletCelsius: AIR_CELSIUS + noiseKelvin * noise.normal(),
      outletCelsius: sensedOutletCelsius(state) + noiseKelvin * noise.normal(),
      driveWatts,
      coreCelsius: meanCoreCelsius(plant, state),
    };
  };
  return {
    get coreCelsius() {
      return meanCoreCelsius(plant, state);
    },
    next,
  };
}

/** A played run: `watts` by second. */
export function playRun(
  seed: number,
  seconds: number,
  watts: (second: number) => number,
  noiseKelvin = 0.08,
): Second[] {
  const play = beginPlay(seed, noiseKelvin);
  return Array.from({ length: seconds }, (_, second) => play.next(watts(second)));
}

/** Drive of a usual heat run: quiet, `watts` for `minutes`, then nothing. */
export const usualRun =
  (watts: number, minutes: number) =>
  (second: number): number =>
    second >= 5 * MINUTE && second < (5 + minutes) * MINUTE ? watts : 0;

/** The run as a recording; the core is read at `spotSeconds`, 1 K off. */
export function recordingOf(run: readonly Second[], spotSeconds: readonly number[] = []): string {
  const rows = run.map(({ inletCelsius, outletCelsius, driveWatts, coreCelsius }, second) => {
    const spot = spotSeconds.includes(second) ? (coreCelsius + (second % 2 === 0 ? 1 : -1)).toFixed(1) : "";
    return `${second},${inletCelsius.toFixed(3)},${outletCelsius.toFixed(3)},11000,${driveWatts},${HERTZ},${spot}`;
  });
  return `time_seconds,inlet_celsius,outlet_celsius,fan_rpm,drive_watts,frequency_hertz,spot_core_celsius\n${rows.join("\n")}\n`;
}
