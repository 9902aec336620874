// The robust slope: right on clean lines, unmoved by wild points, honest about chance. Sen's own worked series is not at hand;
// the checks are against lines whose slope is known and against ordinary least squares where that is optimal.

import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { daysUntil, type TrendPoint, trendOf } from "../../../daemon/season/review/trend.ts";

const line = (count: number, slope: number, start: number, noise: (index: number) => number = () => 0): TrendPoint[] =>
  Array.from({ length: count }, (_, index) => ({ days: index, value: start + slope * index + noise(index) }));

/** A fixed, uneven wobble with no trend of its own. */
const wobble = (index: number): number => Math.sin(index * 12.9898) * 2;

describe("trendOf", () => {
  it("finds any exact line", () => {
    fc.assert(
      fc.property(
        fc.double({ min: -5, max: 5, noNaN: true }),
        fc.double({ min: -100, max: 100, noNaN: true }),
        (slope, start) => {
          const trend = trendOf(line(30, slope, start));
          expect(trend?.slopePerDay).toBeCloseTo(slope, 9);
          expect(trend?.valueNow).toBeCloseTo(start + slope * 29, 7);
        },
      ),
    );
  });

  it("is not moved by a fifth of the points being wild", () => {
    const points = line(100, 0.1, 20, wobble).map((point, index) =>
      index % 5 === 0 ? { ...point, value: 500 } : point,
    );
    expect(trendOf(points)?.slopePerDay).toBeCloseTo(0.1, 1);
  });

  it("agrees with least squares on mild noise, within its own uncertainty", () => {
    const points = line(120, -0.05, 7, wobble);
    const meanDays = 59.5;
    const over = points.reduce((sum, { days, value }) => sum + (days - meanDays) * value, 0);
    const under = points.reduce((sum, { days }) => sum + (days - meanDays) ** 2, 0);
    const trend = trendOf(points);
    expect(Math.abs((trend?.slopePerDay ?? 0) - over / under)).toBeLessThan(2 * (trend?.slopeUncertaintyPerDay ?? 0));
  });

  it("calls a trendless series chance and a real slope real", () => {
    expect(trendOf(line(60, 0, 50, wobble))?.significant).toBe(false);
    expect(trendOf(line(60, 0.1, 50, wobble))?.significant).toBe(true);
  });

  it("says nothing of too few points or of a single day", () => {
    expect(trendOf(line(4, 1, 0))).toBeNull();
    expect(trendOf(Array.from({ length: 9 }, (_, index) => ({ days: 3, value: index })))).toBeNull();
  });

  it("stays quick on a long series by thinning, without losing the slope", () => {
    expect(trendOf(line(20_000, 0.002, 1, wobble))?.slopePerDay).toBeCloseTo(0.002, 3);
  });
});

describe("daysUntil", () => {
  it("counts down to the alarm, and is silent when the line moves away", () => {
    const trend = trendOf(line(60, -0.5, 100));
    expect(trend && daysUntil(trend, 60)).toBeCloseTo((100 - 0.5 * 59 - 60) / 0.5, 6);
    expect(trend && daysUntil(trend, 120)).toBeNull();
  });
});
