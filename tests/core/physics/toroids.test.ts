// Dimensions to effective parameters, spellings an operator may use, stacks of any size.
import { describe, expect, it } from "vitest";
import {
  parseToroid,
  stackFactorMeters,
  stackHeightMeters,
  stackOf,
  stackVolumeCubicMeters,
  TOROID_SIZES,
  toroid,
} from "../../../daemon/core/physics/toroids.ts";

describe("toroids", () => {
  it("nears the thin-ring limit: mean circumference and width times height", () => {
    const thin = toroid(0.1002, 0.0998, 0.01);
    expect(thin.pathMeters / (Math.PI * 0.1)).toBeCloseTo(1, 5);
    expect(thin.areaSquareMeters).toBeCloseTo(0.0002 * 0.01, 10);
    expect(thin.volumeCubicMeters).toBeCloseTo(thin.pathMeters * thin.areaSquareMeters, 15);
  });

  it("gives the inductance factor h·ln(r)/2π of a rectangular ring exactly", () => {
    for (const size of TOROID_SIZES) {
      const ring = parseToroid(size.trade)!;
      const exact =
        (ring.heightMeters * Math.log(ring.outsideDiameterMeters / ring.insideDiameterMeters)) / (2 * Math.PI);
      expect(ring.areaSquareMeters / ring.pathMeters).toBeCloseTo(exact, 12);
    }
  });

  it("reads the spellings of an operator", () => {
    const named = parseToroid("240");
    expect(named).toEqual(toroid(0.061, 0.03555, 0.0127));
    expect(parseToroid("61.0x35.55x12.7mm")).toEqual(named);
    expect(parseToroid("61 × 35.55 × 12.7")).toEqual(named);
    expect(parseToroid("2.4x1.4x0.5in")?.outsideDiameterMeters).toBeCloseTo(0.06096, 12);
  });

  it.each(["", "61x35.55", "35x61x12.7mm", "61x0x12.7", "241", "61x35x12cm", "-61x35x12mm", "9999x1x1"])(
    "knows no ring called %j",
    (text) => {
      expect(parseToroid(text)).toBeUndefined();
    },
  );

  it("adds up stacks, mixed or not", () => {
    const large = parseToroid("240")!;
    const small = parseToroid("140")!;
    expect(stackFactorMeters(stackOf(large, 3))).toBeCloseTo(3 * stackFactorMeters([large]), 15);
    expect(stackFactorMeters([large, small])).toBeCloseTo(stackFactorMeters([large]) + stackFactorMeters([small]), 15);
    expect(stackHeightMeters([large, small])).toBeCloseTo(0.0254, 12);
    expect(stackVolumeCubicMeters([large])).toBeGreaterThan(large.volumeCubicMeters);
    expect(() => stackOf(large, 0)).toThrow("number of toroids");
  });
});
