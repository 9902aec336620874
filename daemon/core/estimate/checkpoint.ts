// What the estimator keeps across a restart: plain JSON, and nothing that would let a hot core look cold.

import { CORE, HEAT, LN_FLOW, SUN } from "./branch.ts";
import { varianceOf } from "./gaussian.ts";
import { BANDS_AT, DRIVEN, type EstimatorState, FREE } from "./state.ts";

/** What survives a restart. */
export type EstimatorCheckpoint = {
  readonly version: 1;
  /** Monotonic seconds of the boot that wrote it. */
  readonly atSeconds: number;
  /** The hotter of the two branches. */
  readonly coreCelsius: number;
  readonly coreUncertaintyKelvin: number;
  readonly flowFactor: number;
  /** Relative: of ln φ. */
  readonly flowFactorUncertainty: number;
  readonly sunWatts: number;
  /** ln κ and its standard uncertainty per band as learned, by the band's name. */
  readonly bands: readonly { readonly band: string; readonly lnKappa: number; readonly uncertainty: number }[];
};

/** A checkpoint found at start; `ageSeconds` null when the time away is not known (the clock is untrusted). */
export type Resumption = { readonly checkpoint: EstimatorCheckpoint; readonly ageSeconds: number | null };

/** What to keep for the next start. */
export function checkpointOf(state: EstimatorState): EstimatorCheckpoint {
  const { vector, compiled } = state;
  const branch = state.driveKnown && vector[DRIVEN + CORE]! > vector[FREE + CORE]! ? DRIVEN : FREE;
  return {
    version: 1,
    atSeconds: state.atSeconds,
    coreCelsius: vector[branch + CORE]!,
    coreUncertaintyKelvin: Math.sqrt(varianceOf(vector, branch, CORE)),
    flowFactor: Math.exp(vector[DRIVEN + LN_FLOW]!),
    flowFactorUncertainty: Math.sqrt(varianceOf(vector, DRIVEN, LN_FLOW)),
    sunWatts: vector[DRIVEN + SUN]!,
    bands: compiled.model.bands.map((band, index) => {
      // While the loss surges the filter's κ is no property of the band; its memory is.
      const current = index === state.bandIndex && !state.surging;
      return {
        band: band.band,
        lnKappa: current ? vector[DRIVEN + HEAT]! : vector[BANDS_AT + 2 * index]!,
        uncertainty: Math.sqrt(current ? varianceOf(vector, DRIVEN, HEAT) : vector[BANDS_AT + 2 * index + 1]!),
      };
    }),
  };
}
