// How long and how much: headroom at a pace, and the drives that the bound can bear, steadily or in a burst.
// Everything here is a forecast from one view; it moves no state.

import { lineariseBox } from "../physics/box.ts";
import { burstTargetCelsius, equilibrium, secondsUntil, steadyLossWatts } from "../physics/equilibrium.ts";
import { upperAt, upperNow, type View } from "./bound.ts";
import type { Headroom } from "./estimate.ts";

/** Nothing is promised beyond this. */
const HORIZON_SECONDS = 4 * 3600;
const PASSES = 12;
const SETTLED_WATTS = 0.01;

/** Headroom of `view` at its recent pace until the bound reaches `limitCelsius`. */
export function headroomOf(view: View, limitCelsius: number): Headroom {
  if (upperNow(view) >= limitCelsius) return { kind: "at limit" };
  const inputs = { inletCelsius: view.inletCelsius, sunWatts: view.sunWatts, lossWatts: view.paceWatts };
  const settled = equilibrium(view.box, inputs, view.air);
  const levelCelsius = upperAt(view, settled.coreCelsius, view.paceWatts);
  if (levelCelsius < limitCelsius) return { kind: "levels off", levelCelsius };
  const reached = (at: { readonly coreCelsius: number }): boolean =>
    upperAt(view, at.coreCelsius, view.paceWatts) >= limitCelsius;
  const seconds = secondsUntil(view.box, view, inputs, view.air, HORIZON_SECONDS, reached);
  return seconds === null ? { kind: "levels off", levelCelsius: limitCelsius } : { kind: "reaches limit", seconds };
}

/** Largest steady loss at which the bound of `view` settles at the limit, W; 0 when even no loss does. */
export function sustainableLossWatts(view: View, limitCelsius: number): number {
  // The bound grows with the core and with the loss; a secant on the core between the inlet and the limit.
  const excess = (core: number): { readonly loss: number; readonly over: number } => {
    const { lossWatts } = steadyLossWatts(view.box, core, view.inletCelsius, view.sunWatts, view.air);
    const loss = Math.max(lossWatts, 0);
    return { loss, over: upperAt(view, core, loss) - limitCelsius };
  };
  let low = view.inletCelsius;
  let high = limitCelsius;
  let under = excess(low);
  let above = excess(high);
  if (under.over >= 0) return 0;
  for (let pass = 0; pass < PASSES && above.loss - under.loss > SETTLED_WATTS; pass++) {
    const middle = low + (high - low) * Math.min(Math.max(-under.over / (above.over - under.over), 0.05), 0.95);
    const at = excess(middle);
    if (at.over < 0) {
      low = middle;
      under = at;
    } else {
      high = middle;
      above = at;
    }
  }
  return under.loss;
}

/** Loss that brings the bound of `view` to the limit at the end of a burst of `burstSeconds`, W. */
export function burstLossWatts(view: View, limitCelsius: number, burstSeconds: number): number {
  const { box, coreCelsius, wallCelsius, inletCelsius, air } = view;
  const line = lineariseBox(box, coreCelsius, wallCelsius, inletCelsius, 0, 0, air.speedRatio, air.flowFactor);
  const margin = upperAt(view, limitCelsius, view.paceWatts) - limitCelsius;
  const target = burstTargetCelsius(limitCelsius - margin, coreCelsius, burstSeconds, -1 / line.coreByCore);
  return Math.max(0, steadyLossWatts(box, target, inletCelsius, view.sunWatts, air).lossWatts);
}
