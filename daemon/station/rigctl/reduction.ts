// What to do with the rig's own power while the stage is below `full`: lower it, put it back, or leave it alone because the operator
// has turned the knob. Pure. It never asks for more than was found, and nothing depends on it: the permit lines act first.

import type { PowerStage } from "../../core/effects.ts";

/**
 * A level that was lowered: what was found, and what was set. It is kept before the rig is asked, so that a death in between leaves
 * no rig low; `confirmed` = `setRatio` is what the rig itself said afterwards. Plain data; it outlives the process.
 */
export type Held = { readonly foundRatio: number; readonly setRatio: number; readonly confirmed: boolean };

export type ReductionStep =
  | { readonly kind: "nothing" }
  | { readonly kind: "lower"; readonly foundRatio: number; readonly toRatio: number }
  | { readonly kind: "restore"; readonly toRatio: number }
  /** What is held is forgotten; the level stays where it is. */
  | { readonly kind: "leave" };

/** Levels closer than this are the same: rigs keep them in steps of 1/100 to 1/255 (common practice, no source). */
export const SAME_RATIO = 0.02;
/** What a rig with coarse steps may have made of a level that was set and not read back. */
const UNCONFIRMED_RATIO = 0.06;

const NOTHING: ReductionStep = { kind: "nothing" };

/** Two power settings, 0 to 1, that no rig tells apart. */
export function isSame(one: number, other: number): boolean {
  return Math.abs(one - other) <= SAME_RATIO;
}

/** Is the level still the one that was set? */
function stands({ foundRatio, setRatio, confirmed }: Held, ratio: number): boolean {
  if (isSame(ratio, setRatio)) return true;
  return !confirmed && !isSame(ratio, foundRatio) && Math.abs(ratio - setRatio) <= UNCONFIRMED_RATIO;
}

/**
 * The next step. `ratio`: the rig's level now. `left`: in this reduction the level is not touched any more, because the operator
 * took it over or the rig does not take it.
 */
export function reductionStep(
  held: Held | null,
  stage: PowerStage,
  ratio: number,
  reduceToRatio: number,
  left: boolean,
): ReductionStep {
  if (held !== null && !stands(held, ratio)) return { kind: "leave" };
  if (stage === "full") return held === null ? NOTHING : { kind: "restore", toRatio: held.foundRatio };
  if (held !== null || left || ratio <= reduceToRatio + SAME_RATIO) return NOTHING;
  return { kind: "lower", foundRatio: ratio, toRatio: reduceToRatio };
}
