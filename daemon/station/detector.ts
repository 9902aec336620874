// Detector voltages → watts at the feedpoint's primary, by the operator's own calibration points.
// A pure conversion: it samples nothing, and it never guesses the power beyond what was calibrated.
// Two laws between the points: of a diode (volts go with the root of the power) and of a logarithmic detector (volts per decade).

import type { Reading } from "../core/readings.ts";

/** One point measured against a wattmeter. */
export type CalibrationPoint = { readonly volts: number; readonly watts: number };

/** What a detector saw; as in the hardware's sample. */
export type DetectorVolts = { readonly forwardVolts: number; readonly reflectedVolts: number | null };

/** A diode detector answers to voltage, which goes with the root of the power. One volt at 167 W is 3 V at 1500 W. */
const USUAL_CALIBRATION: readonly CalibrationPoint[] = [
  { volts: 0, watts: 0 },
  { volts: 3, watts: 1500 },
];

/** How a detector's volts go with the power between two points. */
export type DetectorLaw = "diode" | "log";

/** How a detector's volts are read: its law, and its points for each direction. */
export type DetectorScale = {
  readonly law: DetectorLaw;
  readonly forward: readonly CalibrationPoint[];
  readonly reflected: readonly CalibrationPoint[];
};

/** A diode detector like the usual one in both directions. */
export const USUAL_SCALE: DetectorScale = { law: "diode", forward: USUAL_CALIBRATION, reflected: USUAL_CALIBRATION };

/** Share above the last point up to which the line is still followed. */
const BEYOND = 0.1;

/**
 * What is wrong with a calibration, or null. Points rise in both volts and watts; there are at least two.
 */
export function calibrationFault(points: readonly CalibrationPoint[], law: DetectorLaw = "diode"): string | null {
  if (points.length < 2) return "at least two points";
  if (law === "log" && points.some(({ watts }) => watts <= 0)) return "watts above 0: a logarithm has no zero";
  for (const [index, point] of points.entries()) {
    const before = points[index - 1];
    if (point.volts < 0 || point.watts < 0) return "volts and watts of 0 or above";
    if (before !== undefined && !(point.volts > before.volts && point.watts > before.watts)) {
      return "points rising in both volts and watts";
    }
  }
  return null;
}

/**
 * Watts at a voltage. Below the first point a diode's line goes straight to zero and a logarithmic detector's keeps the slope of its
 * first two points.
 */
export function wattsAt(points: readonly CalibrationPoint[], volts: number, law: DetectorLaw = "diode"): Reading {
  const last = points.at(-1);
  if (last === undefined || !Number.isFinite(volts)) return { value: null, quality: "bad", code: "OUT_OF_RANGE" };
  // Noise around zero is no power.
  if (volts <= 0) return { value: 0, quality: "good", code: null };
  const value = law === "diode" ? diodeWatts(points, volts) : logWatts(points, volts);
  if (volts > last.volts * (1 + BEYOND)) return { value, quality: "suspect", code: "OUT_OF_RANGE" };
  return { value, quality: "good", code: null };
}

const ZERO: CalibrationPoint = { volts: 0, watts: 0 };

function diodeWatts(points: readonly CalibrationPoint[], volts: number): number {
  const upper = points.findIndex((point) => point.volts >= volts);
  const at = upper < 0 ? points.length - 1 : upper;
  const [left, right] = [points[at - 1] ?? ZERO, points[at] ?? ZERO];
  const share = right.volts === left.volts ? 1 : (volts - left.volts) / (right.volts - left.volts);
  const root = Math.sqrt(left.watts) + share * (Math.sqrt(right.watts) - Math.sqrt(left.watts));
  return root ** 2;
}

function logWatts(points: readonly CalibrationPoint[], volts: number): number {
  const upper = points.findIndex((point) => point.volts >= volts);
  const at = upper < 0 ? points.length - 1 : Math.max(1, upper);
  const [left, right] = [points[at - 1] ?? ZERO, points[at] ?? ZERO];
  const share = (volts - left.volts) / (right.volts - left.volts);
  return left.watts * (right.watts / left.watts) ** share;
}

/** Forward minus reflected power, W; never below zero. */
export function driveWatts(scale: DetectorScale, sample: DetectorVolts): Reading {
  const forward = wattsAt(scale.forward, sample.forwardVolts, scale.law);
  if (sample.reflectedVolts === null || forward.value === null) return forward;
  const reflected = wattsAt(scale.reflected, sample.reflectedVolts, scale.law);
  if (reflected.value === null) return reflected;
  const value = Math.max(0, forward.value - reflected.value);
  const code = forward.code ?? reflected.code;
  return code === null ? { value, quality: "good", code } : { value, quality: "suspect", code };
}

/**
 * Standing wave ratio (1 + ρ)/(1 − ρ) with ρ = √(reflected/forward power), as in every text on transmission lines; null below
 * `leastWatts` forward, where noise would speak, and without a reflected channel.
 */
export function standingWaveRatio(scale: DetectorScale, sample: DetectorVolts, leastWatts: number): number | null {
  const forward = wattsAt(scale.forward, sample.forwardVolts, scale.law).value;
  if (sample.reflectedVolts === null || forward === null || forward < Math.max(leastWatts, 1e-9)) return null;
  const reflected = wattsAt(scale.reflected, sample.reflectedVolts, scale.law).value;
  if (reflected === null) return null;
  const reflection = Math.min(Math.sqrt(reflected / forward), LARGEST_REFLECTION);
  return (1 + reflection) / (1 - reflection);
}

/** A ratio of 999; above it a figure means nothing. */
const LARGEST_REFLECTION = 0.998;
