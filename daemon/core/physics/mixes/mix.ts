// A ferrite mix: published figures of one material, and the complex permeability between its points.
// It never extrapolates: outside the table is an error, and a hole inside the table is reported with the answer.
import { PhysicsError } from "../physics-error.ts";

/** Frequency Hz, μ′, μ″ (relative, series form μ′ − jμ″), ascending in frequency. */
export type PermeabilityPoint = readonly [frequencyHertz: number, real: number, imaginary: number];

/** Initial permeability against temperature: °C, μ_i (relative, low frequency). */
export type InitialPermeabilityPoint = readonly [celsius: number, permeability: number];

/** One ferrite material. A scalar the maker does not publish, or an own table does not hold, is null. */
export type Mix = {
  readonly name: string;
  /** Where the figures come from, in one line, with the licence of the data. */
  readonly source: string;
  readonly curieCelsius: number | null;
  readonly densityKilogramsPerCubicMeter: number | null;
  readonly resistivityOhmMeters: number | null;
  readonly saturationTeslaAt25Celsius: number | null;
  readonly saturationTeslaAt100Celsius: number | null;
  readonly initialPermeability: number | null;
  /** Slope of the initial permeability near room temperature, 1/K. */
  readonly temperatureCoefficientPerKelvin: number | null;
  readonly initialPermeabilityPoints: readonly InitialPermeabilityPoint[];
  /** Small signal, 25 °C. Real cores of one mix differ from it by 20 % and more. */
  readonly permeabilityPoints: readonly PermeabilityPoint[];
};

/** A stretch of the table without points, Hz. */
export type TableGap = { readonly lowHertz: number; readonly highHertz: number };

/** Relative permeability μ′ − jμ″ at one frequency; `gap` is set when the answer bridges a hole in the table. */
export type Permeability = { readonly real: number; readonly imaginary: number; readonly gap: TableGap | null };

// Published tables step by 5 to 25 %; one octave is still a gentle chord. Beyond that the reader must be told.
const GAP_RATIO = 2;

/** First and last frequency of the mix's table, Hz. */
export function tableRange(mix: Mix): TableGap {
  const points = mix.permeabilityPoints;
  return { lowHertz: points[0]![0], highHertz: points[points.length - 1]![0] };
}

/**
 * Complex permeability at `frequencyHertz`, linear in log f between the two neighbouring points.
 * Throws `OUT_OF_TABLE` outside the table. Where neighbours lie more than an octave apart (mix 52 between 0.96 and
 * 3 MHz) the answer carries that gap: it is a chord between two published points, not a published figure.
 */
export function permeabilityAt(mix: Mix, frequencyHertz: number): Permeability {
  const points = mix.permeabilityPoints;
  const range = tableRange(mix);
  if (!(frequencyHertz >= range.lowHertz && frequencyHertz <= range.highHertz)) {
    throw new PhysicsError(
      "OUT_OF_TABLE",
      `frequency for mix ${mix.name} in Hz`,
      range.lowHertz,
      range.highHertz,
      frequencyHertz,
    );
  }
  let low = 0;
  let high = points.length - 1;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (points[middle]![0] <= frequencyHertz) low = middle;
    else high = middle;
  }
  const [lowHertz, lowReal, lowImaginary] = points[low]!;
  const [highHertz, highReal, highImaginary] = points[high]!;
  if (frequencyHertz === lowHertz) return { real: lowReal, imaginary: lowImaginary, gap: null };
  if (frequencyHertz === highHertz) return { real: highReal, imaginary: highImaginary, gap: null };
  const share = Math.log(frequencyHertz / lowHertz) / Math.log(highHertz / lowHertz);
  return {
    real: lowReal + share * (highReal - lowReal),
    imaginary: lowImaginary + share * (highImaginary - lowImaginary),
    gap: highHertz / lowHertz > GAP_RATIO ? { lowHertz, highHertz } : null,
  };
}
