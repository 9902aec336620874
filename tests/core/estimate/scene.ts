// A feedpoint whose sensors simply show what one network does, for tests of the estimator's behaviour rather than its accuracy.

import type { Estimate } from "../../../daemon/core/estimate/estimate.ts";
import {
  advanceEstimator,
  beginEstimator,
  type EstimatorInput,
  type EstimatorState,
  type Resumption,
  reportEstimate,
} from "../../../daemon/core/estimate/estimator.ts";
import { boxConstantsOf, type Model, modelFromPriors } from "../../../daemon/core/estimate/model.ts";
import { advanceBox, airCelsiusAt, type BoxTemperatures, conductancesAt } from "../../../daemon/core/physics/box.ts";
import { good } from "../../../daemon/core/readings.ts";

export const LIMITS = { limitCelsius: 110 };
const RPM = 11_000;

/** A model as a good heat run leaves it: the priors' values, known well. */
export const MODEL: Model = (() => {
  const prior = modelFromPriors({
    nominalRpm: RPM,
    bands: [
      { band: "80 m", lowHertz: 3.5e6, highHertz: 4.0e6, lossFraction: 0.05 },
      { band: "40 m", lowHertz: 7.0e6, highHertz: 7.3e6, lossFraction: 0.044 },
    ],
  });
  return {
    ...prior,
    calibration: "calibrated",
    bands: prior.bands.map((band) => ({ ...band, kappaUncertainty: 0.03 })),
    riseUncertaintyRatio: { fanOn: 0.04, fanOff: 0.05 },
  };
})();

/** What the scene's operator and weather do in one second. */
export type Doing = {
  readonly watts: number;
  readonly inlet?: number;
  readonly rpm?: number;
  readonly flowFactor?: number;
};

/** The scene after some seconds. */
export type Scene = {
  readonly seconds: number;
  readonly truth: BoxTemperatures;
  readonly sensor: number;
  readonly state: EstimatorState;
  readonly estimate: Estimate;
};

const box = boxConstantsOf(MODEL);

/** The input of a second in which every sensor is well. */
export function wellInput(seconds: number, dt: number, sensor: number, doing: Doing): EstimatorInput {
  const rpm = doing.rpm ?? RPM;
  return {
    atSeconds: seconds,
    dtSeconds: dt,
    inlet: good(doing.inlet ?? 20),
    outlet: good(sensor),
    wall: null,
    ambient: good((doing.inlet ?? 20) - 0.5),
    core: null,
    fan: { rpm, turning: rpm > 500 },
    drive: { watts: good(doing.watts), frequencyHertz: 3.6e6 },
  };
}

/** A cold scene, or one whose truth is hot already. */
export function beginScene(
  truth: BoxTemperatures = { coreCelsius: 20, wallCelsius: 20 },
  resumption: Resumption | null = null,
  spoil: (input: EstimatorInput) => EstimatorInput = (input) => input,
): Scene {
  const g = conductancesAt(box, truth, 20, { speedRatio: 1, flowFactor: 1 });
  const sensor = airCelsiusAt(g, truth.coreCelsius, truth.wallCelsius, 20);
  const state = beginEstimator(MODEL, spoil(wellInput(0, 0, sensor, { watts: 0 })), resumption);
  return { seconds: 0, truth, sensor, state, estimate: reportEstimate(MODEL, state, LIMITS) };
}

/** Plays the scene on, second by second; `spoil` may take sensors away. */
export function playOn(
  scene: Scene,
  seconds: number,
  doing: Doing | ((second: number) => Doing),
  spoil: (input: EstimatorInput, second: number) => EstimatorInput = (input) => input,
): Scene {
  let { truth, sensor, state, estimate } = scene;
  let at = scene.seconds;
  for (let gone = 0; gone < seconds; gone++) {
    at += 1;
    const now = typeof doing === "function" ? doing(at) : doing;
    const inlet = now.inlet ?? 20;
    const speedRatio = (now.rpm ?? RPM) / RPM;
    const air = { speedRatio, flowFactor: now.flowFactor ?? 1 };
    truth = advanceBox(box, truth, { inletCelsius: inlet, sunWatts: 0, lossWatts: now.watts * 0.05 }, air, 1);
    const g = conductancesAt(box, truth, inlet, air);
    const lag = g.stopped ? box.outletLagFanOffSeconds : box.outletLagSeconds;
    sensor += (airCelsiusAt(g, truth.coreCelsius, truth.wallCelsius, inlet) - sensor) * -Math.expm1(-1 / lag);
    state = advanceEstimator(MODEL, state, spoil(wellInput(at, 1, sensor, now), at));
    estimate = reportEstimate(MODEL, state, LIMITS);
  }
  return { seconds: at, truth, sensor, state, estimate };
}
