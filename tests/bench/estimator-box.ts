// The feedpoint that the estimator is measured on: three 61 mm toroids of mix 43 with three turns, what is known of it beforehand,
// and the heat run as sensors and a hand-held thermometer record it. It draws no conclusion.

import { solveLeastSquares } from "../../daemon/commands/heat-run/solver.ts";
import { type FitResult, fitHeatRun } from "../../daemon/core/estimate/fit.ts";
import { type Model, modelFromPriors } from "../../daemon/core/estimate/model.ts";
import type { HeatRunSample } from "../../daemon/core/estimate/recording.ts";
import { coreLoss } from "../../daemon/core/physics/ferrite.ts";
import { publishedMix } from "../../daemon/core/physics/mixes/published.ts";
import { parseToroid, stackOf } from "../../daemon/core/physics/toroids.ts";
import { drawPlant, type PlantParameters } from "../../hardware/simulated/plant.ts";
import { type Random, seededRandom } from "../../hardware/simulated/random.ts";
import { CASE_BANDS, HEAT_RUN, type Moment } from "./estimator-cases.ts";
import { NOMINAL_RPM, type Played, play } from "./estimator-run.ts";

/** Air of the whole bench, °C. */
export const BENCH_AIR_CELSIUS = 20;

/** Loss fractions of CASE_BANDS by the published table. */
export function tableFractions(): readonly number[] {
  const mix = publishedMix("43");
  const ring = parseToroid("61.0x35.55x12.7mm");
  if (mix === undefined || ring === undefined) throw new Error("the published tables lost mix 43 or the 61 mm toroid");
  const core = { mix, toroids: stackOf(ring, 3), primaryTurns: 3 };
  return CASE_BANDS.map(({ frequencyHertz }) => coreLoss(core, frequencyHertz, 1).lossFraction);
}

/** What geometry and table know before any heat run. */
export function priorModel(fractions: readonly number[]): Model {
  const bands = CASE_BANDS.map(({ band, lowHertz, highHertz }, index) => ({
    band,
    lowHertz,
    highHertz,
    lossFraction: fractions[index]!,
  }));
  return modelFromPriors({ nominalRpm: NOMINAL_RPM, bands });
}

/** One drawn box with its seed's own sources of chance. */
export type DrawnBox = { readonly plant: PlantParameters; readonly random: Random };

/** The box of one seed. */
export function drawBox(seed: number): DrawnBox {
  const random = seededRandom(seed);
  return { plant: drawPlant(random.fork("plant")), random };
}

const heatRunMoment = (second: number, air: number): Moment => {
  const keyed = second - HEAT_RUN.quietSeconds;
  return {
    driveWatts: keyed >= 0 && keyed < HEAT_RUN.keyDownSeconds ? HEAT_RUN.driveWatts : 0,
    band: 0,
    fanRatio: 1,
    flowFactor: 1,
    inletCelsius: air + Math.sin(second / 1500),
    sunWatts: 0,
  };
};

/** Plays the heat run of a box. */
export function playHeatRun(box: DrawnBox, fractions: readonly number[]): Played {
  const pattern = { seconds: HEAT_RUN.seconds, at: heatRunMoment };
  return play(box.plant, pattern, fractions, BENCH_AIR_CELSIUS, box.random.fork("heat run"));
}

/** The recording of a played heat run; without `random` nobody read the core. */
export function recordHeatRun(played: Played, random: Random | null): readonly HeatRunSample[] {
  const unkeyed = HEAT_RUN.quietSeconds + HEAT_RUN.keyDownSeconds;
  const spots = new Set(HEAT_RUN.spotSecondsAfterUnkeying.map((seconds) => unkeyed + seconds));
  return Array.from(played.inlet, (inletCelsius, second) => ({
    timeSeconds: second,
    inletCelsius,
    outletCelsius: played.outlet[second]!,
    wallCelsius: null,
    spotCoreCelsius:
      random !== null && spots.has(second) ? played.core[second]! + HEAT_RUN.spotErrorKelvin * random.normal() : null,
    fanRpm: played.rpm[second]!,
    driveWatts: played.driveWatts[second]!,
    frequencyHertz: played.frequencyHertz[second]!,
  }));
}

/** Fits the prior to a recording with the daemon's own solver. */
export const fitRecording = (prior: Model, samples: readonly HeatRunSample[]): FitResult =>
  fitHeatRun(prior, samples, solveLeastSquares, "bench");

/** The model of a box after its heat run with core readings. */
export function calibratedModel(prior: Model, box: DrawnBox, fractions: readonly number[]): Model {
  const played = playHeatRun(box, fractions);
  const result = fitRecording(prior, recordHeatRun(played, box.random.fork("spot")));
  if (result.kind === "refused") throw new Error(result.refusals.map(({ text }) => text).join("; "));
  return result.fit.model;
}
