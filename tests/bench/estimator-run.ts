// Plays a case on the truth plant, measures it as sensors would, feeds the estimator, and scores estimate and bound.
// It never lets the estimator see the truth.

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
const NOISE_KELVIN = 0.08;
const STEP_KELVIN = 1 / 16;

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
    input.driveWatts = now.driveWatts;
    input.lossFraction = fractions[now.band]! * (plant.bandLossFactors[CASE_BANDS[now.band]!.band] ?? 1);
    input.fanRatio = now.fanRatio;
    input.flowFactor = now.flowFactor;
    input.inletCelsius = now.inletCelsius;
    input.ambientCelsius = now.inletCelsius;
    input.sunWatts = now.sunWatts;
    advancePlant(plant, state, input);
    played.inlet[second] = measured(now.inletCelsius, random);
    played.outlet[second] = measured(sensedOutletCelsius(state), random);
    played.rpm[second] = now.fanRatio * NOMINAL_RPM * (1 + 0.002 * random.normal());
    played.driveWatts[second] = now.driveWatts;
    played.frequencyHertz[second] = CASE_BANDS[now.band]!.frequencyHertz;
    played.core[second] = meanCoreCelsius(plant, state);
    played.hottest[second] = hottestToroidCelsius(plant, state);
    played.trueInlet[second] = now.inletCelsius;
  }
  return played;
}

export type Score = {
  readonly rmsKelvin: number;
  /** rms as a share of the rms rise. */
  readonly rise: number;
  readonly lowestKelvin: number;
  readonly covered: number;
  readonly widthKelvin: number;
  readonly worstShortKelvin: number;
};

/** Runs the estimator over what was played and compares. The first two minutes belong to the restart. */
export function score(model: Model, played: Played, driveKnown: boolean, trace?: (line: number[]) => void): Score {
  let squares = 0;
  let rises = 0;
  let lowest = 0;
  let covered = 0;
  let width = 0;
  let short = 0;
  let counted = 0;
  const inputAt = (second: number): EstimatorInput => ({
    atSeconds: second,
    dtSeconds: second === 0 ? 0 : 1,
    inlet: good(played.inlet[second]!),
    outlet: good(played.outlet[second]!),
    wall: null,
    ambient: null,
    core: null,
    fan: { rpm: played.rpm[second]!, turning: played.rpm[second]! > 500 },
    drive: driveKnown
      ? { watts: good(played.driveWatts[second]!), frequencyHertz: played.frequencyHertz[second]! }
      : null,
  });
  let state = beginEstimator(model, inputAt(0), null);
  for (let second = 1; second < played.seconds; second++) {
    state = advanceEstimator(model, state, inputAt(second));
    const estimate = reportEstimate(model, state, { limitCelsius: 110 });
    const miss = estimate.coreCelsius - played.core[second]!;
    const over = estimate.coreUpperCelsius - played.hottest[second]!;
    trace?.([
      second,
      played.core[second]!,
      estimate.coreCelsius,
      played.hottest[second]!,
      estimate.coreUpperCelsius,
      estimate.lossWatts,
      estimate.flowFactor,
      estimate.lossFactor ?? 0,
      estimate.disagreementKelvin ?? 0,
      played.outlet[second]! - played.inlet[second]!,
    ]);
    if (over >= 0) covered++;
    short = Math.min(short, over);
    if (second < 120) continue;
    const rise = played.core[second]! - played.trueInlet[second]!;
    squares += miss * miss;
    rises += rise * rise;
    lowest = Math.min(lowest, miss);
    width += over;
    counted++;
  }
  return {
    rmsKelvin: Math.sqrt(squares / counted),
    rise: Math.sqrt(rises / counted),
    lowestKelvin: -lowest,
    covered: covered / (played.seconds - 1),
    widthKelvin: width / counted,
    worstShortKelvin: -short,
  };
}
