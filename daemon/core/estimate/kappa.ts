// What the driven branch remembers of each band's loss, and when the table's loss stops meaning anything.
// One band is in the filter at a time; the others wait here.

import { HEAT } from "./branch.ts";
import { replaceState, varianceOf } from "./gaussian.ts";
import { bandIndexAt, type Model } from "./model.ts";
import { BANDS_AT, DRIVEN } from "./state.ts";

/** ln of the loss against the worst band's table while the band is not known, variance. */
const UNKNOWN_BAND_LN_VARIANCE = 0.3 ** 2;
/** Bands whose ln κ is better known than this keep it; worse ones go on learning. */
const KNOWN = 0.08;
/** Loss fraction assumed when the model has no band at all. */
const BANDLESS_LOSS_FRACTION = 0.05;
/** Below the middle of the collapse by this much the loss may already be surging in the hottest toroid, K. */
const SURGE_BEGINS_BELOW = 26;
const SURGE_WIDTH_KELVIN = 4;

/** Puts the filter's κ back into its band's memory. */
export function storeKappa(vector: Float64Array, bandIndex: number): void {
  if (bandIndex < 0) return;
  vector[BANDS_AT + 2 * bandIndex] = vector[DRIVEN + HEAT]!;
  vector[BANDS_AT + 2 * bandIndex + 1] = varianceOf(vector, DRIVEN, HEAT);
}

/** Puts a band's κ into the filter; −1 = band not known, wide. */
export function loadKappa(vector: Float64Array, bandIndex: number): void {
  const lnKappa = bandIndex < 0 ? 0 : vector[BANDS_AT + 2 * bandIndex]!;
  const variance = bandIndex < 0 ? UNKNOWN_BAND_LN_VARIANCE : vector[BANDS_AT + 2 * bandIndex + 1]!;
  replaceState(vector, DRIVEN, HEAT, lnKappa, variance);
}

/** True when the heat run settled this band's κ, so that the filter must not bend it to the vents. */
export function kappaIsKnown(model: Model, bandIndex: number): boolean {
  return bandIndex >= 0 && model.bands[bandIndex]!.kappaUncertainty < KNOWN;
}

/** Band at work; without a frequency and without drive the band stays as it was. */
export function bandAtWork(model: Model, before: number, watts: number, frequencyHertz: number | null): number {
  return frequencyHertz === null && watts < 1 ? before : bandIndexAt(model, frequencyHertz);
}

/** Table loss per watt of drive; the worst band's when the band is not known. */
export function lossFractionOf(model: Model, bandIndex: number): number {
  if (bandIndex >= 0) return model.bands[bandIndex]!.lossFraction;
  let worst = 0;
  for (const band of model.bands) worst = Math.max(worst, band.lossFraction);
  return worst > 0 ? worst : BANDLESS_LOSS_FRACTION;
}

/** 0 well below the Curie point, 1 where the table's loss means nothing any more. */
export function surgeShare(model: Model, coreCelsius: number): number {
  return 1 / (1 + Math.exp((model.collapse.celsius - SURGE_BEGINS_BELOW - coreCelsius) / SURGE_WIDTH_KELVIN));
}
