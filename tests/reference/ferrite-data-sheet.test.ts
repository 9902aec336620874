// Source: Fair-Rite catalogue figures of toroids (from memory): 61.0 × 35.55 × 12.7 mm with A_e 1.58 cm², l_e 14.5 cm,
// V_e 22.8 cm³, 0.107 kg; A_L in nH per turn squared, ±20 %. And one published permeability of 43: 332 − j228 at 7.1 MHz.
import { describe, expect, it } from "vitest";
import { permeabilityAt } from "../../daemon/core/physics/mixes/mix.ts";
import { MIX_43 } from "../../daemon/core/physics/mixes/mix-43.ts";
import { PUBLISHED_MIXES, publishedMix } from "../../daemon/core/physics/mixes/published.ts";
import { parseToroid, stackFactorMeters, stackVolumeCubicMeters } from "../../daemon/core/physics/toroids.ts";

describe("Fair-Rite data sheets", () => {
  it("the 61 mm toroid's effective parameters and mass", () => {
    const ring = parseToroid("61.0x35.55x12.7mm")!;
    expect(ring.areaSquareMeters * 1e4).toBeCloseTo(1.58, 2);
    expect(ring.pathMeters * 1e2).toBeCloseTo(14.5, 1);
    expect(ring.volumeCubicMeters * 1e6).toBeCloseTo(22.8, 1);
    // 24.5 cm³ by the drawing at the round density of 4800 kg/m³; the sheet's mass belongs to 4360 kg/m³.
    const mass = stackVolumeCubicMeters([ring]) * MIX_43.densityKilogramsPerCubicMeter!;
    expect(Math.abs(mass / 0.107 - 1)).toBeLessThan(0.12);
  });

  it.each([
    ["43", "240", 1075],
    ["43", "140", 885],
    ["43", "114", 510],
    ["43", "82", 470],
    ["43", "50", 440],
    ["61", "240", 170],
    ["61", "140", 140],
  ])("mix %s, size %s: A_L %d nH ± 20 %", (mix, size, nanohenries) => {
    const initial = publishedMix(mix)!.initialPermeability!;
    const computed = 4e-7 * Math.PI * initial * stackFactorMeters([parseToroid(size)!]) * 1e9;
    expect(Math.abs(computed / nanohenries - 1)).toBeLessThan(0.2);
  });

  it("the low end of every complex curve joins the initial permeability", () => {
    // This is the check that found the curves of the data set under the wrong names: as stored, the ratios run from 0.007 to 61.
    for (const mix of PUBLISHED_MIXES) {
      const [, real] = mix.permeabilityPoints[0]!;
      expect(real / mix.initialPermeability!).toBeGreaterThan(0.88);
      expect(real / mix.initialPermeability!).toBeLessThan(1.26);
    }
  });

  it("loss factor tan δ/μ_i of the sheets: 43 at 1 MHz 1.0e-4, 52 at 1 MHz 4.5e-5, 31 at 0.1 MHz 2.0e-5", () => {
    const of = (name: string, hertz: number): number => {
      const mix = publishedMix(name)!;
      const { real, imaginary } = permeabilityAt(mix, hertz);
      return imaginary / real / mix.initialPermeability!;
    };
    expect(Math.abs(of("43", 1e6) / 1.05e-4 - 1)).toBeLessThan(0.1);
    expect(Math.abs(of("52", 0.96e6) / 4.5e-5 - 1)).toBeLessThan(0.1);
    // The table of 31 begins at 0.5 MHz, where its loss factor is higher than the sheet's at 0.1 MHz.
    expect(of("31", 0.5e6)).toBeGreaterThan(2.0e-5);
  });

  it("43 at 7.1 MHz", () => {
    const { real, imaginary } = permeabilityAt(MIX_43, 7.1e6);
    expect(Math.abs(real / 332 - 1)).toBeLessThan(0.03);
    expect(Math.abs(imaginary / 228 - 1)).toBeLessThan(0.01);
  });
});
