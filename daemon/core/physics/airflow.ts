// What moving air carries: heat balance of the stream, and cubic feet per minute.
// It never knows which fan or vent moves the air.
import type { Air } from "./air.ts";
import { within } from "./physics-error.ts";

/** One cubic foot a minute, m³/s (international foot). */
export const CUBIC_FOOT_PER_MINUTE = 0.3048 ** 3 / 60;

/**
 * Airflow that carries `heatWatts` away with a rise of `riseKelvin`, m³/s of air as it enters: Q/(ρ·c_p·ΔT). A fan that
 * sucks at the outlet moves the warmer, larger volume. Throws `OUT_OF_RANGE`.
 */
export function airflowForHeat(heatWatts: number, riseKelvin: number, inlet: Air): number {
  within("heat in W", heatWatts, 0, 1e6);
  within("rise in K", riseKelvin, 1e-3, 500);
  return heatWatts / (riseKelvin * heatCapacityPerVolume(inlet));
}

/** Rise of the stream, K, for a heat and an airflow (as it enters). */
export function riseForHeat(heatWatts: number, airflowCubicMetersPerSecond: number, inlet: Air): number {
  within("airflow in m3/s", airflowCubicMetersPerSecond, 1e-9, 1e3);
  return heatWatts / streamWattsPerKelvin(airflowCubicMetersPerSecond, inlet);
}

/** Heat flow rate of the stream ρ·c_p·V̇, W/K. */
export function streamWattsPerKelvin(airflowCubicMetersPerSecond: number, inlet: Air): number {
  return airflowCubicMetersPerSecond * heatCapacityPerVolume(inlet);
}

function heatCapacityPerVolume(sample: Air): number {
  return sample.densityKilogramsPerCubicMeter * sample.heatCapacityJoulesPerKilogramKelvin;
}
