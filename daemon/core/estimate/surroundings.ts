// Inlet and fan speed as the filters use them: smoothed, held through gaps, and how far they may then be off.
// It never improves on a missing sensor; each gap makes things wider.

import { STOPPED_SPEED_RATIO } from "../physics/box.ts";
import { LN_FLOW } from "./branch.ts";
import type { Degradation } from "./estimate.ts";
import { replaceState, varianceOf } from "./gaussian.ts";
import type { EstimatorInput } from "./input.ts";
import type { Model } from "./model.ts";
import { DRIVEN, SLOT } from "./state.ts";

const INLET_SMOOTHING_SECONDS = 10;
const OFFSET_SECONDS = 60;
/** Variance of a held inlet when it goes missing, its growth per second, and its ceiling, K². */
const HELD_ON_AMBIENT = { start: 0.25, perSecond: 0.001, most: 2.25 } as const;
/** Evening air falls by some 3 K in an hour. */
const HELD_BLINDLY = { start: 0.25, perSecond: 0.0025, most: 100 } as const;

/** Speed ratios assumed while the tach is missing: each branch takes the one that reads the core hotter. */
export const BLIND_SPEED = { driven: 0.6, free: 1 } as const;
/** What that leaves unknown of the flow, variance of the logarithm. */
const BLIND_LN_VARIANCE = 0.4 ** 2;
const RETURNED_LN_VARIANCE = 0.05 ** 2;

/** Brings the smoothed inlet up to date; while it is missing it follows the ambient sensor, or drifts. */
export function followInlet(vector: Float64Array, input: EstimatorInput, degraded: Degradation[]): void {
  const dt = input.dtSeconds;
  const ambient = input.ambient?.value ?? null;
  const reading = input.inlet?.value ?? null;
  if (reading !== null) {
    const fresh = vector[SLOT.secondsWithoutInlet]! > 0 ? 1 : -Math.expm1(-dt / INLET_SMOOTHING_SECONDS);
    vector[SLOT.inlet]! += fresh * (reading - vector[SLOT.inlet]!);
    vector[SLOT.inletVariance] = 0;
    vector[SLOT.secondsWithoutInlet] = 0;
    if (ambient !== null) {
      const gap = vector[SLOT.inlet]! - ambient;
      vector[SLOT.inletOverAmbient]! += -Math.expm1(-dt / OFFSET_SECONDS) * (gap - vector[SLOT.inletOverAmbient]!);
    }
    return;
  }
  degraded.push("no inlet");
  vector[SLOT.secondsWithoutInlet]! += dt;
  const held = ambient === null ? HELD_BLINDLY : HELD_ON_AMBIENT;
  if (ambient !== null) {
    const wanted = ambient + vector[SLOT.inletOverAmbient]!;
    vector[SLOT.inlet]! += -Math.expm1(-dt / INLET_SMOOTHING_SECONDS) * (wanted - vector[SLOT.inlet]!);
  }
  const grown = held.start + held.perSecond * vector[SLOT.secondsWithoutInlet]!;
  vector[SLOT.inletVariance] = Math.max(vector[SLOT.inletVariance]!, Math.min(grown, held.most));
}

/** Speed over nominal; 0 = stands, null = not known. A fan said to turn without a speed is of unknown speed. */
export function speedRatioOf(model: Model, input: EstimatorInput): number | null {
  if (input.fan.turning === false) return 0;
  if (input.fan.rpm === null) return null;
  const ratio = input.fan.rpm / model.nominalRpm;
  if (ratio > STOPPED_SPEED_RATIO) return ratio;
  // The lead is quiet and yet the fan was found turning by other means: the speed is what is missing.
  return input.fan.turning === true ? null : 0;
}

/** Brings the speed up to date; entering and leaving a gap of the tach sets φ's uncertainty. Returns the ratio, null = not known. */
export function followSpeed(
  model: Model,
  vector: Float64Array,
  input: EstimatorInput,
  degraded: Degradation[],
): number | null {
  const speed = speedRatioOf(model, input);
  const blind = vector[SLOT.savedLnFlowVariance]! >= 0;
  if (speed === null) {
    degraded.push("no tach");
    if (!blind) {
      const variance = varianceOf(vector, DRIVEN, LN_FLOW);
      vector[SLOT.savedLnFlow] = vector[DRIVEN + LN_FLOW]!;
      vector[SLOT.savedLnFlowVariance] = variance;
      replaceState(vector, DRIVEN, LN_FLOW, vector[DRIVEN + LN_FLOW]!, variance + BLIND_LN_VARIANCE);
    }
    return null;
  }
  if (blind) {
    const variance = vector[SLOT.savedLnFlowVariance]! + RETURNED_LN_VARIANCE;
    replaceState(vector, DRIVEN, LN_FLOW, vector[SLOT.savedLnFlow]!, variance);
    vector[SLOT.savedLnFlowVariance] = -1;
  }
  vector[SLOT.speedRatio] = speed;
  return speed;
}
