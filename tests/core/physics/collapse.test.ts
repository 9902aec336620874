// The surge of the loss around the Curie point: 1 below, 1 + gain above, its slope consistent.

import { describe, expect, it } from "vitest";
import { lossGrowth, lossGrowthSlope, TYPICAL_COLLAPSE } from "../../../daemon/core/physics/collapse.ts";

describe("collapse", () => {
  it("does nothing at the temperatures of ordinary operation", () => {
    expect(lossGrowth(TYPICAL_COLLAPSE, 60)).toBeCloseTo(1, 5);
    expect(lossGrowth(TYPICAL_COLLAPSE, 100)).toBeLessThan(1.002);
  });

  it("has half its gain in the middle and all of it far above", () => {
    expect(lossGrowth(TYPICAL_COLLAPSE, TYPICAL_COLLAPSE.celsius)).toBeCloseTo(1 + TYPICAL_COLLAPSE.gain / 2, 12);
    expect(lossGrowth(TYPICAL_COLLAPSE, 400)).toBeCloseTo(1 + TYPICAL_COLLAPSE.gain, 12);
  });

  it("has the slope of its own curve", () => {
    for (const celsius of [110, 130, 140, 155]) {
      const across = lossGrowth(TYPICAL_COLLAPSE, celsius + 1e-4) - lossGrowth(TYPICAL_COLLAPSE, celsius - 1e-4);
      expect(lossGrowthSlope(TYPICAL_COLLAPSE, celsius)).toBeCloseTo(across / 2e-4, 6);
    }
  });
});
