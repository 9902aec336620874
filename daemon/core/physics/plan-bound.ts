// The upper bound for plans, where no filter runs: rating table and forecast. It never uses a measurement.

import type { BandLoss, Model } from "../estimate/model.ts";

// As the model states its hot spot (model.ts): 70 W of loss, settled 80 K above the inlet; half with each.
const HOT_SPOT_WATTS = 70;
const HOT_SPOT_RISE_KELVIN = 80;

/**
 * Bound on the hottest toroid for a core at `coreCelsius` with `lossWatts` in it: mean + hot spot + 2u, u from the model's
 * rise uncertainty, the loss factor's, and the hot spot's own. `band` null: nothing is sent.
 */
export function planBoundCelsius(
  model: Model,
  band: BandLoss | null,
  coreCelsius: number,
  inletCelsius: number,
  lossWatts: number,
  fanTurning: boolean,
): number {
  const rise = Math.max(coreCelsius - inletCelsius, 0);
  const share = 0.5 * (lossWatts / HOT_SPOT_WATTS + rise / HOT_SPOT_RISE_KELVIN);
  const ratio = fanTurning ? model.riseUncertaintyRatio.fanOn : model.riseUncertaintyRatio.fanOff;
  const lossUncertainty = band?.kappaUncertainty ?? 0;
  const uncertainty = Math.hypot(ratio * rise, lossUncertainty * rise, model.hotSpot.uncertaintyKelvin * share);
  return coreCelsius + model.hotSpot.kelvin * share + 2 * uncertainty;
}
