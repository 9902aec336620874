// How long and how much: headroom at a pace, and the drive that the bound can bear steadily.
// Everything here is a forecast from one view; it moves no state.

import { equilibrium, secondsUntil, steadyLossWatts } from "../physics/equilibrium.ts";
import { upperAt, upperNow, type View } from "./bound.ts";
import type { Headroom } from "./estimate.ts";

/** Nothing is promised beyond this. */
const HORIZON_SECONDS = 4 * 3600;
const PASSES = 12;
const SETTLED_KELVIN = 0.02;
/** Kelvin of spread and its uncertainty per kelvin of core in a steady state, about. */
const BOUND_SLOPE_OF_SPREAD = 0.1;

/** Headroom of `view` with `paceWatts` of average loss until the bound reaches `limitCelsius`. */
export function headroomOf(view: View, paceWatts: number, limitCelsius: number): Headroom {
  if (upperNow(view) >= limitCelsius) return { kind: "at limit" };
  const inputs = { inletCelsius: view.inletCelsius, sunWatts: view.sunWatts, lossWatts: paceWatts };
  const settled = equilibrium(view.box, inputs, view.air);
  const levelCelsius = upperAt(view, settled.coreCelsius, paceWatts);
  if (levelCelsius < limitCelsius) return { kind: "levels off", levelCelsius };
  const reached = (at: { readonly coreCelsius: number }): boolean =>
    upperAt(view, at.coreCelsius, paceWatts) >= limitCelsius;
  const seconds = secondsUntil(view.box, view, inputs, view.air, HORIZON_SECONDS, reached);
  return seconds === null ? { kind: "levels off", levelCelsius: limitCelsius } : { kind: "reaches limit", seconds };
}

/** Largest steady loss at which the bound of `view` settles at the limit, W; 0 when even no loss does. */
export function sustainableLossWatts(view: View, limitCelsius: number): number {
  let core = limitCelsius;
  let loss = 0;
  for (let pass = 0; pass < PASSES; pass++) {
    loss = steadyLossWatts(view.box, core, view.inletCelsius, view.sunWatts, view.air).lossWatts;
    if (loss <= 0) return 0;
    const over = upperAt(view, core, loss) - limitCelsius;
    // The bound grows a little faster than the core: 1 plus spread and 2ρ, so that this never steps past the answer by much.
    core -= over / (1 + 2 * view.riseUncertaintyRatio + BOUND_SLOPE_OF_SPREAD);
    if (Math.abs(over) < SETTLED_KELVIN) break;
  }
  return loss;
}
