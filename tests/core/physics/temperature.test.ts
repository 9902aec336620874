// What heat does to a mix: through the published points, monotone, and collapsed at the Curie point.
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { parseOwnTable } from "../../../daemon/core/physics/mixes/own-table.ts";
import { PUBLISHED_MIXES, publishedMix } from "../../../daemon/core/physics/mixes/published.ts";
import {
  heatEffect,
  saturationRatio,
  saturationShare,
  saturationTesla,
} from "../../../daemon/core/physics/temperature.ts";

const mix43 = publishedMix("43")!;
const own = parseOwnTable("frequency_hertz,mu_real,mu_imaginary\n1e6,800,10\n2e6,700,90\n", "own").mix!;

describe("temperature", () => {
  it("passes through the published saturation at 25 and 100 °C of every mix", () => {
    for (const mix of PUBLISHED_MIXES) {
      expect(saturationTesla(mix, 25)).toBeCloseTo(mix.saturationTeslaAt25Celsius!, 12);
      expect(saturationTesla(mix, 100)).toBeCloseTo(mix.saturationTeslaAt100Celsius!, 12);
      expect(saturationTesla(mix, mix.curieCelsius!)).toBe(0);
    }
  });

  it("only ever makes a hotter core lossier, from 1 to 20 times, and collapses before the Curie point is passed", () => {
    for (const mix of PUBLISHED_MIXES) {
      fc.assert(
        fc.property(
          fc.double({ min: -40, max: 450, noNaN: true }),
          fc.double({ min: 0, max: 50, noNaN: true }),
          (at, more) => {
            const cool = heatEffect(mix, at);
            const warm = heatEffect(mix, at + more);
            expect(warm.lossFactor).toBeGreaterThanOrEqual(cool.lossFactor);
            expect(cool.lossFactor).toBeGreaterThanOrEqual(1);
            expect(warm.lossFactor).toBeLessThanOrEqual(20);
            expect(cool.collapsed).toBe(at >= mix.curieCelsius! || saturationShare(mix, at)! <= 0.05);
          },
        ),
      );
    }
    expect(heatEffect(mix43, 100).lossFactor).toBeCloseTo(0.35 / 0.25, 12);
  });

  it("claims nothing of a mix without a Curie temperature", () => {
    expect(saturationShare(own, 200)).toBeNull();
    expect(saturationRatio(own, 0.1, 25)).toBeNull();
    expect(heatEffect(own, 500)).toEqual({ lossFactor: 1, collapsed: false });
  });

  it("compares flux with saturation", () => {
    expect(saturationRatio(mix43, 0.035, 25)).toBeCloseTo(0.1, 12);
    expect(saturationRatio(mix43, 0.035, 130)).toBe(Number.POSITIVE_INFINITY);
  });
});
