// The estimator as three pure functions: begin, advance, report. State goes in, new state comes out, nothing is kept here.
// It judges no alarm and moves no relay; it only says where the core is and how far that may be wrong.

import { conductances } from "../physics/box.ts";
import type { Reading } from "../readings.ts";
import type { Degradation, Estimate } from "./estimate.ts";
import { boxConstantsOf, type Model } from "./model.ts";

/** What one cycle offers the estimator. A sensor that is not fitted is null, one that failed is a `bad` reading. */
export type EstimatorInput = {
  /** Monotonic seconds. */
  readonly atSeconds: number;
  /** Seconds since the state was last advanced; 0 at the beginning. */
  readonly dtSeconds: number;
  readonly inlet: Reading | null;
  readonly outlet: Reading | null;
  readonly wall: Reading | null;
  readonly ambient: Reading | null;
  /** A probe on the ferrite or a spot reading of this very second. */
  readonly core: Reading | null;
  /** `turning` is the fan verdict where there is one; null = not known. */
  readonly fan: { readonly rpm: number | null; readonly turning: boolean | null };
  /** null = nothing is known of the drive. */
  readonly drive: { readonly watts: Reading; readonly frequencyHertz: number | null } | null;
  /** Sun on the wall when it is known, W. */
  readonly sunWatts?: number;
};

/** Everything the estimator remembers. Opaque to callers: use `reportEstimate` and `checkpointOf`. */
export type EstimatorState = {
  readonly atSeconds: number;
  readonly coreCelsius: number;
  readonly coreVariance: number;
  readonly wallCelsius: number;
  readonly degraded: readonly Degradation[];
};

/** What survives a restart: plain JSON. */
export type EstimatorCheckpoint = {
  readonly version: 1;
  readonly atSeconds: number;
  readonly coreCelsius: number;
  readonly coreUncertaintyKelvin: number;
};

/** A checkpoint found at start; `ageSeconds` null when the time away is not known (the clock is untrusted). */
export type Resumption = { readonly checkpoint: EstimatorCheckpoint; readonly ageSeconds: number | null };

export type EstimateLimits = { readonly limitCelsius: number };

/** Standard uncertainty of a core temperature worked back from the outlet alone, K. */
const RESTART_UNCERTAINTY_KELVIN = 12;

/** A state to begin from: worked back from the outlet, never cold because nothing is remembered. */
export function beginEstimator(model: Model, input: EstimatorInput, resumption: Resumption | null): EstimatorState {
  const inlet = input.inlet?.value ?? input.ambient?.value ?? 25;
  const outlet = input.outlet?.value ?? inlet;
  const g = conductances(boxConstantsOf(model), outlet + 40, outlet, inlet, { speedRatio: 1, flowFactor: 1 });
  const effectiveness = g.coreToAir / (g.coreToAir + g.airHeatFlow);
  const fromOutlet = inlet + Math.max(outlet - inlet, 0) / effectiveness;
  return {
    atSeconds: input.atSeconds,
    coreCelsius: Math.max(fromOutlet, resumption?.checkpoint.coreCelsius ?? fromOutlet),
    coreVariance: RESTART_UNCERTAINTY_KELVIN ** 2,
    wallCelsius: input.wall?.value ?? outlet,
    degraded: ["restarted"],
  };
}

/** The state one cycle later. Pure: `state` is left as it was. */
export function advanceEstimator(model: Model, state: EstimatorState, input: EstimatorInput): EstimatorState {
  const begun = beginEstimator(model, input, null);
  return input.inlet?.value == null || input.outlet?.value == null
    ? {
        ...state,
        atSeconds: input.atSeconds,
        coreVariance: state.coreVariance + input.dtSeconds,
        degraded: ["no data"],
      }
    : begun;
}

/** What is believed of the core at this state. */
export function reportEstimate(model: Model, state: EstimatorState, limits: EstimateLimits): Estimate {
  const uncertainty = Math.sqrt(state.coreVariance);
  const upper = state.coreCelsius + model.hotSpot.kelvinAt70Watts + 2 * uncertainty;
  return {
    coreCelsius: state.coreCelsius,
    coreUncertaintyKelvin: uncertainty,
    coreUpperCelsius: upper,
    wallCelsius: state.wallCelsius,
    lossWatts: 0,
    airflowCubicMetersPerSecond: 0,
    flowFactor: 1,
    flowFactorUncertainty: 0.3,
    lossFactor: null,
    headroom: upper >= limits.limitCelsius ? { kind: "at limit" } : { kind: "unknown" },
    sustainableWatts: null,
    disagreementKelvin: null,
    innovationSquared: null,
    calibration: model.calibration,
    degraded: state.degraded,
    usable: !state.degraded.includes("no data"),
  };
}

/** What to keep for the next start. */
export function checkpointOf(state: EstimatorState): EstimatorCheckpoint {
  return {
    version: 1,
    atSeconds: state.atSeconds,
    coreCelsius: state.coreCelsius,
    coreUncertaintyKelvin: Math.sqrt(state.coreVariance),
  };
}
