// Openings of the box: how much they resist a stream, and the draught that warm air makes through them by itself.
// It never knows the fan.
import type { Air } from "./air.ts";
import { within } from "./physics-error.ts";

/** Equal openings side by side that the stream passes once. */
export type Vents = {
  readonly count: number;
  /** Area of one opening in the box, m². */
  readonly areaSquareMeters: number;
  /** Share of that area left open by louvres and mesh. */
  readonly freeShare: number;
};

/** Contraction of the stream behind a sharp-edged opening (orifice discharge coefficient, any fluid text). */
const DISCHARGE_COEFFICIENT = 0.61;

/** Free share of a louvred vent with an insect screen: 0.4 to 0.6 (common practice, no source). */
const LOUVRE_FREE_SHARE = 0.5;

/** Round vents from their diameter, m. */
export function roundVents(count: number, diameterMeters: number, freeShare = LOUVRE_FREE_SHARE): Vents {
  within("number of vents", count, 1, 1000);
  within("vent diameter in m", diameterMeters, 1e-3, 2);
  within("free share of a vent", freeShare, 1e-3, 1);
  return { count, areaSquareMeters: (Math.PI / 4) * diameterMeters * diameterMeters, freeShare };
}

/** C_d·A of all vents together, m². */
export function dischargeAreaSquareMeters(vents: Vents): number {
  return DISCHARGE_COEFFICIENT * vents.count * vents.areaSquareMeters * vents.freeShare;
}

/** k of Δp = k·V̇², Pa/(m³/s)²: ρ/(2·(C_d·A)²). Two sets of vents in series add. */
export function ventResistance(vents: Vents, sample: Air): number {
  const area = dischargeAreaSquareMeters(vents);
  return sample.densityKilogramsPerCubicMeter / (2 * area * area);
}
