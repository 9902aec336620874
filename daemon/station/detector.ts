// Detector voltages → watts at the feedpoint's primary, by the operator's own calibration points.
// A pure conversion: it samples nothing, and it never guesses the power beyond what was calibrated.

import type { Reading } from "../core/readings.ts";

/** One point measured against a wattmeter. */
export type CalibrationPoint = { readonly volts: number; readonly watts: number };

/** What a detector saw; as in the hardware's sample. */
export type DetectorVolts = { readonly forwardVolts: number; readonly reflectedVolts: number | null };

/** A diode detector answers to voltage, which goes with the root of the power. One volt at 167 W is 3 V at 1500 W. */
export const USUAL_CALIBRATION: readonly CalibrationPoint[] = [
  { volts: 0, watts: 0 },
  { volts: 3, watts: 1500 },
];

/** Share above the last point up to which the line is still followed. */
const BEYOND = 0.1;

/**
 * What is wrong with a calibration, or null. Points rise in both volts and watts; there are at least two.
 */
export function calibrationFault(points: readonly CalibrationPoint[]): string | null {
  if (points.length < 2) return "at least two points";
  for (const [index, point] of points.entries()) {
    const before = points[index - 1];
    if (point.volts < 0 || point.watts < 0) return "volts and watts of 0 or above";
    if (before !== undefined && !(point.volts > before.volts && point.watts > before.watts)) {
      return "points rising in both volts and watts";
    }
  }
  return null;
}

/** Interpolates the root of the power over the voltage; below the first point it is a straight line from zero. */
export function wattsAt(points: readonly CalibrationPoint[], volts: number): Reading {
  const last = points.at(-1);
  if (last === undefined || !Number.isFinite(volts)) return { value: null, quality: "bad", code: "OUT_OF_RANGE" };
  const zero: CalibrationPoint = { volts: 0, watts: 0 };
  // Noise around zero is no power.
  if (volts <= 0) return { value: 0, quality: "good", code: null };
  const upper = points.findIndex((point) => point.volts >= volts);
  const right = points[upper < 0 ? points.length - 1 : upper] ?? last;
  const left = points[(upper < 0 ? points.length - 1 : upper) - 1] ?? zero;
  const share = right.volts === left.volts ? 1 : (volts - left.volts) / (right.volts - left.volts);
  const root = Math.sqrt(left.watts) + share * (Math.sqrt(right.watts) - Math.sqrt(left.watts));
  if (volts > last.volts * (1 + BEYOND)) return { value: root ** 2, quality: "suspect", code: "OUT_OF_RANGE" };
  return { value: root ** 2, quality: "good", code: null };
}

/** Forward minus reflected power, W; never below zero. */
export function driveWatts(points: readonly CalibrationPoint[], sample: DetectorVolts): Reading {
  const forward = wattsAt(points, sample.forwardVolts);
  if (sample.reflectedVolts === null || forward.value === null) return forward;
  const reflected = wattsAt(points, sample.reflectedVolts);
  if (reflected.value === null) return reflected;
  const value = Math.max(0, forward.value - reflected.value);
  const code = forward.code ?? reflected.code;
  return code === null ? { value, quality: "good", code } : { value, quality: "suspect", code };
}
