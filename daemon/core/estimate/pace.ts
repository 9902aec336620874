// Running averages of each branch's heat: what the inside of the core feels, and the pace on which headroom is counted.
// A pause ends a pace; the next over begins a new one at its full heat.

import { lossGrowth } from "../physics/collapse.ts";
import { CORE, HEAT } from "./branch.ts";
import type { Model } from "./model.ts";
import { FREE, SLOT } from "./state.ts";

/** Time in which the bore side follows a change of loss. */
const BORE_SECONDS = 20;
const PACE_SECONDS = 300;
const QUIET_SECONDS = 90;
const QUIET_WATTS = 3;

/** Brings the averages up to date. `drivenLoss` is the driven branch's loss, 0 while the drive is not known. */
export function followHeat(model: Model, vector: Float64Array, drivenLoss: number, dt: number): void {
  const freeLoss = vector[FREE + HEAT]! * lossGrowth(model.collapse, vector[FREE + CORE]!);
  const bore = -Math.expm1(-dt / BORE_SECONDS);
  vector[SLOT.drivenLoss] = drivenLoss;
  vector[SLOT.freeLoss] = freeLoss;
  vector[SLOT.drivenBoreHeat]! += bore * (drivenLoss - vector[SLOT.drivenBoreHeat]!);
  vector[SLOT.freeBoreHeat]! += bore * (freeLoss - vector[SLOT.freeBoreHeat]!);
  followPace(vector, SLOT.drivenPace, drivenLoss, dt);
  followPace(vector, SLOT.freePace, freeLoss, dt);
}

/** Slots at `slot`: the average, its weight, and for how long it has been quiet. */
function followPace(vector: Float64Array, slot: number, heat: number, dt: number): void {
  const quiet = heat < QUIET_WATTS ? vector[slot + 2]! + dt : 0;
  vector[slot + 2] = quiet;
  if (quiet > QUIET_SECONDS) {
    vector[slot] = 0;
    vector[slot + 1] = 0;
    return;
  }
  const share = -Math.expm1(-dt / PACE_SECONDS);
  vector[slot + 1]! += share * (1 - vector[slot + 1]!);
  if (vector[slot + 1]! > 0) vector[slot]! += (share / vector[slot + 1]!) * (heat - vector[slot]!);
}
