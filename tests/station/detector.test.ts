// Detector volts to watts: through the calibration points, by the square root of power between, honest beyond.

import { describe, expect, it } from "vitest";
import {
  calibrationFault,
  type DetectorScale,
  driveWatts,
  standingWaveRatio,
  wattsAt,
} from "../../daemon/station/detector.ts";

const POINTS = [
  { volts: 0.1, watts: 5 },
  { volts: 1, watts: 100 },
  { volts: 3, watts: 1000 },
];

const SCALE: DetectorScale = { law: "diode", forward: POINTS, reflected: POINTS };

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
    expect(driveWatts(SCALE, { forwardVolts: 3, reflectedVolts: 1 }).value).toBeCloseTo(900, 9);
    expect(driveWatts(SCALE, { forwardVolts: 3, reflectedVolts: null }).value).toBeCloseTo(1000, 9);
    expect(driveWatts(SCALE, { forwardVolts: 0.1, reflectedVolts: 1 }).value).toBe(0);
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

describe("a logarithmic detector", () => {
  // A slope of 25 mV per decibel, as the data sheet of the AD8307 has it (from memory): a quarter of a volt per decade.
  const points = [
    { volts: 1, watts: 1 },
    { volts: 1.75, watts: 1000 },
  ];

  it.each([
    [1, 1],
    [1.25, 10],
    [1.5, 100],
    [1.75, 1000],
    [0.75, 0.1],
  ])("at %d V shows %d W: a quarter of a volt a decade", (volts, watts) => {
    expect(wattsAt(points, volts, "log").value).toBeCloseTo(watts, 9);
  });

  it("has no zero among its points", () => {
    expect(calibrationFault([{ volts: 0, watts: 0 }, ...points], "log")).toContain("logarithm");
    expect(calibrationFault(points, "log")).toBeNull();
  });
});

describe("standing wave ratio", () => {
  const points = [
    { volts: 0, watts: 0 },
    { volts: 10, watts: 1000 },
  ];
  const scale: DetectorScale = { law: "diode", forward: points, reflected: points };

  // Table of reflected power against ratio, as in every amateur handbook: 1 % is 1.22, 4 % is 1.5, 11.1 % is 2, 25 % is 3 (from memory).
  it.each([
    [1, 1.22],
    [4, 1.5],
    [11.11, 2],
    [25, 3],
  ])("%d %% of the power back is %d", (percent, ratio) => {
    const reflectedVolts = 10 * Math.sqrt(percent / 100);
    expect(standingWaveRatio(scale, { forwardVolts: 10, reflectedVolts }, 5)).toBeCloseTo(ratio, 2);
  });

  it("is nothing while little is sent or no reflected channel is fitted, and stays a number when all comes back", () => {
    expect(standingWaveRatio(scale, { forwardVolts: 0.1, reflectedVolts: 0.1 }, 5)).toBeNull();
    expect(standingWaveRatio(scale, { forwardVolts: 10, reflectedVolts: null }, 5)).toBeNull();
    expect(standingWaveRatio(scale, { forwardVolts: 10, reflectedVolts: 10 }, 5)).toBeLessThan(1000);
  });
});
