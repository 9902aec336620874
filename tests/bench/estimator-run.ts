// Plays a case on the truth plant, measures it as sensors would, feeds the estimator, and scores estimate and bound.
// It never lets the estimator see the truth.

import type { Estimate } from "../../daemon/core/estimate/estimate.ts";
import {
  advanceEstimator,
  beginEstimator,
  type EstimatorInput,
  reportEstimate,
} from "../../daemon/core/estimate/estimator.ts";
import type { Model } from "../../daemon/core/estimate/model.ts";
import { good } from "../../daemon/core/readings.ts";
import {
  advancePlant,
  beginPlant,
  hottestToroidCelsius,
  meanCoreCelsius,
  type PlantParameters,
  sensedOutletCelsius,
} from "../../hardware/simulated/plant.ts";
import type { Random } from "../../hardware/simulated/random.ts";
import { CASE_BANDS, type Case } from "./estimator-cases.ts";

export const NOMINAL_RPM = 11_000;
/** Thermometers of the bench: noise and steps, K; scatter of the tach. */
const NOISE_KELVIN = 0.08;
const STEP_KELVIN = 1 / 16;
const TACH_SCATTER = 0.002;
const STANDING_RPM = 500;
/** The limit that the bench reports against, °C. */
export const LIMIT_CELSIUS = 110;
/** The first two minutes belong to the beginning and are not scored for accuracy. */
const SETTLING_SECONDS = 120;

/** A case as the sensors saw it, with the truth beside. One entry a second. */
export type Played = {
  readonly seconds: number;
  readonly inlet: Float64Array;
  readonly outlet: Float64Array;
  readonly rpm: Float64Array;
  readonly driveWatts: Float64Array;
  readonly frequencyHertz: Float64Array;
  readonly core: Float64Array;
  readonly hottest: Float64Array;
  readonly trueInlet: Float64Array;
};

const measured = (celsius: number, random: Random): number =>
  Math.round((celsius + NOISE_KELVIN * random.normal()) / STEP_KELVIN) * STEP_KELVIN;

/** Runs the plant through `pattern`; `fractions` are the table's loss fractions of CASE_BANDS. */
export function play(
  plant: PlantParameters,
  pattern: Pick<Case, "seconds" | "at">,
  fractions: readonly number[],
  air: number,
  random: Random,
): Played {
  const n = pattern.seconds;
  const played: Played = {
    seconds: n,
    inlet: new Float64Array(n),
    outlet: new Float64Array(n),
    rpm: new Float64Array(n),
    driveWatts: new Float64Array(n),
    frequencyHertz: new Float64Array(n),
    core: new Float64Array(n),
    hottest: new Float64Array(n),
    trueInlet: new Float64Array(n),
  };
  const state = beginPlant(plant, pattern.at(0, air).inletCelsius);
  const input = {
    dtSeconds: 1,
    driveWatts: 0,
    lossFraction: 0,
    fanRatio: 1,
    flowFactor: 1,
    inletCelsius: air,
    ambientCelsius: air,
    sunWatts: 0,
  };
  for (let second = 0; second < n; second++) {
    const now = pattern.at(second, air);
    const band = CASE_BANDS[now.band]!;
    input.driveWatts = now.driveWatts;
    input.lossFraction = fractions[now.band]! * (plant.bandLossFactors[band.band] ?? 1);
    input.fanRatio = now.fanRatio;
    input.flowFactor = now.flowFactor;
    input.inletCelsius = now.inletCelsius;
    input.ambientCelsius = now.inletCelsius;
    input.sunWatts = now.sunWatts;
    advancePlant(plant, state, input);
    played.inlet[second] = measured(now.inletCelsius, random);
    played.outlet[second] = measured(sensedOutletCelsius(state), random);
    played.rpm[second] = now.fanRatio * NOMINAL_RPM * (1 + TACH_SCATTER * random.normal());
    played.driveWatts[second] = now.driveWatts;
    played.frequencyHertz[second] = band.frequencyHertz;
    played.core[second] = meanCoreCelsius(plant, state);
    played.hottest[second] = hottestToroidCelsius(plant, state);
    played.trueInlet[second] = now.inletCelsius;
  }
  return played;
}

/** What the estimator is offered in one second of a played case. */
export function inputAt(played: Played, second: number, driveKnown: boolean): EstimatorInput {
  const rpm = played.rpm[second]!;
  return {
    atSeconds: second,
    dtSeconds: second === 0 ? 0 : 1,
    inlet: good(played.inlet[second]!),
    outlet: good(played.outlet[second]!),
    wall: null,
    ambient: null,
    core: null,
    fan: { rpm, turning: rpm > STANDING_RPM },
    drive: driveKnown
      ? { watts: good(played.driveWatts[second]!), frequencyHertz: played.frequencyHertz[second]! }
      : null,
  };
}

/** How an estimate did over one case. Temperatures in kelvin. */
export type Score = {
  readonly rmsKelvin: number;
  /** rms of the true rise over the inlet. */
  readonly riseKelvin: number;
  /** Furthest that the core was read low. */
  readonly lowestKelvin: number;
  /** Seconds in which the bound held, and all seconds. */
  readonly heldSeconds: number;
  readonly seconds: number;
  /** Mean of bound minus hottest toroid. */
  readonly widthKelvin: number;
  /** Furthest that the bound fell short. */
  readonly shortKelvin: number;
};

/** Runs the estimator over what was played and compares; `look` sees every estimate beside its second. */
export function score(
  model: Model,
  played: Played,
  driveKnown: boolean,
  look?: (second: number, estimate: Estimate) => void,
): Score {
  let squares = 0;
  let rises = 0;
  let lowest = 0;
  let held = 0;
  let width = 0;
  let short = 0;
  let counted = 0;
  let state = beginEstimator(model, inputAt(played, 0, driveKnown), null);
  for (let second = 1; second < played.seconds; second++) {
    state = advanceEstimator(model, state, inputAt(played, second, driveKnown));
    const estimate = reportEstimate(model, state, { limitCelsius: LIMIT_CELSIUS });
    look?.(second, estimate);
    const miss = estimate.coreCelsius - played.core[second]!;
    const over = estimate.coreUpperCelsius - played.hottest[second]!;
    if (over >= 0) held++;
    short = Math.min(short, over);
    if (second < SETTLING_SECONDS) continue;
    const rise = played.core[second]! - played.trueInlet[second]!;
    squares += miss * miss;
    rises += rise * rise;
    lowest = Math.min(lowest, miss);
    width += over;
    counted++;
  }
  return {
    rmsKelvin: Math.sqrt(squares / counted),
    riseKelvin: Math.sqrt(rises / counted),
    lowestKelvin: -lowest,
    heldSeconds: held,
    seconds: played.seconds - 1,
    widthKelvin: width / counted,
    shortKelvin: -short,
  };
}
