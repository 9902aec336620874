// Detector volts to watts: through the calibration points, by the square root of power between, honest beyond.

import { describe, expect, it } from "vitest";
import { calibrationFault, driveWatts, wattsAt } from "../../daemon/station/detector.ts";

const POINTS = [
  { volts: 0.1, watts: 5 },
  { volts: 1, watts: 100 },
  { volts: 3, watts: 1000 },
];

describe("watts", () => {
  it.each(POINTS)("at $volts V are what was calibrated", ({ volts, watts }) => {
    expect(wattsAt(POINTS, volts)).toMatchObject({ quality: "good" });
    expect(wattsAt(POINTS, volts).value).toBeCloseTo(watts, 9);
  });

  it("of a square-law table follow the square of the voltage everywhere", () => {
    // P = V²/R: with one point at 3 V, 1500 W, half the voltage is a quarter of the power.
    const points = [
      { volts: 0, watts: 0 },
      { volts: 3, watts: 1500 },
    ];
    expect(wattsAt(points, 1.5).value).toBeCloseTo(375, 9);
    expect(wattsAt(points, 0.3).value).toBeCloseTo(15, 9);
  });

  it("never fall while the voltage rises", () => {
    const values = Array.from({ length: 331 }, (_, index) => wattsAt(POINTS, index / 100).value ?? Number.NaN);
    expect(values.every((value, index) => index === 0 || value >= values[index - 1]!)).toBe(true);
  });

  it("of noise around zero are nothing", () => {
    expect(wattsAt(POINTS, -0.02)).toEqual({ value: 0, quality: "good", code: null });
  });

  it("beyond the last point are doubted, and of no number are bad", () => {
    expect(wattsAt(POINTS, 3.2).quality).toBe("good");
    expect(wattsAt(POINTS, 3.4)).toMatchObject({ quality: "suspect", code: "OUT_OF_RANGE" });
    expect(wattsAt(POINTS, Number.NaN)).toMatchObject({ quality: "bad" });
  });
});

describe("drive", () => {
  it("is forward minus reflected power, never below zero", () => {
    expect(driveWatts(POINTS, { forwardVolts: 3, reflectedVolts: 1 }).value).toBeCloseTo(900, 9);
    expect(driveWatts(POINTS, { forwardVolts: 3, reflectedVolts: null }).value).toBeCloseTo(1000, 9);
    expect(driveWatts(POINTS, { forwardVolts: 0.1, reflectedVolts: 1 }).value).toBe(0);
  });
});

describe("a calibration", () => {
  it("rises in both volts and watts and has two points", () => {
    expect(calibrationFault(POINTS)).toBeNull();
    expect(calibrationFault(POINTS.slice(1, 2))).toContain("two points");
    expect(calibrationFault([...POINTS].reverse())).toContain("rising");
    expect(
      calibrationFault([
        { volts: -1, watts: 0 },
        { volts: 1, watts: 1 },
      ]),
    ).toContain("0 or above");
  });
});
