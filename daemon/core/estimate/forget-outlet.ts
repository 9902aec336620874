// What an outlet that stood still has taught the filters, taken back: vents and loss as they were before, and the core by drive alone.
// It runs once, when the outlet is found out; afterwards the drive carries the estimate.

import { CORE, HEAT, LN_FLOW, SUN } from "./branch.ts";
import { replaceState, varianceOf } from "./gaussian.ts";
import { DRIVEN, type EstimatorState, FREE, SLOT } from "./state.ts";

/** The run by drive alone knows no vents but clean ones: what it may be off by, as a share of the core's rise. */
const RUN_UNCERTAINTY_RATIO = 0.1;

/**
 * The state without what was learned since `sound`, the state of the last second in which the outlet moved. `coreCelsius` is the core
 * by drive alone; it only ever raises the estimate. The same band must be at work for the loss to be taken back.
 */
export function forgetOutlet(state: EstimatorState, sound: EstimatorState, coreCelsius: number): EstimatorState {
  const vector = state.vector.slice();
  for (const learned of state.bandIndex === sound.bandIndex ? [LN_FLOW, HEAT, SUN] : [LN_FLOW, SUN]) {
    const variance = varianceOf(sound.vector, DRIVEN, learned);
    replaceState(vector, DRIVEN, learned, sound.vector[DRIVEN + learned]!, variance);
  }
  const open = RUN_UNCERTAINTY_RATIO * Math.max(coreCelsius - vector[SLOT.inlet]!, 0);
  for (const branch of [DRIVEN, FREE]) {
    const core = Math.max(vector[branch + CORE]!, coreCelsius);
    const variance = Math.max(varianceOf(vector, branch, CORE), varianceOf(sound.vector, branch, CORE)) + open * open;
    replaceState(vector, branch, CORE, core, variance);
  }
  return { ...state, vector };
}
