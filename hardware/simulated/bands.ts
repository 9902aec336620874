// The bands of the simulated shack: a name as the trade writes it, its edges, and where our made-up operator sits in it.
// Only for choosing and naming a frequency; no licence is implied.

import { BANDS } from "./plant-parameters.ts";

export type BandName = (typeof BANDS)[number];

/** Widest edges of the three ITU regions (Radio Regulations, Article 5; from memory), Hz. */
const EDGES: Readonly<Record<BandName, readonly [number, number]>> = {
  "160 m": [1.8e6, 2.0e6],
  "80 m": [3.5e6, 4.0e6],
  "60 m": [5.25e6, 5.45e6],
  "40 m": [7.0e6, 7.3e6],
  "30 m": [10.1e6, 10.15e6],
  "20 m": [14.0e6, 14.35e6],
  "17 m": [18.068e6, 18.168e6],
  "15 m": [21.0e6, 21.45e6],
  "12 m": [24.89e6, 24.99e6],
  "10 m": [28.0e6, 29.7e6],
};

/** Name of the band, or null outside all of them. */
export function bandAt(frequencyHertz: number): BandName | null {
  for (const band of BANDS) {
    const [low, high] = EDGES[band];
    if (frequencyHertz >= low && frequencyHertz <= high) return band;
  }
  return null;
}

/** A frequency inside the band, `share` of the way from its lower edge, to the hundred hertz. */
export function frequencyIn(band: BandName, share: number): number {
  const [low, high] = EDGES[band];
  return Math.round((low + (high - low) * share) / 100) * 100;
}
