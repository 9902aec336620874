// How the loss of a ferrite core grows as its permeability collapses around the Curie point. It knows no heat flow.

/** Where and how the loss surges. No sheet gives this for power: the figures are a cautious picture, not a property. */
export type Collapse = {
  /** Middle of the collapse. Sheets state a lower limit of the Curie point; real cores lie some kelvin above. */
  readonly celsius: number;
  /** Kelvin over which it happens (logistic width). */
  readonly widthKelvin: number;
  /** Loss added once the permeability is gone, in multiples of the cold loss. */
  readonly gain: number;
};

/** Ferrite 43 and its like: sheets say at least 130 °C. */
export const TYPICAL_COLLAPSE: Collapse = { celsius: 140, widthKelvin: 5, gain: 3 };

/** Loss over the loss of the same drive far below the Curie point. */
export function lossGrowth(collapse: Collapse, celsius: number): number {
  return 1 + collapse.gain / (1 + Math.exp((collapse.celsius - celsius) / collapse.widthKelvin));
}

/** Slope of `lossGrowth`, 1/K. */
export function lossGrowthSlope(collapse: Collapse, celsius: number): number {
  const share = 1 / (1 + Math.exp((collapse.celsius - celsius) / collapse.widthKelvin));
  return (collapse.gain * share * (1 - share)) / collapse.widthKelvin;
}
