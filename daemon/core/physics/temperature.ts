// How a mix changes with temperature: saturation, and what it does to the core loss.
// It never claims to be published: the makers give two saturation figures and a slope; the curve between is ours.
import type { Mix } from "./mixes/mix.ts";
import { within } from "./physics-error.ts";

// Below this share of its room-temperature saturation a mix is called collapsed: the loss has grown twentyfold and the
// transformer is no transformer any more.
const COLLAPSED_SHARE = 0.05;
// Exponent of the magnetisation near the Curie point when no second figure is published: the classical three-dimensional
// value is near 1/3 (textbook value, from memory).
const PLAIN_EXPONENT = 1 / 3;

/** What temperature does to a core of this mix. */
export type HeatEffect = {
  /** Loss at this temperature over loss at 25 °C, same drive and frequency; at most 20. */
  readonly lossFactor: number;
  /** True from the point where the magnetisation has fallen to a twentieth: no equilibrium is to be looked for here. */
  readonly collapsed: boolean;
};

/**
 * Saturation flux density over its value at 25 °C: ((T_C − T)/(T_C − 25))^β, with β such that the curve passes through
 * the published 100 °C figure (β comes out between 0.27 and 0.42, around the 1/3 that physics expects). 0 at and beyond
 * the Curie point; null when the mix has no Curie temperature. Held at its −40 °C value below that.
 */
export function saturationShare(mix: Mix, celsius: number): number | null {
  const curie = mix.curieCelsius;
  if (curie === null) return null;
  within("temperature in Celsius", celsius, -273.15, 2000);
  if (celsius >= curie) return 0;
  const at25 = mix.saturationTeslaAt25Celsius;
  const at100 = mix.saturationTeslaAt100Celsius;
  const exponent =
    at25 === null || at100 === null || curie <= 100
      ? PLAIN_EXPONENT
      : Math.log(at100 / at25) / Math.log((curie - 100) / (curie - 25));
  return ((curie - Math.max(celsius, -40)) / (curie - 25)) ** exponent;
}

/** Saturation flux density at `celsius`, T; null when the mix does not publish it. */
export function saturationTesla(mix: Mix, celsius: number): number | null {
  const share = saturationShare(mix, celsius);
  return share === null || mix.saturationTeslaAt25Celsius === null ? null : share * mix.saturationTeslaAt25Celsius;
}

/**
 * Core loss against temperature at constant voltage. Reasoning, with no published figure behind it: where the
 * permeability relaxes, 1/μ ≈ 1/μ_s + jω/(μ_s·ω_r), so the conductance Re(1/Z) goes with 1/(μ_s·ω_r); Snoek's limit
 * makes that product proportional to the magnetisation. Hence loss ∝ 1/saturation: +40 % for 43 at 100 °C, and without
 * bound at the Curie point, capped at 20. Never below the value at 25 °C, so that it errs towards more heat. A mix
 * without a Curie temperature has factor 1 and is never called collapsed.
 */
export function heatEffect(mix: Mix, celsius: number): HeatEffect {
  const share = saturationShare(mix, celsius);
  if (share === null) return { lossFactor: 1, collapsed: false };
  if (share <= COLLAPSED_SHARE) return { lossFactor: 1 / COLLAPSED_SHARE, collapsed: true };
  return { lossFactor: Math.max(1, 1 / share), collapsed: false };
}

/** Flux density over saturation at `celsius`: 1 is saturated; null when the mix does not publish its saturation. */
export function saturationRatio(mix: Mix, fluxDensityTesla: number, celsius: number): number | null {
  const saturation = saturationTesla(mix, celsius);
  if (saturation === null) return null;
  return saturation === 0 ? Number.POSITIVE_INFINITY : fluxDensityTesla / saturation;
}
