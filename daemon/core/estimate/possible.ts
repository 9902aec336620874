// What a box can be. The filters bound nothing that they learn, and what a lying thermometer has taught them some of them never
// unlearn: a state outside of this is not to be believed. It looks at a state and changes none.

import { LN_FLOW, NATURAL, SUN, WALL } from "./branch.ts";
import { DRIVEN, type EstimatorState, FREE, SLOT } from "./state.ts";

/**
 * Wide: on the bench's boxes the logarithm of the flow factor goes from −1.3 to 0.5, that of natural convection to ±0.4, the sun to ±3 W, and
 * the wall to 3 K below the inlet.
 */
const LN_FLOW_RANGE = [-Math.log(50), Math.log(50)] as const;
const LN_NATURAL_RANGE = [-Math.log(5), Math.log(5)] as const;
/** Full sun on a dark lid, W; and a clear night sky. */
const SUN_WATTS = [-40, 60] as const;
const WALL_OVER_INLET_KELVIN = [-30, 400] as const;

const within = (value: number, [low, high]: readonly [number, number]): boolean => value >= low && value <= high;

/** False when either filter holds what no box can be; not a number is no box either. */
export function isPossible({ vector }: EstimatorState): boolean {
  return [DRIVEN, FREE].every(
    (branch) =>
      within(vector[branch + LN_FLOW]!, LN_FLOW_RANGE) &&
      within(vector[branch + NATURAL]!, LN_NATURAL_RANGE) &&
      within(vector[branch + SUN]!, SUN_WATTS) &&
      within(vector[branch + WALL]! - vector[SLOT.inlet]!, WALL_OVER_INLET_KELVIN),
  );
}
