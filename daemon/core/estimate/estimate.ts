// The result of one estimate in the vocabulary's words: types only. Protection and page read this; nobody else's numbers.

/** How much the model deserves to be believed: fitted with a core reading, or standing on geometry alone. */
export type Calibration = "calibrated" | "not calibrated";

/** What the estimator had to do without; each makes the bound wider. */
export type Degradation =
  | "no inlet"
  | "no outlet"
  | "no tach"
  | "drive unknown"
  | "fan stopped"
  | "restarted"
  | "no data"
  | "colder than its air";

/** Headroom at the recent pace: seconds to the limit, or the level at which the upper bound settles below it; unknown just after a start. */
export type Headroom =
  | { readonly kind: "levels off"; readonly levelCelsius: number }
  | { readonly kind: "reaches limit"; readonly seconds: number }
  | { readonly kind: "at limit" }
  | { readonly kind: "unknown" };

/** One estimate of the core. Uncertainties are standard uncertainties (JCGM 100), the upper bound has k = 2. */
export type Estimate = {
  /** Lumped core (mean of ferrite and winding). */
  readonly coreCelsius: number;
  readonly coreUncertaintyKelvin: number;
  /** Bound on the hottest toroid: mean + spread + 2u, the higher of the two filters. Protection acts on this. */
  readonly coreUpperCelsius: number;
  readonly wallCelsius: number;
  readonly lossWatts: number;
  readonly airflowCubicMetersPerSecond: number;
  /** 1 = clean vents. */
  readonly flowFactor: number;
  readonly flowFactorUncertainty: number;
  /** Loss against the table for this band; null while the drive is unknown. */
  readonly lossFactor: number | null;
  readonly headroom: Headroom;
  /** Largest steady drive at which the upper bound settles at the limit, W; null when the band is unknown. */
  readonly sustainableWatts: number | null;
  /** Core of the drive-known filter minus core of the loss-unknown filter, K; null when only one runs. */
  readonly disagreementKelvin: number | null;
  /** Normalised innovation squared of the outlet, averaged over the last minute; about 1 when the model holds. */
  readonly innovationSquared: number | null;
  readonly calibration: Calibration;
  readonly degraded: readonly Degradation[];
  /** True when this estimate may hold the relay permitted: enough good inputs, recent enough. */
  readonly usable: boolean;
};
