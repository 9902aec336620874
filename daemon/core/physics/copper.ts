// The winding's own loss: copper at radio frequency, primary and secondary. Small beside the ferrite, but listed.
// It never counts proximity effect between close turns, which can double it; a spaced winding has little.
import { VACUUM_PERMEABILITY } from "./constants.ts";
import { within } from "./physics-error.ts";
import { stackHeightMeters, type Toroid } from "./toroids.ts";
import { copperResistivityOhmMeters } from "./wire.ts";

/** How the transformer is wound: one wire for both windings. */
export type Winding = {
  readonly primaryTurns: number;
  readonly secondaryTurns: number;
  readonly wireDiameterMeters: number;
  /** Ends and crossover that belong to no turn, m; 0 when not known. */
  readonly leadMeters: number;
};

/** Copper loss at one drive, W, and what it was computed from. */
export type CopperLoss = {
  readonly lossWatts: number;
  readonly primaryWatts: number;
  readonly secondaryWatts: number;
  readonly skinDepthMeters: number;
  readonly wireOhmsPerMeter: number;
  readonly wireMeters: number;
};

/** Skin depth δ = √(2ρ/(ωμ0)) of copper, m. */
export function skinDepthMeters(frequencyHertz: number, celsius: number): number {
  within("frequency in Hz", frequencyHertz, 1, 1e12);
  return Math.sqrt(copperResistivityOhmMeters(celsius) / (Math.PI * frequencyHertz * VACUUM_PERMEABILITY));
}

/**
 * Resistance of a round wire at radio frequency, Ω/m: the classical skin-effect solution, R/R_dc = Re[x·J0(x)/2J1(x)] with
 * x = (1 − j)·r/δ (Kelvin; any field text). The ratio of Bessel functions is taken from its continued fraction
 * 1 − (q/1·2)/(1 − (q/2·3)/(1 − …)) with q = x²/4, which neither overflows nor cancels.
 */
export function radioOhmsPerMeter(diameterMeters: number, frequencyHertz: number, celsius: number): number {
  const radius = within("wire diameter in m", diameterMeters, 1e-6, 0.1) / 2;
  const ratio = radius / skinDepthMeters(frequencyHertz, celsius);
  const directOhms = copperResistivityOhmMeters(celsius) / (Math.PI * radius * radius);
  return directOhms * skinFactor(ratio);
}

// Beyond this radius in skin depths the asymptotic series is good to parts per million.
const THIN_SKIN = 30;

/** R/R_dc of a round wire whose radius is `ratio` skin depths. */
function skinFactor(ratio: number): number {
  if (ratio > THIN_SKIN) return ratio / 2 + 1 / 4 + 3 / (32 * ratio);
  // q = x²/4 = −j·ratio²/2, purely imaginary; the fraction is built from its far end.
  const q = -(ratio * ratio) / 2;
  let real = 1;
  let imaginary = 0;
  for (let n = 20 + Math.ceil(3 * ratio); n >= 1; n -= 1) {
    // 1 − (jq/(n(n + 1)))/(real + j·imaginary)
    const step = q / (n * (n + 1));
    const square = real * real + imaginary * imaginary;
    const nextReal = 1 - (step * imaginary) / square;
    imaginary = -(step * real) / square;
    real = nextReal;
  }
  return real;
}

/** Mean length of one turn around the stack, m: round its largest cross-section, wire lying on the ferrite. */
export function turnMeters(toroids: readonly Toroid[], wireDiameterMeters: number): number {
  let widest = 0;
  for (const ring of toroids) {
    widest = Math.max(widest, (ring.outsideDiameterMeters - ring.insideDiameterMeters) / 2);
  }
  return 2 * (widest + stackHeightMeters(toroids)) + Math.PI * wireDiameterMeters;
}

/**
 * Copper loss for `driveWatts` in `resistanceOhms` at the primary: I² times wire length times the resistance above, for
 * the primary with I = √(P/R) and the secondary with I·N_p/N_s. At the wire's feed the secondary current of an end-fed
 * half-wave is this small one. Throws `OUT_OF_RANGE`.
 */
export function copperLoss(
  winding: Winding,
  toroids: readonly Toroid[],
  frequencyHertz: number,
  driveWatts: number,
  resistanceOhms: number,
  celsius: number,
): CopperLoss {
  within("primary turns", winding.primaryTurns, 1, 1000);
  within("secondary turns", winding.secondaryTurns, 1, 10_000);
  const turn = turnMeters(toroids, winding.wireDiameterMeters);
  const ohmsPerMeter = radioOhmsPerMeter(winding.wireDiameterMeters, frequencyHertz, celsius);
  const squaredAmperes = driveWatts / resistanceOhms;
  const stepDown = winding.primaryTurns / winding.secondaryTurns;
  const primaryMeters = winding.primaryTurns * turn + winding.leadMeters;
  const secondaryMeters = winding.secondaryTurns * turn + winding.leadMeters;
  const primaryWatts = squaredAmperes * primaryMeters * ohmsPerMeter;
  const secondaryWatts = squaredAmperes * stepDown * stepDown * secondaryMeters * ohmsPerMeter;
  return {
    lossWatts: primaryWatts + secondaryWatts,
    primaryWatts,
    secondaryWatts,
    skinDepthMeters: skinDepthMeters(frequencyHertz, celsius),
    wireOhmsPerMeter: ohmsPerMeter,
    wireMeters: primaryMeters + secondaryMeters,
  };
}
